"""How chess words sound, in the phonemes of the CMU Pronouncing Dictionary (ARPAbet without stress).

Data only, read by sounds.py. The chess words' phonemes are those of the dictionary; the rules for spelling are common
practice, no source.
"""

from __future__ import annotations

import chess

WORDS: tuple[tuple[str, int | str, str, str], ...] = (
    ("P", chess.PAWN, "pawn", "P AO N"),
    ("P", chess.KNIGHT, "knight", "N AY T"),
    ("P", chess.KNIGHT, "knights", "N AY T S"),
    ("P", chess.BISHOP, "bishop", "B IH SH AH P"),
    ("P", chess.BISHOP, "bishops", "B IH SH AH P S"),
    ("P", chess.ROOK, "rook", "R UH K"),
    ("P", chess.ROOK, "rooks", "R UH K S"),
    ("P", chess.QUEEN, "queen", "K W IY N"),
    ("P", chess.KING, "king", "K IH NG"),
    ("X", "takes", "takes", "T EY K S"),
    ("X", "captures", "captures", "K AE P CH ER Z"),
    ("X", "recaptures", "recaptures", "R IY K AE P CH ER Z"),
    ("C", "any", "castles", "K AE S AH L Z"),
    ("C", "any", "castled", "K AE S AH L D"),
    ("C", "any", "castling", "K AE S L IH NG"),
    ("check", True, "check", "CH EH K"),
    ("mate", True, "checkmate", "CH EH K M EY T"),
)
"""Kind of meaning and its value (see atoms.py), spelling, phonemes."""

LETTERS: dict[str, str] = {
    "a": "EY", "b": "B IY", "c": "S IY", "d": "D IY", "e": "IY", "f": "EH F", "g": "JH IY", "h": "EY CH",
}  # fmt: skip
FIGURES: dict[str, tuple[str, str]] = {
    "1": ("one", "W AH N"),
    "2": ("two", "T UW"),
    "3": ("three", "TH R IY"),
    "4": ("four", "F AO R"),
    "5": ("five", "F AY V"),
    "6": ("six", "S IH K S"),
    "7": ("seven", "S EH V AH N"),
    "8": ("eight", "EY T"),
}

CLASSES: dict[str, str] = {
    "P": "p", "B": "p", "T": "t", "D": "t", "TH": "t", "DH": "t", "K": "k", "G": "k", "F": "f", "V": "f", "S": "s",
    "Z": "s", "SH": "j", "ZH": "j", "CH": "j", "JH": "j", "M": "m", "N": "n", "NG": "n", "L": "l", "R": "r", "W": "w",
    "Y": "y", "HH": "h", "IY": "i", "IH": "i", "EY": "e", "EH": "e", "AE": "e", "AA": "o", "AO": "o", "OW": "o",
    "AH": "o", "UH": "u", "UW": "u", "AY": "a", "AW": "o", "OY": "o", "ER": "r",
}  # fmt: skip
"""Phonemes that are taken for each other share a letter."""
SAME: dict[str, str] = {"AA": "AO", "UH": "AH", "UW": "AH", "ZH": "JH", "DH": "TH", "IY": "IH"}
"""Phonemes that differ by accent alone, and the one that stands for both."""

SPELLED: tuple[tuple[str, str], ...] = (
    ("tch", "CH"), ("sch", "SH"), ("sle", "S AH L"), ("zle", "Z AH L"), ("tle", "T AH L"), ("dle", "D AH L"),
    ("igh", "AY"), ("kn", "N"), ("wr", "R"), ("ck", "K"), ("ch", "CH"), ("sh", "SH"), ("th", "TH"), ("ph", "F"),
    ("gh", ""), ("qu", "K W"), ("ng", "NG"), ("ee", "IY"), ("ea", "IY"), ("ie", "IY"), ("ey", "IY"), ("oo", "UH"),
    ("ou", "AW"), ("ow", "OW"), ("oa", "OW"), ("au", "AO"), ("aw", "AO"), ("ai", "EY"), ("ay", "EY"), ("er", "ER"),
    ("ur", "ER"), ("ir", "ER"), ("or", "AO R"), ("ar", "AA R"), ("ce", "S"), ("ci", "S IH"), ("cy", "S IY"),
    ("a", "AE"), ("b", "B"), ("c", "K"), ("d", "D"), ("e", "EH"), ("f", "F"), ("g", "G"), ("h", "HH"), ("i", "IH"),
    ("j", "JH"), ("k", "K"), ("l", "L"), ("m", "M"), ("n", "N"), ("o", "AO"), ("p", "P"), ("q", "K"), ("r", "R"),
    ("s", "S"), ("t", "T"), ("u", "AH"), ("v", "V"), ("w", "W"), ("x", "K S"), ("y", "IY"), ("z", "Z"),
)  # fmt: skip
"""Letters and what they sound like, for words that no dictionary has; the first that fits is taken."""
LONG: dict[str, str] = {"a": "EY", "i": "AY", "o": "OW", "u": "UW"}
"""Vowels before a consonant and a silent e."""
