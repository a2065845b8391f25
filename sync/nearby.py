"""A fix, and what it changes close by: at once, while the whole talk is still being followed for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import takewhile

import chess

from sync.follow import Fix, follow
from sync.lesson import Game
from sync.lesson.edits import lines_of
from sync.lesson.speaker import Speaker, spot_as
from sync.mentions import Mention
from sync.revise import Task

AHEAD = 15.0
"""Seconds of talk after a fix that are followed for it at once."""


@dataclass(frozen=True, slots=True)
class Nearby:
    """games: as they are read up to until (seconds)."""

    games: tuple[Game, ...]
    until: float


class Vicinity:
    """Follows a talk near a fix: what comes before stays as it is read, so that there is little to search.

    It keeps the mentions of the last talk that it was asked about, for there are many fixes to one talk.
    """

    def __init__(self) -> None:
        self._of: tuple[object, ...] = ()
        self._mentions: tuple[Mention, ...] = ()

    def __call__(self, task: Task, games: Sequence[Game], fix: Fix) -> Nearby | None:
        """games: as they are read so far, fix: one of the task's. None for a talk of several games."""
        if len(games) != 1:
            return None
        ends = [word.end for word in task.transcript.words]
        before = [each for each in as_read(games[0], ends) if each.end <= fix.start]
        until = fix.end + AHEAD
        words = tuple(takewhile(lambda word: word.start < until, task.transcript.words))
        later = [each for each in task.fixes if fix.start <= each.start and each.end <= until]
        near = [
            mention for mention in self._spotted(task) if mention.start >= fix.start and mention.last <= len(words)
        ]
        found = follow(
            replace(task.transcript, words=words, duration=until),
            near,
            start_fen=task.start_fen,
            moves=None if task.moves is None else [chess.Move.from_uci(uci) for uci in task.moves],
            fixes=[*before, *later],
        )
        return Nearby(found, until)

    def _spotted(self, task: Task) -> tuple[Mention, ...]:
        if self._of != (task.transcript, task.forms):
            self._mentions = spot_as(task.transcript, Speaker("", task.forms))
            self._of = (task.transcript, task.forms)
        return self._mentions


def as_read(game: Game, ends: Sequence[float]) -> list[Fix]:
    """Fixes that leave every moment of a game as it is, in time order. ends: when each word ends, in seconds."""
    fixes = []
    for line, ply in lines_of(game).items():
        role = "played" if ply.played else "considered"
        for number, moment in enumerate(ply.moments):
            end = max(moment.start, ends[moment.named_end - 1])
            fixes.append(Fix(moment.start, end, ply.uci, "repeat" if number else role, line[:-1]))  # type: ignore[arg-type]
    return sorted(fixes, key=lambda fix: fix.start)
