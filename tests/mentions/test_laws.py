"""Notation and announced names of the Laws of Chess.

Source: FIDE Laws of Chess, in force from 1 January 2023, Appendix C (algebraic notation) and Appendix D (play with
blind players). Examples and names are quoted from memory; the positions around them are our own.
"""

from __future__ import annotations

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sync.mentions.forms import spoken_forms
from sync.mentions.match import LegalMoves
from tests.mentions.talk import best, cost
from tests.mentions.test_forms import STARTS

EXAMPLES = [
    # C 8: the piece's letter and the square; for pawns the square alone
    ("Be5", "4k3/8/8/8/8/2B5/8/4K3 w - - 0 1", "Be5"),
    ("Nf3", "4k3/8/8/8/8/8/8/4K1N1 w - - 0 1", "Nf3"),
    ("Rd1", "4k3/8/8/8/8/8/8/R3K3 w - - 0 1", "Rd1"),
    ("e5", "4k3/8/8/8/4P3/8/8/4K3 w - - 0 1", "e5"),
    ("d4", "4k3/8/8/8/8/3P4/8/4K3 w - - 0 1", "d4"),
    ("a5", "4k3/8/8/8/P7/8/8/4K3 w - - 0 1", "a5"),
    # C 8: the longer form with the square of departure
    ("Bb2e5", "4k3/8/8/8/8/8/1B6/4K3 w - - 0 1", "Be5"),
    ("Ng1f3", chess.STARTING_FEN, "Nf3"),
    ("Ra1d1", "4k3/8/8/8/8/8/8/R3K3 w - - 0 1", "Rd1"),
    ("e7e5", "rnbqkbnr/pppppppp/8/8/4P3/8/PPPP1PPP/RNBQKBNR b KQkq - 0 1", "e5"),
    ("d2d4", chess.STARTING_FEN, "d4"),
    ("a6a5", "4k3/8/p7/8/8/8/8/4K3 b - - 0 1", "a5"),
    # C 9: an x for a capture; for pawns after the file of departure
    ("Bxe5", "4k3/8/8/4p3/8/2B5/8/4K3 w - - 0 1", "Bxe5"),
    ("Nxf3", "4k3/8/8/8/8/5p2/8/4K1N1 w - - 0 1", "Nxf3"),
    ("Rxd1", "3rk3/8/8/8/8/8/8/R2r1K2 w - - 0 1", "Rxd1"),
    ("dxe5", "4k3/8/8/4p3/3P4/8/8/4K3 w - - 0 1", "dxe5"),
    ("gxf3", "4k3/8/8/8/8/5n2/6P1/3K4 w - - 0 1", "gxf3"),
    ("axb5", "4k3/8/8/1p6/P7/8/8/4K3 w - - 0 1", "axb5"),
    ("exd6 e.p.", "4k3/8/8/3pP3/8/8/8/4K3 w - d6 0 1", "exd6"),
    # C 10: two like pieces, told apart by file, by rank
    ("Ngf3", "4k3/8/8/8/8/8/8/K3N1N1 w - - 0 1", "Ngf3"),
    ("Nef3", "4k3/8/8/8/8/8/8/K3N1N1 w - - 0 1", "Nef3"),
    ("N5f3", "4k3/8/8/6N1/8/8/8/K5N1 w - - 0 1", "N5f3"),
    ("N1f3", "4k3/8/8/6N1/8/8/8/K5N1 w - - 0 1", "N1f3"),
    ("Nhf3", "4k3/8/8/8/3N4/8/7N/K7 w - - 0 1", "Nhf3"),
    ("Ndf3", "4k3/8/8/8/3N4/8/7N/K7 w - - 0 1", "Ndf3"),
    ("Ngxf3", "4k3/8/8/8/8/5p2/8/K3N1N1 w - - 0 1", "Ngxf3"),
    ("Nexf3", "4k3/8/8/8/8/5p2/8/K3N1N1 w - - 0 1", "Nexf3"),
    ("N5xf3", "4k3/8/8/6N1/8/5p2/8/K5N1 w - - 0 1", "N5xf3"),
    ("N1xf3", "4k3/8/8/6N1/8/5p2/8/K5N1 w - - 0 1", "N1xf3"),
    ("Nhxf3", "4k3/8/8/8/3N4/5p2/7N/K7 w - - 0 1", "Nhxf3"),
    ("Ndxf3", "4k3/8/8/8/3N4/5p2/7N/K7 w - - 0 1", "Ndxf3"),
    # C 11: two pawns can take the same piece
    ("cxd5", "4k3/8/8/3p4/2P1P3/8/8/4K3 w - - 0 1", "cxd5"),
    ("exd5", "4k3/8/8/3p4/2P1P3/8/8/4K3 w - - 0 1", "exd5"),
    # C 12: promotion
    ("d8Q", "8/k2P4/8/8/8/8/8/4K3 w - - 0 1", "d8=Q"),
    ("exf8N", "k4r2/4P3/8/8/8/8/8/4K3 w - - 0 1", "exf8=N"),
    ("b1B", "4k3/8/8/8/8/8/1p6/4K3 b - - 0 1", "b1=B"),
    ("g1R", "4k3/8/8/8/8/8/K5p1/8 b - - 0 1", "g1=R"),
    # C 14: castling, check, mate
    ("0-0", "4k3/8/8/8/8/8/8/R3K2R w KQ - 0 1", "O-O"),
    ("0-0-0", "4k3/8/8/8/8/8/8/R3K2R w KQ - 0 1", "O-O-O"),
    ("Ra8+", "6k1/8/8/8/8/8/8/R5K1 w - - 0 1", "Ra8+"),
    ("Ra8#", "6k1/5ppp/8/8/8/8/8/R5K1 w - - 0 1", "Ra8#"),
    ("Ra8++", "6k1/5ppp/8/8/8/8/8/R5K1 w - - 0 1", "Ra8#"),
]


@pytest.mark.parametrize(("written", "fen", "san"), EXAMPLES)
def test_written_notation_is_read(written: str, fen: str, san: str) -> None:
    """A recogniser may write a move as the Laws do."""
    assert best(written, chess.Board(fen)) == san


@pytest.mark.parametrize(("fen", "san"), sorted({(fen, san) for _, fen, san in EXAMPLES}))
def test_what_people_say_for_the_examples_names_them(fen: str, san: str) -> None:
    board = chess.Board(fen)
    move = board.parse_san(san)
    legal = LegalMoves(board)
    assert all(cost(form, legal, move) < 2.0 for form in spoken_forms(board, move))


@settings(max_examples=60, deadline=None)
@given(start=st.sampled_from(STARTS), choices=st.lists(st.integers(0, 255), min_size=5, max_size=40))
def test_moves_in_writing_are_read(start: str, choices: list[int]) -> None:
    """As python-chess writes them, short (PGN standard, 8.2.3) and long (FIDE Laws, Appendix C 8)."""
    board = chess.Board(start)
    for choice in choices:
        moves = list(board.legal_moves)
        if not moves:
            return
        move, legal = moves[choice % len(moves)], LegalMoves(board)
        for written in (board.san(move), board.lan(move)):
            assert cost(written, legal, move) < 2.0, (written, board.fen())
        assert best(board.san(move), board) == board.san(move)
        board.push(move)


# Appendix D 2.2: the German names in which moves are announced.
FILES = {"Anna": "a", "Bella": "b", "Cesar": "c", "David": "d", "Eva": "e", "Felix": "f", "Gustav": "g", "Hector": "h"}
RANKS = {"eins": 1, "zwei": 2, "drei": 3, "vier": 4, "fünf": 5, "sechs": 6, "sieben": 7, "acht": 8}
PIECES = {"König": "K", "Dame": "Q", "Turm": "R", "Läufer": "B", "Springer": "N", "Bauer": "P"}


@pytest.mark.parametrize(("file", "letter"), FILES.items())
@pytest.mark.parametrize(("rank", "figure"), RANKS.items())
def test_announced_squares(file: str, letter: str, rank: str, figure: int) -> None:
    square = chess.parse_square(f"{letter}{figure}")
    board = chess.Board(None)
    board.set_piece_at(square ^ 8, chess.Piece(chess.KING, chess.WHITE))
    assert best(f"König {file} {rank}", board) == f"K{letter}{figure}"


@pytest.mark.parametrize(("name", "letter"), PIECES.items())
def test_announced_pieces(name: str, letter: str) -> None:
    """All six can go to c3, so that nothing but the name tells which."""
    board = chess.Board("4k3/6Q1/8/8/8/3R4/1KPBN3/8 w - - 0 1")
    assert best(f"{name} Cesar drei", board) == ("c3" if letter == "P" else f"{letter}c3")


@pytest.mark.parametrize(("announced", "san"), [("kurze Rochade", "O-O"), ("lange Rochade", "O-O-O")])
def test_announced_castling(announced: str, san: str) -> None:
    assert best(announced, chess.Board("4k3/8/8/8/8/8/8/R3K2R w KQ - 0 1")) == san


def test_announced_move_with_the_square_of_departure() -> None:
    assert best("Springer Gustav eins Felix drei", chess.Board()) == "Nf3"
    assert best("Bauer Eva zwei Eva vier", chess.Board()) == "e4"
