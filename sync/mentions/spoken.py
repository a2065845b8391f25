"""The words of a mention put right for the move that it names."""

from __future__ import annotations

import re
from collections.abc import Sequence

import chess

from sync.mentions.atoms import plain
from sync.mentions.mention import Mention
from sync.mentions.tables import CASTLES, PIECE_NAMES, TAKES
from sync.transcript.words import Word

ENDING = re.compile(r"[\s.,;:!?\"'”’)\]…-]*$")


def put_right(mention: Mention, words: Sequence[Word], board: chess.Board, move: chess.Move) -> str:
    """The naming words with pieces and squares as the move has them, everything else as heard.

    board: the position before the move. The punctuation behind the last word is left off.

    >>> # "Night F3," naming g1f3 gives "knight f3"; see tests/mentions
    """
    texts = [word.text for word in words[mention.first : mention.last]]
    for part, first, last in mention.parts:
        right = _right(part, board, move, mention)
        heard = " ".join(plain(text) for text in texts[first - mention.first : last - mention.first])
        if right is None or not heard:
            continue
        written = _agree(part, right, heard)
        at, end = first - mention.first, last - mention.first
        if part == "S" and _glued(mention, first, last):
            written = f"{PIECE_NAMES[board.piece_type_at(move.from_square) or chess.PAWN]} {right}"
        elif part in ("F", "D") and _shares_word(mention, part, first):
            continue
        elif part == "S" and _shares_word(mention, part, first):
            written = _written_together(mention, first, board, move)
        ending = ENDING.search(texts[end - 1])
        texts[at:end] = [written + (ending[0] if ending else ""), *([""] * (end - at - 1))]
    return ENDING.sub("", " ".join(text for text in texts if text))


def _right(part: str, board: chess.Board, move: chess.Move, mention: Mention) -> str | None:
    mover = board.piece_type_at(move.from_square) or chess.PAWN
    match part:
        case "P":
            return PIECE_NAMES[mover]
        case "B":
            victim = board.piece_type_at(move.to_square)
            return PIECE_NAMES[victim or chess.PAWN]
        case "N":
            return PIECE_NAMES[move.promotion] if move.promotion else None
        case "S":
            return None if mention.castle else chess.square_name(move.to_square)
        case "D":
            return chess.square_name(move.from_square)
        case "G":
            return f"{chess.FILE_NAMES[chess.square_file(move.from_square)]} to"
        case "F":
            return chess.FILE_NAMES[chess.square_file(move.from_square)]
        case "X":
            return "takes"
        case "C":
            return "castles"
        case "E":
            return "en passant"
        case _:
            return None


def _agree(part: str, right: str, heard: str) -> str:
    """Keeps what was heard where it is a good form of the same word ("captured", "knights", "castled")."""
    if part == "X" and TAKES.get(heard) == 0.0:
        return heard
    if part == "C" and CASTLES.get(heard) == 0.0:
        return heard
    if part in ("P", "B", "N") and heard in (right, f"{right}s", f"{right}'s"):
        return heard
    return right


def _glued(mention: Mention, first: int, last: int) -> bool:
    """The piece was heard within the square's word ("95")."""
    return ("P", first, last) in mention.parts


def _shares_word(mention: Mention, part: str, first: int) -> bool:
    return any(other != part and begin == first and other in "FDSPX" for other, begin, _ in mention.parts)


def _written_together(mention: Mention, first: int, board: chess.Board, move: chess.Move) -> str:
    """One word that holds several parts ("exd5", "h2f1", "Nf3") in plain words."""
    names: list[str] = []
    for part, begin, _ in mention.parts:
        right = _right(part, board, move, mention) if begin == first else None
        if right:
            names.append("to " + right if part == "S" and names and names[-1] in chess.FILE_NAMES else right)
    return " ".join(names)
