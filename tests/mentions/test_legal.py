"""Where pieces may go, beside python-chess's own moves."""

from __future__ import annotations

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sync.mentions.match import EXACT, LegalMoves, may_reach
from tests.mentions.talk import whole
from tests.mentions.test_forms import STARTS

POSITIONS = [
    # pinned along a file, a rank and a diagonal; the pinning piece stands on the edge
    "4r2k/8/8/8/8/4N3/8/4K3 w - - 0 1",
    "7k/8/8/8/8/8/8/r2RK3 w - - 0 1",
    "7k/8/8/7b/8/5P2/4R3/3K4 w - - 0 1",
    "7k/8/8/7b/6P1/8/8/3K4 w - - 0 1",
    "4k3/4p3/8/8/8/8/8/4RK2 b - - 0 1",
    # a pinned pawn that may take its pinner
    "7k/8/8/8/8/6b1/5P2/4K3 w - - 0 1",
    # taking in passing, which would lay the king open; and where it may be done
    "8/8/8/8/k2Pp2Q/8/8/3K4 b - d3 0 1",
    "4k3/8/8/3pP3/8/8/8/4K3 w - d6 0 1",
    "4k3/8/8/K2pP2r/8/8/8/8 w - d6 0 1",
    "4k3/8/2b5/3pP3/4K3/8/8/8 w - d6 0 1",
    # in check, by one piece and by two
    "4k3/8/8/8/7b/8/3P4/R3K2R w KQ - 0 1",
    "4k3/8/8/8/7b/8/8/R3K2r w Q - 0 1",
    # castling, open and closed; promotions with and without taking
    "r3k2r/8/8/8/8/8/8/R3K2R w KQkq - 0 1",
    "r3k2r/8/8/8/8/6n1/8/R3K2R w KQkq - 0 1",
    "1n5k/P7/8/8/8/8/8/K7 w - - 0 1",
    "k7/8/8/8/8/8/p6K/1R6 b - - 0 1",
    # the king beside the enemy's pieces, defended and not
    "7k/8/8/8/8/2b5/3qK3/8 w - - 0 1",
    "7k/8/8/8/8/8/3nK3/8 w - - 0 1",
]


def by_library(board: chess.Board) -> list[chess.Move]:
    """python-chess's moves, castling last."""
    return sorted(board.generate_legal_moves(), key=board.is_castling)


@pytest.mark.parametrize("fen", POSITIONS)
def test_set_positions(fen: str) -> None:
    board = chess.Board(fen)
    assert LegalMoves(board).all() == by_library(board)


@settings(max_examples=100, deadline=None)
@given(start=st.sampled_from(STARTS), choices=st.lists(st.integers(0, 255), max_size=80))
def test_any_game(start: str, choices: list[int]) -> None:
    board = chess.Board(start)
    for choice in choices:
        moves = by_library(board)
        assert LegalMoves(board).all() == moves, board.fen()
        if not moves:
            return
        board.push(moves[choice % len(moves)])


def test_without_kings() -> None:
    board = chess.Board("8/8/8/3p4/4P3/8/8/N7 w - - 0 1")
    assert LegalMoves(board).all() == by_library(board)


NAMES = ("knight f3", "bishop takes c6", "e4", "takes d5", "rook d1", "queen h5", "king g2", "castles", "exd6")


@settings(max_examples=100, deadline=None)
@given(start=st.sampled_from(STARTS), choices=st.lists(st.integers(0, 255), max_size=60), name=st.sampled_from(NAMES))
def test_who_names_a_move_exactly_may_reach_its_square(start: str, choices: list[int], name: str) -> None:
    board = chess.Board(start)
    for choice in choices:
        moves = list(board.legal_moves)
        if not moves:
            return
        board.push(moves[choice % len(moves)])
    for mention in whole(name):
        if any(named.cost < EXACT for named in LegalMoves(board).named(mention)):
            assert may_reach(mention, board, board.turn, board.occupied)
            assert may_reach(mention, board, board.turn, board.occupied_co[board.turn])


@pytest.mark.parametrize(
    ("name", "fen", "there"),
    [
        ("knight f3", "4k3/8/8/8/8/8/8/4K1N1 w - - 0 1", True),
        ("knight f4", "4k3/8/8/8/8/8/8/4K1N1 w - - 0 1", False),
        ("bishop f3", "4k3/8/8/8/8/8/6P1/4K2B w - - 0 1", False),  # the pawn is in the way
        ("bishop f3", "4k3/8/8/8/8/8/8/4K2B w - - 0 1", True),
        ("e5", "4k3/8/8/8/4P3/8/8/4K3 w - - 0 1", True),
        ("d5", "4k3/8/8/8/4P3/8/8/4K3 w - - 0 1", True),  # it might take there
        ("c5", "4k3/8/8/8/4P3/8/8/4K3 w - - 0 1", False),
        ("castles", "4k3/8/8/8/8/8/8/4K3 w - - 0 1", True),  # no square is said
    ],
)
def test_may_reach(name: str, fen: str, there: bool) -> None:
    board = chess.Board(fen)
    [mention] = whole(name)
    assert may_reach(mention, board, board.turn, board.occupied) is there
