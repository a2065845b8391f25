"""What the search makes of words that leave something open, where later words or the rules of chess settle it."""

from __future__ import annotations

from dataclasses import replace

import chess
import pytest

from sync.follow.model import CONTINUE, GAME, IN_SIDE, fitted
from sync.follow.search import (
    FIRST,
    FREE_TO_LEAVE,
    OF_LENGTH,
    Search,
    State,
    different,
    groups,
    main_readings,
    merged,
    rivals,
    spots,
)
from sync.mentions import spot
from tests.follow.talk import before, followed, game_moves, line, ply, talk

OPENED = (
    "White begins with pawn to e4, and black answers with pawn to e5. "
    "White plays knight to f3, and black plays knight to c6. "
    "White plays bishop to c4, and black plays bishop to c5. "
)
TWO_ROOKS = "r4rk1/ppp2ppp/2n2n2/8/8/2N2N2/PPP2PPP/R4RK1 w - - 0 12"


def test_a_side_line_from_far_back_starts_where_its_moves_are_legal() -> None:
    """Only after e4 it is black who can play c5, and only before Nf3 that white can play it in answer."""
    text = "Earlier black could have played pawn to c5 on the first move, and then white would play knight to f3."
    game = followed(OPENED + text)
    assert line(game) == "e4 e5 Nf3 Nc6 Bc4 Bc5"
    assert [(each.san, before(game, each)) for each in game.plies if not each.played] == [("c5", "e4"), ("Nf3", "c5")]


@pytest.mark.parametrize(("rook", "first", "later"), [("a1 to b1", "Rfd1", "Rab1"), ("f1 to e1", "Rad1", "Rfe1")])
def test_which_of_two_rooks_it_was_is_told_by_where_the_other_one_still_is(rook: str, first: str, later: str) -> None:
    text = f"White plays rook to d1. Black answers pawn to h6. Now white plays the rook from {rook}."
    game = followed(text, TWO_ROOKS)
    assert line(game) == f"{first} h6 {later}"
    assert ({"Rfd1", "Rad1"} - {first}) <= {other.san for other in game.plies[0].runners_up}


@pytest.mark.parametrize(("rook", "san"), [("a1", "Rad1"), ("f1", "Rfd1")])
@pytest.mark.parametrize("text", ["White's rook comes to d1, the one from {}. ", "White brings the {} rook to d1. "])
def test_the_square_a_piece_comes_from_may_stand_before_or_behind_its_name(text: str, rook: str, san: str) -> None:
    assert line(followed(text.format(rook) + "Black answers pawn to h6.", TWO_ROOKS)) == f"{san} h6"


def test_names_that_no_comma_divides_are_told_apart_by_what_is_legal() -> None:
    text = "knight f3 knight c6 bishop b5 a6 bishop takes c6 d takes d3 bishop d6 knight b d2 b5"
    assert line(followed(f"e4 e5 {text}")) == "e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6 d3 Bd6 Nbd2 b5"


@pytest.mark.parametrize(
    ("told", "names"),
    [
        ("White begins with pawn to e4, and black answers with pawn to c5. ", ["pawn to c5.", "Sicilian defence."]),
        ("White begins with pawn to e4. ", ["Sicilian defence."]),
    ],
)
def test_an_opening_names_its_last_move_whether_or_not_it_was_named_before(told: str, names: list[str]) -> None:
    game = followed(f"{told}This is the Sicilian defence. Now white plays knight to f3, and black plays pawn to d6.")
    assert line(game) == "e4 c5 Nf3 d6"
    assert [moment.heard for moment in ply(game, "c5").moments] == names


def test_bare_squares_are_where_a_piece_goes_on_to() -> None:
    """Where no pawn can go to a square, it is likelier the next one of the piece that its side moved last."""
    text = OPENED + "White plays pawn to d3, and black plays pawn to d6. Knight to c3, h6, d5, a6, castles."
    assert line(followed(text)).endswith("d3 d6 Nc3 h6 Nd5 a6 O-O")


def test_two_moves_that_nobody_names_are_found_by_what_is_played_after_them() -> None:
    """White can take on c6 with a bishop only after it has come to b5, and black has moved in between."""
    text = (
        "e4, e5, knight f3, knight c6. Then they both brought out a piece. Now white plays bishop takes c6, and black "
        "takes back, d takes c6. White castles, and black plays bishop to d6. Rook to e1, queen e7."
    )
    game = followed(text)
    sans = line(game).split()
    assert (sans[:5], sans[6:]) == ("e4 e5 Nf3 Nc6 Bb5".split(), "Bxc6 dxc6 O-O Bd6 Re1 Qe7".split())
    inferred = [each.inferred for each in game.plies if each.played]
    assert inferred == [False] * 4 + [True] * 2 + [False] * 6


def states(search: Search, *lines: str) -> list[State]:
    """One hypothesis for each game, in SAN apart by spaces, the first the best."""
    found = []
    for number, sans in enumerate(lines):
        place = search.places.root
        for move in game_moves(sans):
            place = search.places.after(place, move)
        found.append(replace(search.start, score=-float(number), tip=place, cursor=place, base=place))
    return found


def test_of_hypotheses_with_one_game_the_best_is_taken_and_no_more_games_than_asked_for() -> None:
    one, again, two, three = states(Search(chess.Board(), fitted()), "e4", "e4", "d4", "c4")
    assert different([one, again, two, three], 2) == [one, two]
    assert different([one, again, two, three], 3) == [one, two, three]
    assert different([one, again, two, three], 9) == [one, two, three]


def test_of_two_hypotheses_that_differ_no_more_the_better_one_stays() -> None:
    one, again, two, three = states(Search(chess.Board(), fitted()), "e4", "e4", "d4", "c4")
    assert merged([two, again], [three, one], FIRST) == [one, two, three]
    assert merged([one, two], [again, three], FIRST) == [one, two, three]
    later = replace(again, free=one.free + 1)
    assert merged([one], [later], FIRST) == [one, later]


def test_the_best_of_each_length_of_game_live_on_further_behind() -> None:
    """Where a side line was taken for the game, it is one with a shorter game that is right."""
    games = "e4 e5", "d4 d5", "e4", "d4", "c4", "b3", "e4 c5", ""
    behind = 0.0, 11.5, 12.0, 13.0, 14.0, 15.0, 16.0, 21.0
    hypotheses = states(Search(chess.Board(), fitted()), *games)
    found = [replace(state, score=-nats) for state, nats in zip(hypotheses, behind, strict=True)]
    assert FIRST.drop < 11.5 and 16.0 < FIRST.rare < 21.0 and OF_LENGTH == 3
    kept = [state.tip.ply for state in merged(found, [], FIRST)]
    assert kept == [2, 2, 1, 1, 1, 2]  # not the fourth of one ply, nor the one of none that is too far behind


def test_long_behind_is_followed_on_where_few_have_such_a_game() -> None:
    """A hypothesis that is 15 nats behind takes the next move as the others do, but where many are nearer."""
    search = Search(chess.Board(), fitted())
    transcript = talk("White plays knight to f3.")
    parts = groups(spots(transcript, spot(transcript), fitted()))
    best, shorter, *others = states(search, "e4 e5 d4 d5", "e4 e5", "d4 d5", "c4 c5", "b3 b6", "a3 a6")
    behind = replace(shorter, score=-15.0)

    def goes_on(beam: list[State]) -> bool:
        for group in parts:
            beam, _ = search.read(beam, group, FIRST)
        return any(state.tip.parent is shorter.tip for state in beam)

    assert goes_on([best, behind])
    assert not goes_on([best, *(replace(each, score=-13.0) for each in others), behind])


def test_in_a_side_line_of_its_game_a_hypothesis_is_kept_apart_from_those_with_other_games() -> None:
    """However many others talk about the same place, for it shows only later what of the way there was played."""
    search = Search(chess.Board(), fitted())
    place = states(search, "e4 e5 Nf3")[0].tip
    firsts = [chess.Board().san(move) for move in chess.Board().legal_moves if move.uci() != "e2e4"]
    others = [f"{first} {answer}" for first in firsts for answer in ("a6", "b6")]
    assert len(others) > FIRST.same_place
    elsewhere = [
        replace(state, cursor=place, base=search.places.root, mode=IN_SIDE) for state in states(search, *others)
    ]
    own = [replace(state, cursor=place, base=state.tip, mode=IN_SIDE) for state in states(search, "e4", "e4 e5")]
    behind = [replace(state, score=-9.0) for state in own]
    near = [replace(state, score=0.0) for state in elsewhere]
    kept = merged(near, behind, FIRST)
    assert [state in kept for state in behind] == [True, True]
    assert sum(state in kept for state in near) == FIRST.same_place


def test_the_best_with_each_game_may_leave_a_place_that_many_talk_about() -> None:
    """Of two with one game only the better one may, where enough others are better still."""
    search = Search(chess.Board(), fitted())
    place = states(search, "e4 e5 Nf3")[0].tip
    games = states(search, "d4", "c4", "b3", "a3", "e4", "e4 e5")
    assert len(games) == FREE_TO_LEAVE + 1
    beam = [
        replace(state, cursor=place, base=state.tip if state.tip.leads_to(place) else search.places.root, mode=IN_SIDE)
        for state in games
    ]
    last = beam[-1]

    def leaves(beam: list[State]) -> bool:
        transcript = talk("Or instead of that white goes bishop to c4.")
        for group in groups(spots(transcript, spot(transcript), fitted())):
            beam, _ = search.read(beam, group, FIRST)
        ways = (step for state in beam for step in state.steps)
        return any(step.before is last and step.kind not in (GAME, CONTINUE) for step in ways)

    assert leaves(beam)
    assert not leaves([*beam[:-1], replace(last), last])


@pytest.mark.parametrize(
    ("text", "main"),
    [
        ("castles, also queenside", ["castles, also queenside"]),  # the side is told after a comma
        ("retreats to b6", ["retreats to b6"]),
        ("castles, knight f3", ["castles,", "knight f3"]),
        ("g8, promoting to a queen", ["g8, promoting to a queen"]),  # one move, in spite of the comma
        ("the e pawn goes one step", ["e pawn goes one step"]),
        ("bishop d3 a6 and", ["bishop d3", "a6"]),  # rather two moves, where no comma is heard
        ("rook d8, the one from a8, white's queen takes", ["rook d8, the one from a8,", "queen takes"]),
    ],
)
def test_the_main_reading_is_the_one_that_says_most(text: str, main: list[str]) -> None:
    assert [mention.heard for mention in main_readings(spot(talk(text)))] == main


def test_a_second_reading_knows_the_main_ones_of_its_words() -> None:
    found = spot(talk("knight c3 takes d5 and retreats to b6"))
    main = main_readings(found)
    assert [mention.heard for mention in main] == ["knight c3 takes d5", "retreats to b6"]
    for mention, over in zip(found, rivals(found), strict=True):
        alike = [each for each in main if each.first < mention.last and mention.first < each.last]
        assert [each for _, each in over] == ([] if mention in main else alike)
