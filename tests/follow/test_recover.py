"""Going back to where a talk was misunderstood."""

from __future__ import annotations

from pathlib import Path

import chess
import pytest

from sync.follow.model import fitted
from sync.follow.recover import POOR, WINDOW, Trail, fits_after, run
from sync.follow.search import FIRST, Search, Spot, State, clear, groups, spots
from sync.mentions.spot import spot
from tests.fitting.corpus import read_script, spoken

LESSONS = Path(__file__).parent.parent / "lessons"


def found_in(name: str) -> tuple[Search, list[Spot]]:
    script = read_script(LESSONS / f"{name}.lesson.txt")
    transcript, _ = spoken(script)
    return Search(chess.Board(script.start_fen), fitted()), spots(transcript, spot(transcript), fitted())


def read_once(search: Search, found: list[Spot]) -> State:
    """The best hypothesis without ever going back."""
    beam = [search.start]
    for group in groups(found):
        beam, _ = search.read(beam, group, FIRST)
    return beam[0]


def test_going_back_finds_a_better_reading_of_a_hard_talk() -> None:
    search, found = found_in("aa6")
    once = read_once(search, found).score
    search, found = found_in("aa6")
    score = run(search, found)[0].score
    assert score > once + WINDOW


@pytest.mark.parametrize("name", ["s1", "c5"])
def test_a_plain_talk_is_read_as_without_going_back(name: str) -> None:
    search, found = found_in(name)
    once = read_once(search, found)
    search, found = found_in(name)
    assert run(search, found)[0].tip.line()[-1].board.fen() == once.tip.board.fen()


def test_a_target_is_legal_only_after_the_moves_that_lead_to_it() -> None:
    _, found = found_in("s1")
    target = next(each for each in found if each.mention.full and "knight" in each.mention.heard.lower())
    board = chess.Board()
    assert target.mention.heard
    named = {move for move in board.legal_moves if fits_after(board, [], target)}
    assert named, target.mention.heard
    e4, e5, e6 = (chess.Move.from_uci(uci) for uci in ("e2e4", "e7e5", "e7e6"))
    assert not fits_after(board, [e4], target)  # the other side is to move
    assert fits_after(board, [e4, e5], target)
    assert not fits_after(board, [e5, e6], target)  # cannot be played


def trail_of(scores: list[float], found: list[Spot]) -> Trail:
    """What is told after each clear mention when the best score is as given."""
    parts = groups(found)
    search = Search(chess.Board(), fitted())
    trail = Trail(parts, clear(found), search.start)
    marks = [index for index, group in enumerate(parts) if any(each.key in clear(found) for each in group.here)]
    for index, score in zip(marks, scores, strict=False):
        root = search.places.root
        state = State(score, root, root, root, 0, frozenset((0,)), 0, 0)
        trail.note(index, [state], [])
    return trail


def test_a_window_of_poor_scores_is_being_stuck() -> None:
    _, found = found_in("s1")
    good = [2 * POOR * count for count in range(1, WINDOW + 1)]
    poor = [POOR / 2 * count for count in range(1, WINDOW + 1)]
    assert not trail_of(good, found).stuck
    assert not trail_of(poor[:-1], found).stuck  # too little heard to tell
    trail = trail_of(poor, found)
    assert trail.stuck
    again = trail_of([*poor, poor[-1]], found)
    assert again.stuck
    assert not Trail(trail.parts, frozenset(), Search(chess.Board(), fitted()).start).stuck
