"""Development lessons with their game given, on exactly the words that were said."""

from __future__ import annotations

from pathlib import Path

import chess
import pytest

from sync.follow import follow
from sync.follow.tree import Game
from sync.mentions import spot
from tests.fitting.corpus import Mark, read_script, spoken

LESSONS = Path(__file__).parents[1] / "lessons"
NEAR = 1.0
"""Seconds by which a ply may be placed before or after the words that are marked as naming it."""


def placed(name: str) -> tuple[Game, list[str], dict[int, Mark]]:
    """The game as followed, its moves in SAN, and the mark of each ply that the speaker names, from 1."""
    script = read_script(LESSONS / f"{name}.lesson.txt")
    transcript, marks = spoken(script)
    board = chess.Board(script.start_fen)
    moves = [board.push_san(san) for san in script.game]
    (game,) = follow(transcript, spot(transcript), start_fen=script.start_fen, moves=moves)
    return game, script.game, {int(mark.tag[2:]): mark for mark in marks if mark.tag.startswith("M ")}


@pytest.mark.parametrize("name", ["s1", "s2", "c5", "c6", "d5", "a6", "g4"])
def test_every_ply_that_is_named_is_placed_where_it_is_named(name: str) -> None:
    game, sans, marks = placed(name)
    played = [ply for ply in game.plies if ply.played]
    assert [ply.san for ply in played] == sans[: len(played)]
    assert len(played) >= max(marks)
    for number, mark in marks.items():
        ply = played[number - 1]
        assert ply.moments, (number, mark.words)
        assert mark.start - NEAR <= ply.moments[0].start <= mark.end + NEAR, (number, mark.words)


def test_the_marks_are_found_in_the_lessons() -> None:
    """So that the test above cannot pass with nothing to look at."""
    counts = {name: len(placed(name)[2]) for name in ("s1", "s2")}
    assert counts == {"s1": 20, "s2": 20}
