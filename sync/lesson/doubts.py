"""The doubtful places of a lesson, for an editor to go through."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from sync.lesson.edits import Edit, MoveEdit, line_of
from sync.lesson.lesson import Game, Ply, RunnerUp

DOUBTFUL = 0.9
"""A reading of at least this confidence is no doubt."""

UNNAMED = "nobody names it, but later moves need it"


@dataclass(frozen=True, slots=True)
class Doubt:
    """A place where the reading may be wrong.

    at, end: the naming words in seconds; of a move that nobody names, those of the next named one after it.
    first_word, end_word: the same as word indices. heard: these words. line: moves to the position they are said in.
    game, uci, san, role, reason, runners_up: the reading chosen. confidence: that it is right if the move before is.
    """

    at: float
    end: float
    first_word: int
    end_word: int
    heard: str
    game: int
    line: tuple[str, ...]
    uci: str
    san: str
    role: str
    confidence: float
    reason: str
    runners_up: tuple[RunnerUp, ...]


def doubts(games: Sequence[Game], edits: Iterable[Edit], ends: Sequence[float]) -> tuple[Doubt, ...]:
    """The doubtful places that no edit has decided, the least sure first.

    ends: when each word of the transcript ends, in seconds.
    """
    decided = [(edit.at, edit.end) for edit in edits if isinstance(edit, MoveEdit)]
    found = [
        doubt
        for number, game in enumerate(games)
        for ply, confidence in _own_confidences(game)
        if confidence < DOUBTFUL and (doubt := _doubt(number, game, ply, confidence, ends)) is not None
    ]
    open_ones = [doubt for doubt in found if not any(at < doubt.end and doubt.at < end for at, end in decided)]
    return tuple(sorted(open_ones, key=lambda doubt: (doubt.confidence, doubt.at)))


def _own_confidences(game: Game) -> Iterator[tuple[Ply, float]]:
    """How sure each ply is if the one before it is right: what is doubtful only because of that is settled with it."""
    whole = {ply.id: ply.confidence for ply in game.plies}
    for ply in game.plies:
        before = 1.0 if ply.parent is None else whole[ply.parent]
        yield ply, ply.confidence if before >= DOUBTFUL else min(1.0, ply.confidence / max(before, 0.01))


def _doubt(number: int, game: Game, ply: Ply, confidence: float, ends: Sequence[float]) -> Doubt | None:
    named = ply if ply.moments else _named_after(game, ply)
    if named is None:
        return None
    moment = named.moments[0]
    return Doubt(
        at=moment.start,
        end=max(moment.start, ends[moment.named_end - 1]),
        first_word=moment.first_word,
        end_word=moment.named_end,
        heard=moment.heard,
        game=number,
        line=line_of(game, ply)[:-1],
        uci=ply.uci,
        san=ply.san,
        role="played" if ply.played else "considered",
        confidence=round(confidence, 3),
        reason=ply.reason or (UNNAMED if ply.inferred else ""),
        runners_up=ply.runners_up,
    )


def _named_after(game: Game, ply: Ply) -> Ply | None:
    """The first named ply among those that follow from one that nobody names."""
    below = {ply.id}
    for other in game.plies:
        if other.parent in below:
            below.add(other.id)
    named = [other for other in game.plies if other.id in below and other.moments]
    return min(named, key=lambda other: other.moments[0].start, default=None)
