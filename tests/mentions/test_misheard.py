"""Homophones and mishearings: what recognisers make of moves that were said plainly.

The forms were read off recogniser output on development lessons; that they name these moves is common practice, no
source.
"""

from __future__ import annotations

import chess
import pytest

from sync.mentions.match import LegalMoves
from sync.mentions.tables import CASTLES, CHECK, FILES, MATE, PIECES, RANKS, TAKES
from tests.mentions.talk import best, mentions, whole

START = chess.STARTING_FEN
OPEN = "r1bqk2r/pppp1ppp/2n2n2/2b1p3/2B1P3/5N2/PPPP1PPP/RNBQK2R w KQkq - 0 1"
CENTRE = "rnbqkb1r/ppp2ppp/4pn2/3p4/2PP4/2N5/PP2PPPP/R1BQKBNR b KQkq - 0 1"
ROOKS = "5rk1/5ppp/8/8/8/8/5PKP/R6R w - - 0 1"
BLACK_ROOKS = "r4r1k/6pp/8/8/8/8/6PP/2Q4K b - - 0 1"
KNIGHTS = "4k3/8/8/8/8/2N2N2/8/4K3 w - - 0 1"
PASSING = "4k3/8/8/3pP3/8/8/8/4K3 w - d6 0 1"
KINGS = "8/8/8/4k3/8/8/8/4K2R b - - 0 1"
MATING = "6k1/5ppp/8/8/8/8/8/R5K1 w - - 0 1"


@pytest.mark.parametrize(
    ("heard", "fen", "san"),
    [
        ("night f3", START, "Nf3"),
        ("nite F3.", START, "Nf3"),
        ("knight eff three", START, "Nf3"),
        ("Night, F3", START, "Nf3"),
        ("before", START, "b4"),
        ("pond to e4", START, "e4"),
        ("he for", START, "e4"),
        ("see four", START, "c4"),
        ("sea for", START, "c4"),
        ("g-force", START, "g4"),
        ("each three", START, "h3"),
        ("brook g1", OPEN, "Rg1"),
        ("rock to f1", OPEN, "Rf1"),
        ("quinn e2", OPEN, "Qe2"),
        ("queen to he two", OPEN, "Qe2"),
        ("bishup d5", OPEN, "Bd5"),
        ("bish up d5", OPEN, "Bd5"),
        ("bishop be three", OPEN, "Bb3"),
        ("bishop b free", OPEN, "Bb3"),
        ("this should be three", OPEN, "Bb3"),
        ("this ship b3", OPEN, "Bb3"),
        ("rook f3 1", "5rk1/8/8/8/8/8/8/R4RK1 w - - 0 1", "Rfe1"),
        ("knight g3, 2", "4k3/8/8/8/8/2N5/8/4K1N1 w - - 0 1", "Nge2"),
        ("night takes e five", OPEN, "Nxe5"),
        ("night text e5", OPEN, "Nxe5"),
        ("95", OPEN, "Nxe5"),
        ("the g9 to f3", START, "Nf3"),
        ("pawn v6", CENTRE, "b6"),
        ("vee six", CENTRE, "b6"),
        ("rook t8", BLACK_ROOKS.replace("r4r1k", "r6k"), "Rd8"),
        ("pushes dh pawn", START, "h3"),
        ("df knight back", "4k3/8/8/8/8/2N2N2/8/4K3 w - - 0 1", "Ng1"),
        ("kinge6", KINGS, "Ke6"),
        ("en passion", PASSING, "exd6"),
        ("the n passion", PASSING, "exd6"),
        ("cazzled", OPEN, "O-O"),
        ("castle's short", OPEN, "O-O"),
        ("cassels kingside", OPEN, "O-O"),
        ("castes short", OPEN, "O-O"),
        ("Pont takes d5", CENTRE.replace(" b ", " w "), "cxd5"),
        ("each six", CENTRE, "h6"),
        ("sea five", CENTRE, "c5"),
        ("z5", CENTRE, "c5"),
        ("b sicks", CENTRE, "b6"),
        ("dee takes sea for", CENTRE, "dxc4"),
        ("rook h2f1", ROOKS, "Rhf1"),
        ("rook a2, f1", ROOKS, "Raf1"),
        ("rook f31", "6k1/8/8/8/8/8/5P2/R4RK1 w - - 0 1", "Rfe1"),
        ("they ship to d3", "4k3/8/8/8/8/8/8/4KB2 w - - 0 1", "Bd3"),
        ("rook f2, c8", BLACK_ROOKS, "Rfc8"),
        ("brook a see ate", BLACK_ROOKS, "Rac8"),
        ("king nf6", KINGS, "Kf6"),
        ("kin if six", KINGS, "Kf6"),
        ("knight ef5", "4k3/8/8/8/8/4N3/8/4K1N1 w - - 0 1", "Nf5"),
        ("on passant", PASSING, "exd6"),
        ("e takes d6 in passing", PASSING, "exd6"),
        ("ee takes dee sicks en peasant", PASSING, "exd6"),
        ("rkc8", BLACK_ROOKS, "Rac8"),
        ("king Knf6", KINGS, "Kf6"),
        ("9f5", "4k3/8/8/8/8/4N3/8/4K1N1 w - - 0 1", "Nf5"),
        ("rook a ate mate", MATING, "Ra8#"),
        ("brook eh eight m8", MATING, "Ra8#"),
        ("rook a8 czech", MATING, "Ra8#"),
    ],
)
def test_best_reading_of_misheard_words(heard: str, fen: str, san: str) -> None:
    assert best(heard, chess.Board(fen)) == san


@pytest.mark.parametrize(
    ("heard", "fen", "sans"),
    [
        ("this should be three", "4k3/8/8/8/2B5/8/8/2B1K3 w - - 0 1", {"Bb3", "Be3"}),
        ("95", "4k3/8/8/8/2N5/5N2/8/4K3 w - - 0 1", {"Nce5", "Nfe5"}),
        ("be four", START, {"b4", "e4"}),
        ("9d5", "4k3/8/8/8/2N5/2N2N2/8/4K3 w - - 0 1", {"Nd5", "Nce5", "Nfe5"}),
        ("takes", "4k3/8/8/3p1p2/4P3/8/8/3RK3 w - - 0 1", {"exd5", "exf5", "Rxd5"}),
        ("castles", "4k3/8/8/8/8/8/8/R3K2R w KQ - 0 1", {"O-O", "O-O-O"}),
    ],
)
def test_readings_that_have_to_be_kept(heard: str, fen: str, sans: set[str]) -> None:
    board = chess.Board(fen)
    named = {board.san(each.move) for mention in whole(heard) for each in LegalMoves(board).named(mention)}
    assert sans <= named


@pytest.mark.parametrize(
    "talk",
    [
        "Good evening everybody, and welcome to our little club room.",
        "Please hold your questions until the break.",
        "My neighbour keeps tulips along that wall.",
        "",
    ],
)
def test_plain_talk_names_nothing_that_says_much(talk: str) -> None:
    assert not [mention for mention in mentions(talk) if mention.full and mention.cost < 1.0 and mention.piece]


@pytest.mark.parametrize("table", [*PIECES.values(), *FILES.values(), *RANKS.values(), TAKES, CASTLES, CHECK, MATE])
def test_costs_are_nats_and_the_plain_form_is_free(table: dict[str, float]) -> None:
    assert min(table.values()) == 0
    assert all(0 <= cost < 7 for cost in table.values())
    assert all(form == form.lower().strip() for form in table)


def square_cost(talk: str, square: chess.Square) -> float:
    return min(mention.to[square] for mention in whole(talk) if mention.to)


def test_after_bishop_a_b_is_heard_for_an_e() -> None:
    """Measured with tiny.en (docs/following.md): of 186 heard as "bishop b" 97 were "bishop e"."""
    assert square_cost("bishop b2", chess.E2) < 1 < square_cost("rook b2", chess.E2)


def test_rooks_double_by_the_one_of_another_file() -> None:
    assert best("doubles rooks on the c file", chess.Board("6k1/8/8/8/8/3R4/8/2R3K1 w - - 0 1")) == "Rdc3"
