"""The words of a mention put right for the move that it names."""

from __future__ import annotations

import re
from collections.abc import Sequence

import chess

from sync.mentions.atoms import plain
from sync.mentions.mention import Mention
from sync.mentions.tables import CASTLES, CHECK, COMES_OFF, FALLS, HELPS, MATE, NICKNAMES, OFF, PIECE_NAMES, TAKES
from sync.transcript.words import Word

ENDING = re.compile(r"[\s.,;:!?\"'”’)\]…-]*$")
SAID_OF_TAKEN = HELPS | FALLS | COMES_OFF | OFF
"""What captures begin with that are told without a verb for taking."""

Parts = list[tuple[str, int, int]]


def put_right(mention: Mention, words: Sequence[Word], board: chess.Board, move: chess.Move) -> str:
    """The naming words with pieces and squares as the move has them, everything else as heard.

    board: the position before the move. The punctuation behind the last word is left off.

    >>> # "Night F3," naming g1f3 gives "knight f3"; see tests/mentions
    """
    texts = [word.text for word in words[mention.first : mention.last]]
    end = 0
    for parts in _by_words(mention.parts):
        at, end = parts[0][1] - mention.first, parts[-1][2] - mention.first
        heard = " ".join(plain(text) for text in texts[at:end])
        right = {part: _right(part, board, move, mention) for part, _, _ in parts}
        if not heard or not any(right.values()):
            continue
        written = (
            _together(right, mention.takes) if len(right) > 1 else _agree(parts[0][0], right[parts[0][0]] or "", heard)
        )
        ending = _sign(texts[end - 1]) + ("" if "G" in right else _ending(texts[end - 1]))
        texts[at:end] = [written + ending, *([""] * (end - at - 1))]
    texts[end:] = [_check(text) for text in texts[end:]]
    return ENDING.sub("", " ".join(text for text in texts if text))


def _by_words(parts: Sequence[tuple[str, int, int]]) -> list[Parts]:
    """The parts in spoken order, those of one word together."""
    found: list[Parts] = []
    for part in parts:
        if found and found[-1][-1][1] == part[1]:
            found[-1].append(part)
        else:
            found.append([part])
    return found


def _together(right: dict[str, str | None], takes: bool) -> str:
    """One word that holds several parts ("exd5", "h2f1", "Nf3") in plain words."""
    names: list[str] = []
    for part, name in right.items():
        if name and part == "S" and names and ("F" in right or "D" in right) and "X" not in right:
            names.append("takes" if takes else "to")
        if name:
            names.append(name)
    return " ".join(names)


def _check(text: str) -> str:
    """A word behind the move, put right when it was misheard for check or mate."""
    heard = plain(text)
    if heard.startswith(("check", "mat")) or not (heard in CHECK or heard in MATE):
        return text
    return ("mate" if heard in MATE else "check") + _ending(text)


def _sign(text: str) -> str:
    """The signs for check and mate in words (PGN standard, 8.2.3.5)."""
    return " mate" if "#" in text else " check" if "+" in text else ""


def _ending(text: str) -> str:
    found = ENDING.search(text)
    return found[0] if found else ""


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
            name = chess.square_name(move.from_square)
            return name if name[1] == "2" else f"{name[0]} to"
        case "F":
            return chess.FILE_NAMES[chess.square_file(move.from_square)]
        case "L":
            return chess.FILE_NAMES[chess.square_file(move.to_square)]
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
    if part == "X" and (TAKES.get(heard) == 0.0 or heard.split()[0] in SAID_OF_TAKEN):
        return heard
    if part == "C" and CASTLES.get(heard) == 0.0:
        return heard
    if part in ("P", "B", "N") and heard.split()[-1] in (right, f"{right}s", f"{right}'s", *NICKNAMES.get(right, ())):
        return heard
    return right
