"""Going back to where a talk was misunderstood."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import chess
import pytest

from sync.follow.fixes import Fix
from sync.follow.model import GAME, fitted
from sync.follow.recover import (
    POOR,
    WINDOW,
    Trail,
    changed,
    changes,
    fits_after,
    once,
    poorest,
    readings,
    run,
    scores_at,
)
from sync.follow.search import FIRST, Group, Search, Spot, State, Width, clear, groups, spots
from sync.mentions.spot import spot
from tests.fitting.corpus import read_script, spoken
from tests.follow.talk import at, talk

LESSONS = Path(__file__).parent.parent / "lessons"


def found_in(name: str) -> tuple[Search, list[Spot]]:
    script = read_script(LESSONS / f"{name}.lesson.txt")
    transcript, _ = spoken(script)
    return Search(chess.Board(script.start_fen), fitted()), spots(transcript, spot(transcript), fitted())


NARROW = replace(FIRST, states=8, same_length=1, drop=3.5, rare=5.0)


def read_once(search: Search, found: list[Spot], width: Width = FIRST) -> State:
    """The best hypothesis without ever going back."""
    beam = [search.start]
    for group in groups(found):
        beam, _ = search.read(beam, group, width)
    return beam[0]


def test_going_back_finds_a_better_reading_of_a_hard_talk() -> None:
    """One of which a narrow beam loses the right hypothesis."""
    search, found = found_in("aa7")
    without = read_once(search, found, NARROW).score
    search, found = found_in("aa7")
    score = once(search, found, NARROW)[0].score
    assert score > without + WINDOW


@pytest.mark.parametrize("name", ["s1", "c5"])
def test_a_plain_talk_is_read_as_without_going_back(name: str) -> None:
    search, found = found_in(name)
    without = read_once(search, found)
    search, found = found_in(name)
    assert run(search, found)[0].tip.line()[-1].board.fen() == without.tip.board.fen()


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
    recent = trail_of([*good, *(good[-1] + score for score in poor)], found)
    assert recent.stuck  # however good it was before
    assert not trail_of([*poor[:-1], 2 * POOR * WINDOW], found).stuck  # the last one made up for it


def test_scores_are_counted_from_what_was_made_of_the_beam() -> None:
    """Reading again brings the score up at once; that is no sign that what follows is read well."""
    _, found = found_in("s1")
    poor = [POOR / 2 * count for count in range(1, WINDOW + 1)]
    trail = trail_of(poor, found)
    better = 10 * POOR * WINDOW
    root = Search(chess.Board(), fitted()).start
    trail.noted([replace(root, score=better)])
    marks = [index for index, group in enumerate(trail.parts) if any(each.key in clear(found) for each in group.here)]
    for index, score in zip(marks[WINDOW:], poor, strict=False):
        trail.note(index, [replace(root, score=better + score)], [])
    assert trail.stuck


ROOKS = "r4rk1/ppp2ppp/2n5/8/8/2N5/1PP3PP/R4RK1 w - - 0 12"
ROOK_TALK = (
    "White played rook to d1, and black played pawn to h6. Then white played rook takes {}. "
    "And black played pawn to b6."
)
"""Two rooks can go to d1; the one that takes on a7 comes from a1, the one on f7 from f1: it was the other one."""
ONE = Width(states=1, same_length=1, same_depth=1, same_place=1, drop=10.0, rare=10.0, bridged=3.5)


def rooks(taken: str = "a7") -> tuple[Search, list[Spot], list[Group]]:
    transcript = talk(ROOK_TALK.format(taken))
    found = spots(transcript, spot(transcript), fitted())
    return Search(chess.Board(ROOKS), fitted()), found, groups(found)


def sans(state: State) -> str:
    return " ".join(place.parent.board.san(place.move) for place in state.tip.line() if place.parent and place.move)


def hypothesis(search: Search, parts: list[Group], wanted: str) -> tuple[int, State]:
    """The first group after which the beam has a game, and the best hypothesis with that game."""
    beam = [search.start]
    for index, group in enumerate(parts):
        beam, _ = search.read(beam, group, FIRST)
        for state in beam:
            if sans(state) == wanted:
                return index, state
    raise AssertionError(f"never read as {wanted}")


def target_of(found: list[Spot], heard: str) -> Spot:
    return next(each for each in found if each.mention.full and each.mention.heard.startswith(heard))


def test_a_change_makes_a_later_move_legal_and_keeps_the_words() -> None:
    search, found, parts = rooks()
    _, wrong = hypothesis(search, parts, "Rad1 h6")
    target = target_of(found, "rook takes a7.")
    made = list(changes(search, wrong, target))
    assert {step.spot.mention.heard for step, _ in made} == {"rook to d1,"}
    assert made[0][1] == chess.Move.from_uci("f1d1")
    assert "a1" not in {chess.square_name(move.from_square) for _, move in made}
    assert {step.kind for step, _ in made} == {GAME}


def test_what_comes_of_a_change_goes_on_to_the_move_that_asked_for_it() -> None:
    search, found, parts = rooks()
    _, wrong = hypothesis(search, parts, "Rad1 h6")
    target = target_of(found, "rook takes a7.")
    index = next(number for number, group in enumerate(parts) if target in group.here)
    trail = Trail(parts, clear(found), search.start)
    best = max(changed(search, trail, index, wrong, target), key=lambda state: state.score)
    assert sans(best) == "Rfd1 h6 Rxa7"
    assert best.free == target.mention.last


def test_each_move_of_the_game_may_be_another_one_for_the_same_words() -> None:
    search, found, parts = rooks()
    index, wrong = hypothesis(search, parts, "Rad1 h6")
    trail = Trail(parts, clear(found), search.start)
    for number in range(index + 1):
        trail.note(number, [wrong], [])
    others = {(number, sans(state)) for number, state in readings(search, trail, wrong)}
    first = trail.number(target_of(found, "rook to d1,"))
    assert (first + 1, "Rfd1") in others
    assert "Rad1" not in {game for number, game in others if number == first + 1}
    assert all(number <= index + 1 and game != "Rad1 h6" for number, game in others)


def test_what_an_editor_has_fixed_is_not_read_as_another_move() -> None:
    text = ROOK_TALK.format("a7")
    transcript = talk(text)
    fix = Fix(*at(text, "rook to d1,"), "a1d1", "played")
    found = spots(transcript, spot(transcript), fitted(), [fix])
    search, parts = Search(chess.Board(ROOKS), fitted()), groups(found)
    _, fixed = hypothesis(search, parts, "Rad1")
    trail = Trail(parts, clear(found), search.start)
    trail.note(0, [fixed], [])
    assert list(readings(search, trail, fixed)) == []


def test_only_a_clear_mention_of_words_still_free_is_a_surprise() -> None:
    search, found, parts = rooks()
    _, wrong = hypothesis(search, parts, "Rad1 h6")
    _, right = hypothesis(search, parts, "Rfd1 h6")
    target = target_of(found, "rook takes a7.")
    index = next(number for number, group in enumerate(parts) if target in group.here)
    trail = Trail(parts, frozenset((target.key,)), search.start)
    assert trail.surprise(index, wrong) is target
    assert trail.surprise(index, right) is None
    assert trail.surprise(index, replace(wrong, free=target.mention.last)) is None
    assert Trail(parts, frozenset(), search.start).surprise(index, wrong) is None


@pytest.mark.parametrize("way", ["surprise", "stuck"])
@pytest.mark.parametrize(("taken", "right"), [("a7", "Rfd1 h6 Rxa7 b6"), ("f7", "Rad1 h6 Rxf7 b6")])
def test_a_beam_too_narrow_for_the_right_reading_finds_it_by_going_back(
    taken: str, right: str, way: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of two rooks one is kept, for one of the talks the wrong one. Either way of going back is enough."""
    monkeypatch.setattr("sync.follow.recover.FIRST", ONE)
    monkeypatch.setattr("sync.follow.recover.WELL", -math.inf)  # not by reading it all again
    if way == "stuck":
        monkeypatch.setattr(Trail, "surprise", lambda *_: None)
        monkeypatch.setattr("sync.follow.recover.WINDOW", 2)
        monkeypatch.setattr("sync.follow.recover.POOR", 1000.0)
    search, found, _ = rooks(taken)
    assert sans(run(search, found)[0]) == right


def test_a_beam_that_narrow_reads_one_of_the_two_talks_wrongly() -> None:
    """So that the test above cannot pass without going back."""
    wrong = 0
    for taken, right in (("a7", "Rfd1 h6 Rxa7 b6"), ("f7", "Rad1 h6 Rxf7 b6")):
        search, _, parts = rooks(taken)
        beam = [search.start]
        for group in parts:
            beam, _ = search.read(beam, group, ONE)
        wrong += sans(beam[0]) != right
    assert wrong == 1


@pytest.mark.parametrize(
    ("well", "longest", "right"),
    [(math.inf, 20, 2), (-math.inf, 20, 1), (math.inf, 3, 1)],
    ids=["badly", "well", "long"],
)
def test_a_talk_that_is_followed_badly_and_is_not_long_is_read_again_with_a_wide_beam(
    well: float, longest: int, right: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of the two talks the narrow beam reads one wrongly, and here it never goes back."""
    monkeypatch.setattr("sync.follow.recover.FIRST", ONE)
    monkeypatch.setattr("sync.follow.recover.WELL", well)
    monkeypatch.setattr("sync.follow.recover.LONGEST", longest)
    monkeypatch.setattr(Trail, "surprise", lambda *_: None)
    games = {"a7": "Rfd1 h6 Rxa7 b6", "f7": "Rad1 h6 Rxf7 b6"}
    assert sum(sans(run(*rooks(taken)[:2])[0]) == game for taken, game in games.items()) == right


def read_and_clear(name: str) -> tuple[State, list[Spot], list[int]]:
    """The best hypothesis of a talk, its mentions, and the words at which clear ones begin."""
    search, found = found_in(name)
    plain = clear(found)
    return read_once(search, found), found, [each.mention.first for each in found if each.key in plain]


def brought(state: State, words: Sequence[int]) -> list[float]:
    """What the steps of a hypothesis brought up to each of some words, from the one before on."""
    return [score - before for before, score in pairwise([0.0, *scores_at(state, words)])]


def test_what_the_steps_brought_is_told_for_each_word() -> None:
    best, found, words = read_and_clear("s1")
    gains = brought(best, words)
    assert len(gains) == len(words) > 2 * WINDOW
    last = words[-1]
    assert sum(gains) == pytest.approx(brought(best, [last])[0])
    assert brought(best, [last, last]) == pytest.approx([sum(gains), 0.0])
    assert brought(best, [found[0].mention.first - 1]) == [0.0]
    assert sum(gain > 0 for gain in gains) > 0.9 * len(gains)


def test_the_poorest_stretch_of_a_talk_tells_how_well_it_is_followed(monkeypatch: pytest.MonkeyPatch) -> None:
    best, found, words = read_and_clear("s1")
    gains = brought(best, words)
    for length in (1, 3, len(gains)):
        monkeypatch.setattr("sync.follow.recover.STRETCH", length)
        sums = [sum(gains[at : at + length]) for at in range(len(gains) - length + 1)]
        assert poorest(best, found) == pytest.approx(min(sums) / length)
    monkeypatch.setattr("sync.follow.recover.STRETCH", 2 * len(gains))  # the talk is shorter: all of it
    assert poorest(best, found) == pytest.approx(sum(gains) / len(gains))
    assert poorest(best, []) == 0.0


def test_a_given_game_is_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sync.follow.recover.WELL", math.inf)
    search, found, parts = rooks()
    search.given = search.places.root
    widths: list[Width] = []
    read = search.read

    def noted(beam: list[State], group: Group, width: Width) -> tuple[list[State], list[State]]:
        widths.append(width)
        return read(beam, group, width)

    monkeypatch.setattr(search, "read", noted)
    run(search, found)
    assert widths == [FIRST] * len(parts)


def test_who_watches_is_told_each_group_again_where_the_talk_is_read_once_more(monkeypatch: pytest.MonkeyPatch) -> None:
    begins = [group.first for group in rooks()[2]]
    for well, times in ((-math.inf, 1), (math.inf, 2)):
        monkeypatch.setattr("sync.follow.recover.WELL", well)
        search, found, _ = rooks()
        told: list[int] = []
        run(search, found, told.append)
        assert told == begins * times


def test_what_was_dropped_long_ago_is_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sync.follow.recover.REMEMBERED", 3)
    _, found = found_in("s1")
    parts = groups(found)
    search = Search(chess.Board(), fitted())
    trail = Trail(parts, clear(found), search.start)
    marks = [index for index, group in enumerate(parts) if any(each.key in clear(found) for each in group.here)]
    assert len(marks) > 2 * WINDOW
    for index in range(len(parts)):
        trail.note(index, [search.start], [search.start])
    assert trail.begin == marks[-3]
