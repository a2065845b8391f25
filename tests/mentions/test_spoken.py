"""Naming words put right for the move that they name."""

from __future__ import annotations

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sync.mentions import Mention, put_right
from sync.mentions.forms import spoken_forms
from sync.mentions.match import LegalMoves
from tests.mentions.talk import best, mentions, transcript
from tests.mentions.test_forms import STARTS

START = chess.STARTING_FEN
OPEN = "r1bqk2r/pppp1ppp/2n2n2/2b1p3/2B1P3/5N2/PPPP1PPP/RNBQK2R w KQkq - 0 1"
ROOKS = "5rk1/5ppp/8/8/8/8/5PKP/R6R w - - 0 1"
BLACK_ROOKS = "r4r1k/6pp/8/8/8/8/6PP/2Q4K b - - 0 1"
PAWNS = "4k3/8/8/3p4/4P3/8/8/4K3 w - - 0 1"
PASSING = "4k3/8/8/3pP3/8/8/8/4K3 w - d6 0 1"
PROMOTING = "8/P7/8/8/8/4k3/8/4K3 w - - 0 1"
MATING = "6k1/5ppp/8/8/8/8/8/R5K1 w - - 0 1"


def right(text: str, board: chess.Board, move: chess.Move) -> tuple[str, Mention]:
    """The text as put right, and the reading that names the move; the longest of those that cost little."""
    legal = LegalMoves(board)
    readings = [
        (mention, each.cost) for mention in mentions(text) for each in legal.named(mention) if each.move == move
    ]
    mention, _ = min(readings, key=lambda each: (each[1] > 3.0, each[0].first - each[0].last, each[1]))
    return put_right(mention, transcript(text).words, board, move), mention


@pytest.mark.parametrize(
    ("heard", "fen", "san", "expected"),
    [
        # what is right already stays, but for the punctuation at the end
        ("knight f3", START, "Nf3", "knight f3"),
        ("Knight to f3.", START, "Nf3", "knight to f3"),
        ("knights captured e5", OPEN, "Nxe5", "knights captured e5"),
        ("castled kingside", OPEN, "O-O", "castled kingside"),
        ("takes back", OPEN, "Nxe5", "takes back"),
        ("the horse takes e5", OPEN, "Nxe5", "horse takes e5"),
        ("helps himself to the pawn on e5", OPEN, "Nxe5", "helps himself to the pawn on e5"),
        ("the pawn on e5 falls", OPEN, "Nxe5", "pawn on e5 falls"),
        ("off comes the porn on e5", OPEN, "Nxe5", "off comes the pawn on e5"),
        ("e d5", PAWNS, "exd5", "e d5"),
        # pieces and squares
        ("Night F3,", START, "Nf3", "knight f3"),
        ("night to eff three.", START, "Nf3", "knight to f3"),
        ("before", START, "b4", "b4"),
        ("sea for", START, "c4", "c4"),
        ("this should be three", OPEN, "Bb3", "bishop b3"),
        ("king nf6", "8/8/8/4k3/8/8/8/4K2R b - - 0 1", "Kf6", "king f6"),
        ("night text e5", OPEN, "Nxe5", "knight takes e5"),
        ("night takes the porn", OPEN, "Nxe5", "knight takes the pawn"),
        ("cazzled king side", OPEN, "O-O", "castles king side"),
        ("he takes dee five", PAWNS, "exd5", "e takes d5"),
        ("ee takes dee", PAWNS, "exd5", "e takes d"),
        ("rook on the bee file", "4k3/8/8/8/8/8/8/R3K3 w - - 0 1", "Rb1", "rook on the b file"),
        ("ed5", PAWNS, "exd5", "e takes d5"),
        # the letters that tell like pieces apart
        ("rook h2f1", ROOKS, "Rhf1", "rook h to f1"),
        ("rook f2, c8", BLACK_ROOKS, "Rfc8", "rook f to c8"),
        ("the each brook to f1", ROOKS, "Rhf1", "h rook to f1"),
        ("rook h one to f1", ROOKS, "Rhf1", "rook h1 to f1"),
        # moves in writing
        ("95", OPEN, "Nxe5", "knight e5"),
        ("Nxe5", OPEN, "Nxe5", "knight takes e5"),
        ("Ng1f3", START, "Nf3", "knight g1 to f3"),
        ("g1f3", START, "Nf3", "g1 to f3"),
        ("exd5", PAWNS, "exd5", "e takes d5"),
        ("a8=N", PROMOTING, "a8=N", "a8 knight"),
        ("0-0", OPEN, "O-O", "castles"),
        ("Ra8#", MATING, "Ra8#", "rook a8 mate"),
        # en passant, promotion, check
        ("on passant", PASSING, "exd6", "en passant"),
        ("e takes d6 in passing", PASSING, "exd6", "e takes d6 en passant"),
        ("a8 quinn", PROMOTING, "a8=Q", "a8 queen"),
        ("a8 promotes to a night", PROMOTING, "a8=N", "a8 promotes to a knight"),
        ("brook a8 czech", MATING, "Ra8#", "rook a8 check"),
        ("rook a8, m8!", MATING, "Ra8#", "rook a8, mate"),
        ("pushes the eh pawn two squares", START, "a4", "pushes the a pawn two squares"),
        # German names of the Laws
        ("Springer Felix drei", START, "Nf3", "knight f3"),
    ],
)
def test_put_right(heard: str, fen: str, san: str, expected: str) -> None:
    board = chess.Board(fen)
    assert right(heard, board, board.parse_san(san))[0].lower() == expected


def test_words_around_the_name_are_left_alone() -> None:
    board = chess.Board()
    text = "And now night F3, of course"
    assert right(text, board, board.parse_san("Nf3"))[0] == "knight f3"


@settings(max_examples=80, deadline=None)
@given(start=st.sampled_from(STARTS), choice=st.integers(0, 255), number=st.integers(0, 999))
def test_what_was_put_right_names_the_move_and_is_right(start: str, choice: int, number: int) -> None:
    board = chess.Board(start)
    moves = list(board.legal_moves)
    move = moves[choice % len(moves)]
    forms = spoken_forms(board, move)
    text, mention = right(forms[number % len(forms)], board, move)
    assert text == " ".join(text.split())
    again, _ = right(text, board, move)
    assert again == text
    assert text == mention.heard or mention.heard in ("O-O", "0-0", "O-O-O", "0-0-0")


def test_another_move_for_the_same_words() -> None:
    """An editor's move goes into the words in place of the one that was heard."""
    board = chess.Board()
    mention = next(each for each in mentions("pawn to d4") if each.form == "piece-square")
    assert put_right(mention, transcript("pawn to d4").words, board, board.parse_san("e4")) == "pawn to e4"
    assert best("pawn to e4", board) == "e4"
