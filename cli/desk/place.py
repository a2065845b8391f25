"""Which words of a talk somebody means by a time, and which move by a SAN."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import chess

from sync.errors import InputError
from sync.files.diagram import TIME, choose_position, position_at
from sync.lesson.edits import line_of, words_between
from sync.lesson.lesson import Game, Lesson, Moment, Ply
from sync.mentions import spot
from sync.revise import Revision
from sync.transcript import Word

NEAR = 3.0
"""Seconds by which a given time may miss the words that are meant."""


@dataclass(frozen=True, slots=True)
class Place:
    """Words that name a move, or might. at, end: seconds. line: moves to the position that they are said in.

    ply: what they are read as, None for no move.
    """

    at: float
    end: float
    heard: str
    game: int
    line: tuple[str, ...]
    ply: Ply | None


def seconds_of(time: str) -> float:
    """
    >>> seconds_of("3:12"), seconds_of("1:02:03.5"), seconds_of("83.4s")
    (192.0, 3723.5, 83.4)
    """
    match = TIME.fullmatch(time)
    if match is None:
        raise InputError(f"{time!r} is no time: write it like 3:12, 1:02:03.5 or 83.4s")
    hours, minutes, seconds, plain = (float(part or 0) for part in match.groups())
    return hours * 3600 + minutes * 60 + seconds + plain


def place_at(revision: Revision, seconds: float) -> Place:
    """The naming words nearest to a time; where no move is read, other words there that may name one, or one word."""
    lesson, words = revision.lesson, revision.transcript.words
    named = [
        Place(moment.start, _named_end(moment, words), moment.heard, number, line_of(game, ply)[:-1], ply)
        for number, game in enumerate(lesson.games)
        for ply in game.plies
        for moment in ply.moments
        if _away(moment.start, _named_end(moment, words), seconds) <= NEAR
    ]
    if named:
        return min(named, key=lambda place: (_away(place.at, place.end, seconds), place.at))
    spans = [(mention.start, mention.end) for mention in spot(revision.transcript)]
    near = [(start, end) for start, end in spans if _away(start, end, seconds) <= NEAR]
    near = near or [(word.start, word.end) for word in words if _away(word.start, word.end, seconds) <= NEAR]
    if not near:
        raise InputError(f"nothing is said within {NEAR:.0f} seconds of {seconds:g} s: choose another time")
    at, end = min(near, key=lambda span: (_away(span[0], span[1], seconds), span[0] - span[1]))
    first, last = words_between(words, at, end)
    before = position_at(lesson, at)
    line = () if before.ply is None else line_of(lesson.games[before.game], before.ply)
    return Place(at, end, " ".join(word.text for word in words[first:last]), before.game, line, None)


def _named_end(moment: Moment, words: Sequence[Word]) -> float:
    """When the words end that name the move."""
    return max(words[moment.named_end - 1].end, moment.start)


def _away(start: float, end: float, seconds: float) -> float:
    """Seconds from a stretch, 0 inside of it."""
    return max(start - seconds, seconds - end, 0.0)


def line_after(lesson: Lesson, choice: str) -> tuple[int, tuple[str, ...]]:
    """The game and the line that lead to a position, chosen as for a diagram; "start" is the start position."""
    chosen = choose_position(lesson, "0" if choice == "start" else choice)
    if chosen.ply is None:
        return chosen.game, ()
    return chosen.game, line_of(lesson.games[chosen.game], chosen.ply)


def move_in(game: Game, line: Sequence[str], san: str) -> chess.Move:
    """The move that a SAN names at the end of a line. Raises InputError."""
    board = chess.Board(game.start_fen)
    for uci in line:
        board.push_uci(uci)
    try:
        move = board.parse_san(san)
    except ValueError as error:
        after = f"after {_label(board)}" if board.move_stack else "in the start position"
        raise InputError(f"{san} is not legal {after}: give another move, or what it follows (--from)") from error
    if not move:
        raise InputError(f"{san} is no move")
    return move


def _label(board: chess.Board) -> str:
    before = board.copy()
    move = before.pop()
    dots = "." if before.turn == chess.WHITE else "..."
    return f"{before.fullmove_number}{dots}{before.san(move)}"
