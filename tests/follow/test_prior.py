"""What is so about a move before anything is said of it: told from the rules of chess."""

from __future__ import annotations

import math
from random import Random

import chess
import pytest

from sync.follow.model import CONSIDERED, PLAYED, fitted
from sync.follow.prior import CHECKS, LOSSES, effects, en_prise, traits
from sync.follow.search import USUAL_MOVE, Search

START = chess.STARTING_FEN
EXCHANGE = "4k3/2p5/3p4/4n3/8/5N2/8/4K3 w - - 0 20"
"""The knight on e5 is guarded by a pawn, so that taking it is an exchange of knights."""


def found(fen: str, uci: str, last: str = "", own_last: str = "") -> set[str]:
    board = chess.Board(fen)
    move = chess.Move.from_uci(uci)
    assert board.is_legal(move)
    told = traits(
        board,
        move,
        chess.Move.from_uci(last) if last else None,
        chess.Move.from_uci(own_last) if own_last else None,
    )
    assert len(told) == len(set(told))
    return set(told)


@pytest.mark.parametrize(
    ("fen", "uci", "wanted"),
    [
        (START, "e2e4", {"piece=pawn", "centre-pawn"}),
        (START, "a2a3", {"piece=pawn"}),
        (START, "g1f3", {"piece=knight", "develops"}),
        ("4k3/8/8/8/8/8/3P4/4K3 w - - 0 20", "d2d3", {"piece=pawn"}),
        ("4k3/8/8/8/8/8/8/R3K3 w Q - 0 20", "e1c1", {"piece=king", "castles"}),
        ("4k3/8/8/8/8/8/8/4K3 w - - 0 14", "e1e2", {"piece=king", "early-king"}),
        ("4k3/8/8/8/8/8/8/4K3 w - - 0 15", "e1e2", {"piece=king"}),
        ("4k3/4r3/8/8/8/8/8/4K3 w - - 0 9", "e1d1", {"piece=king", "leaves-attack"}),
        ("8/P6k/8/8/8/8/8/4K3 w - - 0 40", "a7a8q", {"piece=pawn", "queens"}),
        ("8/P6k/8/8/8/8/8/4K3 w - - 0 40", "a7a8n", {"piece=pawn", "underpromotes"}),
        ("4k3/8/8/8/8/8/4K3/R6R w - - 0 20", "a1d1", {"piece=rook", "twin"}),
        ("4k3/8/8/8/8/8/8/RK5R w - - 0 20", "a1a5", {"piece=rook"}),
        ("4k3/8/8/8/8/2N3N1/8/4K3 w - - 0 20", "c3e4", {"piece=knight", "twin"}),
        ("4k3/8/8/8/8/2Q3Q1/8/4K3 w - - 0 20", "c3d3", {"piece=queen"}),
    ],
)
def test_a_quiet_move(fen: str, uci: str, wanted: set[str]) -> None:
    assert found(fen, uci) == wanted


@pytest.mark.parametrize(
    ("fen", "uci", "wanted"),
    [
        (EXCHANGE, "f3e5", {"piece=knight", "takes", "trades", "leaves-attack"}),
        ("4k3/8/8/4n3/8/5N2/8/4K3 w - - 0 20", "f3e5", {"piece=knight", "takes", "wins", "leaves-attack"}),
        ("4k3/8/3p4/4p3/8/5N2/8/4K3 w - - 0 20", "f3e5", {"piece=knight", "takes", "gives"}),
        ("4k3/8/3p4/4r3/8/5N2/8/4K3 w - - 0 20", "f3e5", {"piece=knight", "takes", "wins"}),
        ("4k3/8/8/3pP3/8/8/8/4K3 w - d6 0 20", "e5d6", {"piece=pawn", "takes", "wins"}),
        ("4k3/2p5/8/3pP3/8/8/8/4K3 w - d6 0 20", "e5d6", {"piece=pawn", "takes", "trades"}),
    ],
)
def test_a_capture_wins_trades_or_gives(fen: str, uci: str, wanted: set[str]) -> None:
    assert found(fen, uci) == wanted


@pytest.mark.parametrize(
    ("fen", "uci", "wanted"),
    [
        ("4k3/8/3p4/8/8/5N2/8/4K3 w - - 0 20", "f3e5", {"piece=knight", "onto-pawn"}),
        ("4k3/8/8/r7/8/5N2/8/4K3 w - - 0 20", "f3e5", {"piece=knight", "hangs"}),
        ("4k3/8/8/r7/3P4/5N2/8/4K3 w - - 0 20", "f3e5", {"piece=knight"}),
        ("4k3/8/8/r7/8/8/4P3/4K3 w - - 0 20", "e2e4", {"piece=pawn", "centre-pawn"}),
        ("4k3/8/8/r7/4P3/8/8/4K3 w - - 0 20", "e4e5", {"piece=pawn", "centre-pawn"}),
    ],
)
def test_a_piece_is_put_where_it_can_be_taken(fen: str, uci: str, wanted: set[str]) -> None:
    assert found(fen, uci) == wanted


@pytest.mark.parametrize(
    ("fen", "leaves"),
    [
        ("4k3/8/8/8/4p3/5N2/8/4K3 w - - 0 20", True),  # by a pawn
        ("4k3/8/8/8/4p3/5N2/6P1/4K3 w - - 0 20", True),  # by a pawn, though it is guarded
        ("4k3/8/8/5r2/8/5N2/8/4K3 w - - 0 20", True),  # by a rook, unguarded
        ("4k3/8/8/5r2/8/5N2/6P1/4K3 w - - 0 20", False),  # by a rook, guarded
        ("4k3/8/8/8/8/5N2/8/4K3 w - - 0 20", False),
    ],
)
def test_a_piece_that_was_in_danger_leaves(fen: str, leaves: bool) -> None:
    assert ("leaves-attack" in found(fen, "f3h2")) == leaves


def test_what_the_moves_before_say() -> None:
    taken = {"piece=knight", "takes", "trades", "leaves-attack"}
    assert found(EXCHANGE, "f3e5", last="c6e5") == taken | {"takes-back"}
    assert found(EXCHANGE, "f3e5", last="d7d6") == taken
    quiet = "4k3/8/8/8/8/5N2/8/4K3 w - - 0 20"
    assert found(quiet, "f3g5", own_last="e5f3") == {"piece=knight", "same-piece"}
    assert found(quiet, "f3e5", own_last="e5f3") == {"piece=knight", "same-piece", "undoes"}
    assert found(quiet, "f3e5", own_last="e2e1") == {"piece=knight"}
    assert found(quiet, "f3e5", last="d7e5") == {"piece=knight"}


@pytest.mark.parametrize(
    ("fen", "worth"),
    [
        (START, 0),
        ("4k3/8/8/3q4/8/4N3/8/4K3 w - - 0 20", 9),  # a queen that nothing defends
        ("4k3/4p3/3q4/8/4N3/8/8/4K3 w - - 0 20", 6),  # a queen for a knight
        ("4k3/4p3/3n4/8/4N3/8/8/4K3 w - - 0 20", 0),  # a knight for a knight
        ("4k3/8/3n4/8/4N3/8/8/4K3 w - - 0 20", 3),
        ("4k3/8/3n4/8/4N3/8/8/4K3 b - - 0 20", 3),  # the same for the other side
        ("4k3/4r3/8/3q4/8/4N3/8/4K3 w - - 0 20", 0),  # the knight is pinned
        ("4r1k1/8/8/4q3/8/4R3/8/4K3 w - - 0 20", 4),  # a pinned rook takes along the pin
        ("4k3/8/8/3q4/8/4N3/8/r3K3 w - - 0 20", 0),  # white is in check
        ("4k3/8/8/8/8/8/8/4K3 w - - 0 20", 0),
    ],
)
def test_what_can_be_had_for_nothing(fen: str, worth: int) -> None:
    assert en_prise(chess.Board(fen)) == worth


@pytest.mark.parametrize(("fen", "dear"), [("4k3/8/8/3q4/8/4N3/8/4K3 w - - 0 20", True), (START, False)])
def test_a_move_that_leaves_a_queen_en_prise_costs_something(fen: str, dear: bool) -> None:
    """A queen that could be taken for nothing and is not (common practice, no source)."""
    board = chess.Board(fen)
    search = Search(board, fitted())
    for move in board.legal_moves:
        cost = search.neglect(search.places.root, move)
        assert (cost > 0.0) == (dear and not board.is_capture(move))


@pytest.mark.parametrize(
    ("fen", "uci", "wanted"),
    [
        (START, "e2e4", ("loses=0",)),
        ("4k3/8/8/3p4/8/8/4P3/4K3 w - - 0 20", "e2e4", ("loses=1",)),
        ("4k3/8/8/3p4/8/5N2/8/4K3 w - - 0 20", "f3d4", ("loses=0",)),
        ("4k3/8/8/3p4/8/3B4/8/4K3 w - - 0 20", "d3e4", ("loses=3",)),
        ("4k3/8/8/3p4/8/3Q4/8/4K3 w - - 0 20", "d3e4", ("loses=0", "check")),
        ("3k4/8/8/3p4/8/3Q4/8/4K3 w - - 0 20", "d3e4", ("loses=8",)),
        ("4k3/8/2p5/3p4/8/4B3/6B1/4K3 w - - 0 20", "g2d5", ("loses=3-takes",)),
        ("7k/8/6K1/8/8/8/8/R7 w - - 0 20", "a1a8", ("loses=0", "check", "mate")),
    ],
)
def test_what_a_move_brings_about(fen: str, uci: str, wanted: tuple[str, ...]) -> None:
    board, move = chess.Board(fen), chess.Move.from_uci(uci)
    assert board.is_legal(move)
    after = board.copy()
    after.push(move)
    assert effects(board, move, after) == wanted
    assert wanted[0] in LOSSES
    assert set(wanted[1:]) <= set(CHECKS)


def test_what_a_move_says_is_never_more_than_what_is_asked_before_the_move_is_made() -> None:
    """Else the search would pass by a step that belongs into its beam."""
    chance = Random(7)
    seen = set[str]()
    for fen in (START, EXCHANGE, "7k/8/6K1/8/8/8/8/R7 w - - 0 20"):
        search = Search(chess.Board(fen), fitted())
        place = search.places.root
        while place.ply < 40 and not place.board.is_game_over():
            for move in place.board.legal_moves:
                for role in (PLAYED, CONSIDERED):
                    assert search.sense(role, place, move) <= search.most_sense(role, place, move) + 1e-9
                seen.update(effects(place.board, move, search.places.after(place, move).board))
            place = search.places.after(place, chance.choice(list(place.board.legal_moves)))
    assert seen == {*CHECKS, *LOSSES}


def test_the_shares_of_the_moves_of_a_position_add_up_to_one() -> None:
    search = Search(chess.Board(EXCHANGE), fitted())
    root = search.places.root
    shares = [math.exp(search.natural(root, move) - USUAL_MOVE) for move in root.board.legal_moves]
    assert math.isclose(sum(shares), 1.0)
