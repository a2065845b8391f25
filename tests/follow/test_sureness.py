"""How sure a step is among its rivals, and the line that says why it is not surer."""

from __future__ import annotations

import math
from dataclasses import replace

import chess
import pytest

from sync.follow.follow import _reason, _sure, with_first_names
from sync.follow.model import GAME, OPEN, fitted
from sync.follow.place import Place
from sync.follow.posterior import SHOWN, SOFTEN, Belief, beliefs, certainties
from sync.follow.search import Search, Spot, State, Step, spots
from sync.mentions import spot
from tests.follow.talk import game_moves, talk

TALK = talk("Pawn to e4 and then perhaps pawn to d4 as well.")
SPOTS = spots(TALK, spot(TALK), fitted())
FIRST, LATER = (next(each for each in SPOTS if each.mention.heard == heard) for heard in ("Pawn to e4", "pawn to d4"))


def weight(score: float) -> float:
    """The share of a hypothesis is that of this."""
    return math.exp(SOFTEN * score)


class Lattice:
    """Hypotheses put together by hand, from the start position."""

    def __init__(self) -> None:
        self.search = Search(chess.Board(), fitted())
        self.start = self.search.start

    def place(self, sans: str) -> Place:
        found = self.search.places.root
        for move in game_moves(sans):
            found = self.search.places.after(found, move)
        return found

    def step(self, sans: str, score: float, kind: int = GAME, by: Spot = FIRST, before: State | None = None) -> Step:
        return Step(before or self.start, by, kind, self.place(sans), (), score)

    def state(self, *ways: Step) -> State:
        return replace(self.start, steps=list(ways), entry=-math.inf)


def test_of_rivals_each_has_its_share() -> None:
    made = Lattice()
    one, two = made.step("e4", 3.0), made.step("e3", 1.0)
    (belief,) = beliefs([made.state(one), made.state(two)], [one])
    whole = weight(3.0) + weight(1.0)
    assert belief.move == pytest.approx(weight(3.0) / whole)
    assert belief.role == 1.0
    assert belief.passed == pytest.approx(0.0)
    ((other, share),) = belief.others
    assert other == two.place.move
    assert share == pytest.approx(weight(1.0) / whole)


def test_a_hypothesis_that_passes_the_words_by_counts_against_all_readings() -> None:
    made = Lattice()
    one = made.step("e4", 3.0)
    (belief,) = beliefs([made.state(one), made.start], [one])
    assert belief.move == pytest.approx(weight(3.0) / (weight(3.0) + 1))
    assert belief.passed == pytest.approx(1 / (weight(3.0) + 1))
    assert belief.others == ()


def test_the_role_is_shared_among_those_that_take_the_words_for_the_same_move() -> None:
    made = Lattice()
    played, considered, other = made.step("e4", 2.0), made.step("e4", 1.0, OPEN), made.step("e3", 2.0)
    (belief,) = beliefs([made.state(played), made.state(considered), made.state(other)], [played])
    same = weight(2.0) + weight(1.0)
    assert belief.move == pytest.approx(same / (same + weight(2.0)))
    assert belief.role == pytest.approx(weight(2.0) / same)


def test_moves_from_another_place_are_no_runners_up() -> None:
    made = Lattice()
    one, elsewhere = made.step("e4", 2.0), made.step("d4 e5", 2.0)
    (belief,) = beliefs([made.state(one), made.state(elsewhere)], [one])
    assert [belief.move, belief.passed] == pytest.approx([0.5, 0.0])
    assert belief.others == ()


def test_runners_up_stand_by_their_shares_and_unlikely_ones_are_left_out() -> None:
    made = Lattice()
    one = made.step("e4", 0.0)
    others = [made.step(san, score) for san, score in (("d4", -2.0), ("c4", -1.0), ("a3", -40.0))]
    (belief,) = beliefs([made.state(each) for each in (one, *others)], [one])
    assert [move.uci() for move, _ in belief.others] == ["c2c4", "d2d4"]
    assert all(share >= SHOWN for _, share in belief.others)


def test_what_comes_later_tells_of_what_came_before() -> None:
    """Only after e4 are the later words a good move: the sums go through the whole hypothesis."""
    made = Lattice()
    one, two = made.step("e4", 1.0), made.step("e3", 1.0)
    after_one, after_two = made.state(one), made.state(two)
    good = made.step("e4 d5", 4.0, by=LATER, before=after_one)
    bad = made.step("e3 d5", -4.0, by=LATER, before=after_two)
    first, second = beliefs([made.state(good), made.state(bad)], [one, good])
    assert first.move == second.move == pytest.approx(weight(4.0) / (weight(4.0) + weight(-4.0)))


def test_two_ways_to_one_hypothesis_are_added_up() -> None:
    made = Lattice()
    early, late = made.step("e4", 2.0), made.step("e4", 1.0, by=LATER)
    one, two = beliefs([made.state(early, late)], [early, late])
    whole = weight(2.0) + weight(1.0)
    assert [one.move, two.move] == pytest.approx([weight(2.0) / whole, weight(1.0) / whole])


def test_a_step_is_surer_the_better_its_share_and_what_is_around_it() -> None:
    made = Lattice()

    def certainty(move: float, score: float, later: float) -> float:
        steps = [made.step("e4", score), made.step("e4 e5", later, by=LATER)]
        believed = [Belief(move, 1.0, (), 0.0), Belief(0.5, 1.0, (), 0.0)]
        return certainties(steps, believed, SPOTS)[0]

    middle = certainty(0.5, 3.0, 3.0)
    assert 0.0 < certainty(0.1, 3.0, 3.0) < middle < certainty(0.9, 3.0, 3.0) < 1.0
    assert certainty(0.5, 0.0, 3.0) < middle < certainty(0.5, 6.0, 3.0)
    assert certainty(0.5, 3.0, 0.0) < middle < certainty(0.5, 3.0, 6.0)
    assert 0.0 < certainty(0.0, 3.0, 3.0) < certainty(1.0, 3.0, 3.0) < 1.0


@pytest.mark.parametrize("apart", [60.0, 6000.0])
def test_a_rival_that_is_far_better_leaves_nothing(apart: float) -> None:
    made = Lattice()
    one, two = made.step("e4", 0.0), made.step("e3", apart)
    (belief,) = beliefs([made.state(one), made.state(two)], [one])
    assert (belief.move, belief.role) == (0.0, 0.0)
    ((other, share),) = belief.others
    assert other == two.place.move
    assert share == pytest.approx(1.0)


def test_a_bad_step_makes_those_near_it_doubtful_and_not_those_far_away() -> None:
    made = Lattice()
    believed = [Belief(0.5, 1.0, (), 0.0)] * 60

    def all_of(bad: dict[int, float]) -> list[float]:
        steps = [made.step("e4", bad.get(number, 3.0)) for number in range(60)]
        return certainties(steps, believed, SPOTS)

    plain, bad, good = all_of({}), all_of({3: -3.0}), all_of({4: 9.0})
    assert all(bad[number] < plain[number] for number in range(12))
    assert bad[-1] == plain[-1]
    assert good[3] > plain[3]
    assert good[-1] == plain[-1]


def test_a_doubt_about_a_move_is_one_about_what_follows_from_it_and_about_nothing_else() -> None:
    made = Lattice()
    steps = [made.step("e4", 3.0), made.step("e4 e5", 3.0, by=LATER), made.step("d4", 3.0, by=LATER)]

    def all_of(first: float) -> list[float]:
        return certainties(steps, [Belief(first, 1.0, (), 0.0), *[Belief(0.5, 1.0, (), 0.0)] * 2], SPOTS)

    doubtful, sure = all_of(0.2), all_of(0.9)
    assert doubtful[1] < sure[1]
    assert doubtful[2] == sure[2]


E3 = chess.Move.from_uci("e2e3")
ROLE = "played or only considered: the talk does not say"
OTHERS = "other moves fit these words as well"
PASSED = "these words may name no move at all"
EARLIER = "an earlier move is in doubt, and this one with it"
AROUND = "the talk around it fits this reading badly"


@pytest.mark.parametrize(
    ("belief", "certainty", "misheard", "reason"),
    [
        (Belief(1.0, 1.0, (), 0.0), 1.0, False, ""),
        (Belief(0.97, 1.0, ((E3, 0.03),), 0.0), 0.97, False, ""),
        (Belief(1.0, 0.6, (), 0.0), 0.6, False, ROLE),
        (Belief(0.6, 1.0, ((E3, 0.4),), 0.0), 0.6, False, OTHERS),
        (Belief(0.6, 1.0, ((E3, 0.4),), 0.0), 0.6, True, f"misheard words: {OTHERS}"),
        (Belief(0.6, 1.0, (), 0.4), 0.6, False, PASSED),
        (Belief(0.6, 1.0, (), 0.4), 0.6, True, PASSED),
        (Belief(0.6, 1.0, (), 0.0), 0.6, False, EARLIER),
        (Belief(0.6, 1.0, (), 0.0), 0.4, False, EARLIER),
        (Belief(0.0, 0.0, (), 0.0), 0.0, False, EARLIER),
        (Belief(1.0, 1.0, (), 0.0), 0.5, False, AROUND),
        (Belief(0.9, 1.0, (), 0.1), 0.5, False, AROUND),
    ],
)
def test_the_largest_doubt_is_the_reason(belief: Belief, certainty: float, misheard: bool, reason: str) -> None:
    made = Lattice()
    heard = replace(FIRST, mention=replace(FIRST.mention, cost=3.0 if misheard else 0.0))
    assert _reason(made.step("e4", 1.0, by=heard), belief, certainty) == reason


def test_in_a_given_game_a_move_is_as_sure_as_its_words_and_its_role() -> None:
    made = Lattice()
    played, considered = made.step("e4", 2.0), made.step("e4", 1.0, OPEN)
    sure = _sure([made.state(played), made.state(considered)], [played], SPOTS, given=True)
    (_, _, certainty) = sure[played.place.id]
    assert certainty == pytest.approx(weight(2.0) / (weight(2.0) + weight(1.0)))


def test_a_move_is_told_where_it_is_named_first_even_by_the_first_words_of_all() -> None:
    words = talk("Pawn to e4. That is how white began. The pawn to e4 move is an old one.")
    found = spots(words, spot(words), fitted())
    first = next(each for each in found if each.mention.first == 0 and each.mention.full)
    again = next(each for each in found if each.mention.first > 6 and each.mention.heard.endswith("pawn to e4"))
    made = Lattice()
    step = made.step("e4", 1.0, by=again)
    assert made.search.worth(step, first) > 0.0
    assert [each.spot for each in with_first_names(made.search, [first, again], [step])] == [first, again]
    overlapping = replace(first, mention=replace(first.mention, last=again.mention.first + 1))
    assert with_first_names(made.search, [overlapping, again], [step]) == [step]
