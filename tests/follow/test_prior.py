"""What stands en prise and what a move brings about: told from the rules of chess."""

from __future__ import annotations

import math
from random import Random

import chess
import pytest

from sync.follow.model import CONSIDERED, PLAYED, fitted
from sync.follow.prior import CHECKS, LOSSES, effects, en_prise
from sync.follow.search import USUAL_MOVE, Search

START = chess.STARTING_FEN
EXCHANGE = "4k3/2p5/3p4/4n3/8/5N2/8/4K3 w - - 0 20"
"""The knight on e5 is guarded by a pawn, so that taking it is an exchange of knights."""


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
