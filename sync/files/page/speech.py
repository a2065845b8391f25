"""Moves and times in words, for screen readers."""

from __future__ import annotations

import re

PIECE_NAMES = {"K": "king", "Q": "queen", "R": "rook", "B": "bishop", "N": "knight", "": "pawn"}
"""By the letter of SAN (FIDE Laws, Appendix C.2)."""

SAN = re.compile(r"([KQRBN]?)([a-h]?[1-8]?)(x?)([a-h][1-8])(?:=([QRBN]))?([+#]?)")
ENDINGS = {"": "", "+": ", check", "#": ", checkmate"}

NAGS = {
    1: ("!", "good move"),
    2: ("?", "poor move"),
    3: ("!!", "very good move"),
    4: ("??", "very poor move"),
    5: ("!?", "speculative move"),
    6: ("?!", "questionable move"),
    7: ("□", "forced move"),
    10: ("=", "drawish position"),
    13: ("∞", "unclear position"),
    14: ("⩲", "white has a slight advantage"),
    15: ("⩱", "black has a slight advantage"),
    16: ("±", "white has a moderate advantage"),
    17: ("∓", "black has a moderate advantage"),
    18: ("+−", "white has a decisive advantage"),
    19: ("−+", "black has a decisive advantage"),
}
"""Sign and meaning by numeric annotation glyph. Meanings: PGN standard (1994), section 10; signs: common practice."""


def move_words(san: str) -> str:
    """A move as it is said.

    >>> move_words("Nbxd2+")
    'knight b takes d2, check'
    >>> move_words("exd8=Q#")
    'e pawn takes d8, promotes to queen, checkmate'
    """
    if san.startswith("O-O"):
        side = "queenside" if san.startswith("O-O-O") else "kingside"
        return f"castles {side}{ENDINGS[san.lstrip('O-')]}"
    match = SAN.fullmatch(san)
    if match is None:
        return san
    piece, origin, takes, square, promoted, ending = match.groups()
    mover = [origin, "pawn"] if not piece and takes else [PIECE_NAMES[piece], origin]
    words = " ".join(filter(None, [*mover, "takes" if takes else "", square]))
    promotion = f", promotes to {PIECE_NAMES[promoted]}" if promoted else ""
    return f"{words}{promotion}{ENDINGS[ending]}"


def time_words(seconds: float) -> str:
    """A time as it is said, in whole seconds.

    >>> time_words(83.45)
    '1 minute 23'
    >>> time_words(3600)
    '1 hour'
    """
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    if not hours and not minutes:
        return _many(rest, "second")
    whole = [_many(count, unit) for count, unit in ((hours, "hour"), (minutes, "minute")) if count]
    return " ".join([*whole, *([str(rest)] if rest else [])])


def clock_text(seconds: float) -> str:
    """A time as a clock shows it, in whole seconds.

    >>> clock_text(83.45), clock_text(3723)
    ('1:23', '1:02:03')
    """
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def _many(count: int, unit: str) -> str:
    return f"{count} {unit}" if count == 1 else f"{count} {unit}s"
