"""Which position the talk is about, against the plain reading of the rule."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import chess
from hypothesis import given
from hypothesis import strategies as st

from sync.files.steps import SHORTEST, Step, board_steps, lesson_moments, step_at
from sync.lesson.lesson import Game, Lesson, Moment, Ply
from tests.page.lessons import long_lesson, small_lesson


def moment(start: float, end: float) -> Moment:
    return Moment(start, end, 0, 1, 1, "", "")


@st.composite
def lessons(draw: st.DrawFn) -> Lesson:
    """Up to three games, one after another, with moments anywhere in them, also in and across each other."""
    games = []
    for number in range(draw(st.integers(1, 3))):
        begin = number * 100
        board = chess.Board()
        plies = []
        for ply in range(draw(st.integers(0, 6))):
            move = next(iter(board.legal_moves))
            times = draw(st.lists(st.tuples(st.integers(0, 99), st.integers(0, 30)), max_size=3))
            moments = tuple(moment(begin + start, begin + min(start + length, 100)) for start, length in sorted(times))
            plies.append(Ply(ply, ply - 1 if ply else None, move.uci(), board.san(move), True, moments=moments))
            board.push(move)
        games.append(Game(chess.STARTING_FEN, tuple(plies), float(begin), float(begin + 100), 0, 1))
    return Lesson("", None, tuple(games))


@given(lessons(), st.lists(st.floats(0, 300), max_size=20))
def test_a_moment_that_covers_a_time_decides(lesson: Lesson, times: list[float]) -> None:
    moments = lesson_moments(lesson)
    steps = board_steps(lesson)
    for time in [*times, *(each.moment.start for each in moments)]:
        step = step_at(steps, time)
        covering = [
            index
            for index, each in enumerate(moments)
            if each.moment.start <= time < max(each.moment.end, each.moment.start + SHORTEST)
        ]
        if covering:
            assert step.moment == covering[-1]
            assert (step.game, step.ply) == (moments[covering[-1]].game, moments[covering[-1]].ply)
        elif step.moment is not None:
            assert moments[step.moment].moment.start <= time
            assert step.game == max(index for index, game in enumerate(lesson.games) if game.start <= time)


@given(lessons())
def test_steps_go_on_from_zero_and_each_differs_from_the_last(lesson: Lesson) -> None:
    steps = board_steps(lesson)
    assert steps[0].start == 0
    for before, after in pairwise(steps):
        assert before.start < after.start
        assert replace(before, start=0) != replace(after, start=0)


def test_between_moments_the_last_position_holds() -> None:
    lesson, _ = small_lesson()
    game = lesson.games[0]
    plies = []
    for ply in game.plies:
        short = tuple(replace(each, end=each.start + 0.5) for each in ply.moments)
        plies.append(replace(ply, moments=short))
    steps = board_steps(replace(lesson, games=(replace(game, plies=tuple(plies)),)))
    assert [step.ply for step in steps] == [None, 1, 2, 3, 4, 5, 6, 3, 7, 9]


def test_a_moment_that_ends_where_it_starts_is_on_the_board_then() -> None:
    plies = (Ply(0, None, "e2e4", "e4", True, moments=(moment(5.0, 5.0),)),)
    lesson = Lesson("", None, (Game(chess.STARTING_FEN, plies, 0.0, 10.0, 0, 1),))
    assert board_steps(lesson) == [Step(0.0, 0, None, None), Step(5.0, 0, 0, 0)]


def test_before_the_talk_about_the_first_game_its_start_position_is_shown() -> None:
    plies = (Ply(0, None, "e2e4", "e4", True, moments=(moment(25.0, 30.0),)),)
    lesson = Lesson("", None, (Game(chess.STARTING_FEN, plies, 20.0, 30.0, 0, 1),))
    assert board_steps(lesson) == [Step(0.0, 0, None, None), Step(25.0, 0, 0, 0)]


def test_a_lesson_without_games_has_no_steps() -> None:
    assert board_steps(Lesson("", None, ())) == []


def test_a_game_begins_with_its_start_position() -> None:
    lesson, _ = long_lesson(moments=240, seconds=240)
    later = [
        replace(game, plies=tuple(replace(ply, moments=()) for ply in game.plies)) if number else game
        for number, game in enumerate(lesson.games)
    ]
    steps = board_steps(replace(lesson, games=tuple(later)))
    assert (steps[-1].game, steps[-1].ply) == (len(later) - 1, None)
