"""The steps by which a hypothesis can keep to a fix, and the mentions that a fix leaves."""

from __future__ import annotations

import chess
import pytest

from sync.follow import Fix
from sync.follow.fixed import fixed_options, with_fixes
from sync.follow.fixes import Role
from sync.follow.model import BACK, CONTINUE, GAME, INSTEAD, OPEN, REPEAT
from sync.follow.place import Place, Places
from sync.mentions import spot
from tests.follow.talk import at, before, followed, line, ply, talk

GAME_LINE = ("e2e4", "e7e5", "g1f3")
SIDE_LINE = ("e2e4", "c7c5")

Option = tuple[int, tuple[str, ...], tuple[str, ...]]
"""A kind of step, the line to the place it starts from, and the moves that nobody names before its own."""


def place(places: Places, moves: tuple[str, ...]) -> Place:
    found = places.root
    for uci in moves:
        found = places.after(found, chess.Move.from_uci(uci))
    return found


def options(
    uci: str, role: Role | None, line: tuple[str, ...] | None, may_play: bool = True, cut: bool = False
) -> list[Option]:
    """For a hypothesis whose game is GAME_LINE, and whose talk is at the end of SIDE_LINE.

    cut: its tree has been cut to the last place of the game.
    """
    places = Places(chess.Board())
    tip, cursor = place(places, GAME_LINE), place(places, SIDE_LINE)
    tree = frozenset([tip.id] if cut else places.by_id)
    fix = Fix(0.0, 1.0, uci, role, line)
    found = list(fixed_options(places, fix, tip, cursor, tree, lambda *_: may_play))
    assert {move.uci() for _, _, move, _ in found} <= {uci}
    return [
        (kind, tuple(each.move.uci() for each in start.line() if each.move), tuple(move.uci() for move in silent))
        for kind, start, _, silent in found
    ]


@pytest.mark.parametrize("role", [None, "played", "considered", "repeat"])
def test_a_move_of_the_game_that_was_named_is_named_again(role: Role | None) -> None:
    assert options("e7e5", role, ("e2e4",)) == [(REPEAT, ("e2e4",), ())]


@pytest.mark.parametrize("role", [None, "considered", "repeat"])
def test_so_is_a_move_of_a_side_line(role: Role | None) -> None:
    assert options("c7c5", role, ("e2e4",)) == [(REPEAT, ("e2e4",), ())]


def test_a_move_in_place_of_one_that_was_played_cannot_be_played() -> None:
    assert options("c7c5", "played", ("e2e4",)) == []
    assert options("e7e6", "played", ("e2e4",)) == []


def test_a_move_that_was_never_named_cannot_be_named_again() -> None:
    assert options("b8c6", "repeat", GAME_LINE) == []


def test_a_new_move_at_the_end_of_the_game_is_played_or_considered() -> None:
    played, considered = (GAME, GAME_LINE, ()), (OPEN, GAME_LINE, ())
    assert options("b8c6", "played", GAME_LINE) == [played]
    assert options("b8c6", "considered", GAME_LINE) == [considered]
    assert options("b8c6", None, GAME_LINE) == [played, considered]
    assert options("b8c6", None, GAME_LINE, may_play=False) == [considered]


def test_moves_on_the_way_that_nobody_named_come_along() -> None:
    further = (*GAME_LINE, "b8c6", "d2d4")
    assert options("e5d4", "played", further) == [(GAME, GAME_LINE, ("b8c6", "d2d4"))]
    ((_, start, silent),) = options("e5d4", "considered", further)
    assert (start, silent) == (GAME_LINE, ("b8c6", "d2d4"))


@pytest.mark.parametrize(
    ("uci", "line", "kind"),
    [
        ("b1c3", SIDE_LINE, CONTINUE),
        ("e7e6", ("e2e4",), INSTEAD),
        ("b8c6", ("e2e4", "e7e5", "g1f3"), OPEN),
        ("b1c3", ("e2e4", "e7e5"), BACK),
        ("d2d4", (), BACK),
    ],
)
def test_a_considered_move_is_called_by_where_it_starts(uci: str, line: tuple[str, ...], kind: int) -> None:
    assert options(uci, "considered", line) == [(kind, line, ())]


def test_without_a_line_a_move_may_start_wherever_it_is_legal_on_the_way_here() -> None:
    """Knight to f3 is white's: before e4, after e5 where it was named, and after c5."""
    found = options("g1f3", None, None)
    assert sorted(found) == sorted([(REPEAT, ("e2e4", "e7e5"), ()), (CONTINUE, SIDE_LINE, ()), (BACK, (), ())])


@pytest.mark.parametrize("line", [("e2e5",), ("e2e4", "e7e5", "e2e4")])
def test_a_line_that_cannot_be_played_leads_nowhere(line: tuple[str, ...]) -> None:
    assert options("g1f3", None, line) == []


def test_of_a_tree_that_was_cut_the_start_position_is_left() -> None:
    assert options("b1c3", "considered", ("e2e4", "e7e5"), cut=True) == [(BACK, (), ("e2e4", "e7e5"))]


ROW = "White begins with pawn e4, pawn e5, knight f3, knight c6, bishop b5."
"""Each mention ends where the next one begins."""


def test_a_fix_leaves_the_mentions_right_before_and_after_it() -> None:
    game = followed(ROW, fixes=[Fix(*at(ROW, "pawn e5,"), "c7c5", "played")])
    assert line(game).split()[:3] == ["e4", "c5", "Nf3"]
    assert [moment.heard for moment in ply(game, "e4").moments] == ["pawn e4,"]
    assert [moment.heard for moment in ply(game, "Nf3").moments] == ["knight f3,"]


def test_a_role_is_given_to_the_words_meant_and_not_to_those_beside_them() -> None:
    transcript = talk(ROW)
    mentions = spot(transcript)
    fix = Fix(*at(ROW, "knight c6,"), role="considered")
    kept, bound = with_fixes(transcript, mentions, [fix])
    assert {kept[index].heard for index in bound} == {"knight c6,"}
    assert set(bound.values()) == {fix}
    assert [each for each in kept if each.heard != "knight c6,"] == [
        each for each in mentions if each.last <= 9 or each.first >= 11
    ]


def test_a_considered_move_brings_the_moves_before_it_that_nobody_named() -> None:
    text = "White begins with pawn to e4, and black answers with pawn to e5. There is also a trap with the knight."
    fix = Fix(*at(text, "the knight."), "f3e5", "considered", ("e2e4", "e7e5", "g1f3", "g8f6"))
    game = followed(text, fixes=[fix])
    assert line(game) == "e4 e5"
    assert [before(game, ply(game, san)) for san in ("Nf3", "Nf6", "Nxe5")] == ["e5", "Nf3", "Nf6"]
    assert [each.san for each in game.plies if each.inferred] == ["Nf3", "Nf6"]
