"""Which position the talk is about, second by second."""

from __future__ import annotations

import heapq
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from sync.lesson.lesson import Lesson, Moment

SHORTEST = 0.001
"""Seconds. A moment that ends where it starts is given this much, so that it is on the board at its onset."""


@dataclass(frozen=True, slots=True)
class LessonMoment:
    """A moment with the ply it belongs to. game: index in the lesson; ply: its id in that game."""

    game: int
    ply: int
    moment: Moment


@dataclass(frozen=True, slots=True)
class Step:
    """From start (seconds) to the start of the next step the talk is about one position.

    moment: index into lesson_moments(); None while nothing was named yet.
    ply: id of the ply whose position it is; None for the game's start position.
    """

    start: float
    game: int
    ply: int | None
    moment: int | None


def lesson_moments(lesson: Lesson) -> list[LessonMoment]:
    """All moments by onset; of those that begin together, the ply that stands later in its game comes last."""
    moments = (
        LessonMoment(index, ply.id, moment)
        for index, game in enumerate(lesson.games)
        for ply in game.plies
        for moment in ply.moments
    )
    return sorted(moments, key=lambda each: each.moment.start)


def board_steps(lesson: Lesson) -> list[Step]:
    """The lesson's steps in time order; the first starts at 0, none when the lesson has no games.

    At each time the moment that covers it decides; of several, the one that began last. Between moments the last
    position holds; where a game's part of the talk begins, its start position.
    """
    if not lesson.games:
        return []
    moments = [each.moment for each in lesson_moments(lesson)]
    owners = [(each.game, each.ply) for each in lesson_moments(lesson)]
    openings = {game.start: index for index, game in enumerate(lesson.games)}
    ends = [max(moment.end, moment.start + SHORTEST) for moment in moments]
    bounds = sorted({0.0, *openings, *(moment.start for moment in moments), *ends})

    steps: list[Step] = []
    open_moments: list[int] = []  # a heap of negative indices: the moment that began last is on top
    coming = 0
    held = Step(0.0, 0, None, None)
    for bound in bounds:
        while coming < len(moments) and moments[coming].start <= bound:
            heapq.heappush(open_moments, -coming)
            coming += 1
        while open_moments and ends[-open_moments[0]] <= bound:
            heapq.heappop(open_moments)
        if open_moments:
            index = -open_moments[0]
            held = Step(bound, *owners[index], index)
        elif bound in openings:
            held = Step(bound, openings[bound], None, None)
        if not steps or (held.game, held.ply, held.moment) != (steps[-1].game, steps[-1].ply, steps[-1].moment):
            steps.append(Step(bound, held.game, held.ply, held.moment))
    return steps


def step_at(steps: Sequence[Step], seconds: float) -> Step:
    """The step that holds at a time; the first for times before 0. steps must not be empty."""
    return steps[max(0, bisect_right(steps, seconds, key=lambda step: step.start) - 1)]
