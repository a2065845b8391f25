"""What people say for a move is spotted, and matched with that move."""

from __future__ import annotations

import re
from collections.abc import Callable

import chess
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sync.mentions import sayings
from sync.mentions.forms import spoken_forms
from sync.mentions.match import LegalMoves
from tests.mentions.talk import cost

MOST = 2.0
"""Nats below which a move counts as named."""
TURNS = 4
"""Each move is tried with every fourth of its forms, another fourth each time."""

STARTS = (
    chess.STARTING_FEN,
    "r3k2r/p1ppqpb1/1n2pnp1/3PN3/1p2P3/2N2Q1p/P1PB1P1P/R3K2R w KQkq - 0 1",
    "4k3/P1P1P1P1/8/2pP4/2P5/8/p1p1p1p1/4K3 w - c6 0 1",
    "1n2k1n1/P1P1P2P/8/3PpP2/8/2N1N3/4Q3/R1N1K2R w KQ e6 0 1",
    "r6r/8/1n1n4/3q2k1/1q1q4/8/5K2/8 b - - 0 1",
)
"""Besides the start position, invented ones that are rich in castling, en passant, promotion and like pieces."""


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    start=st.sampled_from(STARTS),
    choices=st.lists(st.integers(0, 255), min_size=10, max_size=40),
    turn=st.integers(0, TURNS - 1),
)
def test_every_form_names_its_move(start: str, choices: list[int], turn: int) -> None:
    board = chess.Board(start)
    for number, choice in enumerate(choices, turn):
        moves = list(board.legal_moves)
        if not moves:
            return
        move, legal = moves[choice % len(moves)], LegalMoves(board)
        for form in spoken_forms(board, move)[number % TURNS :: TURNS]:
            assert cost(form, legal, move) < MOST, (form, board.fen(), move)
        board.push(move)


SQUARE = re.compile(r"\b([a-h])([1-8])\b")
FIGURES = ("one", "two", "three", "four", "five", "six", "seven", "eight")
SPELLINGS: tuple[Callable[[re.Match[str]], str], ...] = (
    lambda square: f"{square[1].upper()}{square[2]}",
    lambda square: f"{square[1]} {square[2]}",
    lambda square: f"{square[1]} {FIGURES[int(square[2]) - 1]}",
    lambda square: f"{square[1]}-{square[2]}",
)
"""How recognisers write squares (common practice, no source)."""


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    start=st.sampled_from(STARTS),
    choices=st.lists(st.integers(0, 255), min_size=5, max_size=30),
    spelling=st.sampled_from(SPELLINGS),
    ending=st.sampled_from(["", ".", ",", "!"]),
)
def test_squares_may_be_written_in_other_ways(
    start: str, choices: list[int], spelling: Callable[[re.Match[str]], str], ending: str
) -> None:
    board = chess.Board(start)
    for number, choice in enumerate(choices):
        moves = list(board.legal_moves)
        if not moves:
            return
        move, legal = moves[choice % len(moves)], LegalMoves(board)
        for form in spoken_forms(board, move)[number % 10 :: 10]:
            written = SQUARE.sub(spelling, form)
            written = written[0].upper() + written[1:] + ending
            assert cost(written, legal, move) < MOST, (written, board.fen(), move)
        board.push(move)


def forms(fen: str, san: str) -> tuple[str, ...]:
    board = chess.Board(fen)
    return spoken_forms(board, board.parse_san(san))


@pytest.mark.parametrize(
    ("fen", "san", "expected"),
    [
        (chess.STARTING_FEN, "Nf3", {"knight f3", "knight to f3", "the knight goes to f3"}),
        (chess.STARTING_FEN, "e4", {"e4", "pawn e4", "pawn to e4", "e pawn two squares"}),
        ("3rk3/8/8/8/8/8/5K2/R4R2 w - - 0 1", "Rac1",
         {"rook c1", "rook a c1", "rook a to c1", "the a rook to c1", "the rook on a1 to c1", "rook a1 c1"}),
        ("R7/8/8/8/8/4k3/8/R5K1 w - - 0 1", "R8a3+",
         {"rook 8 to a3", "the rook on the eighth rank a3", "rook a3 check", "rook a8 to a3 with check"}),
        ("4k3/8/8/3p4/4P3/8/8/4K3 w - - 0 1", "exd5",
         {"e takes d5", "pawn captures pawn", "e recaptures on d5", "grabs the pawn", "takes", "e takes d",
          "the e pawn takes d5"}),
        ("4k3/8/8/3pP3/8/8/8/4K3 w - d6 0 1", "exd6", {"en passant", "e takes d6 en passant", "takes d6"}),
        ("8/P7/8/8/8/4k3/8/4K3 w - - 0 1", "a8=N", {"a8 knight", "a8 equals knight", "pawn to a8 becomes a knight"}),
        ("8/P7/8/8/8/4k3/8/4K3 w - - 0 1", "a8=Q", {"a8 queens", "a8", "pawn promotes to a queen"}),
        ("4k3/8/8/8/8/8/8/R3K3 w Q - 0 1", "O-O-O", {"castles", "castles long", "castles queenside", "0-0-0"}),
        ("6k1/5ppp/8/8/8/8/8/R5K1 w - - 0 1", "Ra8#",
         {"rook a8", "rook a8 check", "rook to a8 mate", "rook a8 and it's checkmate"}),
    ],
)  # fmt: skip
def test_forms_that_people_use(fen: str, san: str, expected: set[str]) -> None:
    assert expected <= set(forms(fen, san))


@pytest.mark.parametrize(
    ("fen", "san", "word"),
    [
        (chess.STARTING_FEN, "Nf3", "takes"),
        (chess.STARTING_FEN, "Nf3", "check"),
        ("4k3/8/8/8/8/8/8/R3K2R w KQ - 0 1", "O-O", "long"),
        ("3rk3/8/8/8/8/8/8/R3K3 w - - 0 1", "Rc1", "on"),
        ("8/P7/8/8/8/4k3/8/4K3 w - - 0 1", "a8=N", "queen"),
    ],
)
def test_nothing_untrue_is_said(fen: str, san: str, word: str) -> None:
    assert not any(word in form.split() for form in forms(fen, san))


def test_each_form_once_and_in_plain_words() -> None:
    found = forms("3rk3/8/8/8/8/8/5K2/R4R2 w - - 0 1", "Rac1")
    assert len(found) == len(set(found))
    assert all(form == " ".join(form.split()) and "{" not in form for form in found)


def test_names_of_castling_are_those_of_the_laws() -> None:
    # FIDE Laws, Appendix C 14: "0-0" castling with rook h1 or h8, "0-0-0" with rook a1 or a8. From memory.
    assert "0-0" in sayings.CASTLING["king"]
    assert "0-0-0" in sayings.CASTLING["queen"]
