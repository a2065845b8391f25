"""What is so about a move before anything is said of it: told from the rules of chess."""

from __future__ import annotations

from random import Random

import chess
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sync.follow.model import Model, fitted
from sync.follow.place import Places
from sync.follow.traits import MoveTraits, book, move_traits
from sync.mentions.openings import OPENINGS

START = chess.STARTING_FEN
EXCHANGE = "4k3/2p5/3p4/4n3/8/5N2/8/4K3 w - - 0 20"
"""The knight on e5 is guarded by a pawn, so that taking it is an exchange of knights."""


def found(fen: str, uci: str, last: str = "", own_last: str = "", took: bool = False) -> set[str]:
    board = chess.Board(fen)
    move = chess.Move.from_uci(uci)
    assert board.is_legal(move)
    before = [chess.Move.from_uci(each) if each else None for each in (last, own_last)]
    told = MoveTraits(board, before[0], before[1], took).of(move)
    assert len(told) == len(set(told))
    return set(told)


@pytest.mark.parametrize(
    ("fen", "uci", "wanted", "unwanted"),
    [
        (START, "e2e4", {"pawn to e4", "pawn from e2 opening", "pawn to e4 move 1", "book"}, {"develops"}),
        (START, "a2a3", {"pawn to a3"}, {"book"}),
        (START, "g1f3", {"knight to f3", "develops"}, {"twin"}),
        ("4k3/8/8/8/8/8/3P4/4K3 w - - 0 20", "d2d3", {"passed pawn to 3", "pawn endgame"}, {"pawn to d3 move 20"}),
        ("4k3/8/4p3/8/8/8/3P4/4K3 w - - 0 20", "d2d3", {"pawn to d3"}, {"passed pawn to 3"}),
        ("4k3/3p4/8/8/8/8/8/4K3 b - - 0 20", "d7d6", {"passed pawn to 3", "pawn to d3"}, {"pawn to d6"}),
        ("4k3/8/8/8/8/8/8/R3K3 w Q - 0 20", "e1c1", {"castles", "king to c1"}, {"twin"}),
        ("8/P6k/8/8/8/8/8/4K3 w - - 0 40", "a7a8q", {"queens"}, {"underpromotes"}),
        ("8/P6k/8/8/8/8/8/4K3 w - - 0 40", "a7a8n", {"underpromotes"}, {"queens"}),
        ("4k3/8/8/8/8/8/4K3/R6R w - - 0 20", "a1d1", {"twin", "open file"}, {"half-open file"}),
        ("4k3/8/8/8/8/8/8/RK5R w - - 0 20", "a1a5", {"open file"}, {"twin"}),
        ("4k3/3p4/8/8/8/8/8/R3K3 w - - 0 20", "a1d1", {"half-open file"}, {"open file", "closed file"}),
        ("4k3/3p4/8/8/8/3P4/8/R3K3 w - - 0 20", "a1d1", {"closed file"}, {"open file", "half-open file"}),
        ("4k3/8/8/8/8/2N3N1/8/4K3 w - - 0 20", "c3e4", {"twin", "knight to e4"}, {"develops"}),
        ("4k3/8/8/8/8/2Q3Q1/8/4K3 w - - 0 20", "c3d3", {"queen to d3"}, {"twin"}),
        ("4k3/8/8/8/8/8/8/r3K3 w - - 0 20", "e1d2", {"king in check"}, {"checks"}),
    ],
)  # fmt: skip
def test_a_quiet_move(fen: str, uci: str, wanted: set[str], unwanted: set[str]) -> None:
    told = found(fen, uci)
    assert wanted <= told
    assert not unwanted & told


@pytest.mark.parametrize(
    ("fen", "uci", "wanted"),
    [
        (EXCHANGE, "f3e5", {"knight takes knight guarded", "trades", "knight attacked by a pawn takes"}),
        ("4k3/8/8/4n3/8/5N2/8/4K3 w - - 0 20", "f3e5", {"knight takes knight", "wins"}),
        ("4k3/8/3p4/4p3/8/5N2/8/4K3 w - - 0 20", "f3e5", {"knight takes pawn guarded", "gives"}),
        ("4k3/8/3p4/4r3/8/5N2/8/4K3 w - - 0 20", "f3e5", {"knight takes rook guarded", "wins"}),
        ("4k3/8/8/3pP3/8/8/8/4K3 w - d6 0 20", "e5d6", {"en passant"}),
    ],
)
def test_a_capture_wins_trades_or_gives(fen: str, uci: str, wanted: set[str]) -> None:
    told = found(fen, uci)
    assert wanted <= told
    assert len(told & {"wins", "trades", "gives"}) == ("en passant" not in wanted)


@pytest.mark.parametrize(
    ("fen", "uci", "safety"),
    [
        ("4k3/8/3p4/8/8/5N2/8/4K3 w - - 0 20", "f3e5", "knight attacked by a pawn"),
        ("4k3/8/8/r7/8/5N2/8/4K3 w - - 0 20", "f3e5", "knight attacked unguarded"),
        ("4k3/8/8/r7/3P4/5N2/8/4K3 w - - 0 20", "f3e5", "knight attacked"),
        ("4k3/8/8/r7/3P4/4Q3/8/4K3 w - - 0 20", "e3e5", "queen attacked by less"),
        ("4k3/8/8/r7/8/8/4P3/4K3 w - - 0 20", "e2e4", ""),
        ("4k3/8/8/r7/4P3/8/8/4K3 w - - 0 20", "e4e5", "pawn attacked unguarded"),
    ],
)
def test_a_piece_is_put_where_it_can_be_taken(fen: str, uci: str, safety: str) -> None:
    assert {trait for trait in found(fen, uci) if " attacked" in trait} == ({safety} if safety else set())


@pytest.mark.parametrize(
    ("fen", "flees"),
    [
        ("4k3/8/8/8/4p3/5N2/8/4K3 w - - 0 20", True),  # from a pawn
        ("4k3/8/8/8/4p3/5N2/6P1/4K3 w - - 0 20", True),  # from a pawn, though it is guarded
        ("4k3/8/8/5r2/8/5N2/8/4K3 w - - 0 20", True),  # from a rook, unguarded
        ("4k3/8/8/5r2/8/5N2/6P1/4K3 w - - 0 20", False),  # from a rook, guarded
        ("4k3/8/8/8/8/5N2/8/4K3 w - - 0 20", False),
    ],
)
def test_a_piece_that_was_in_danger_flees(fen: str, flees: bool) -> None:
    assert ("knight flees" in found(fen, "f3h2")) == flees
    assert ("leaves 3" in found(fen, "e1d2")) == flees


@pytest.mark.parametrize(
    ("fen", "uci", "wanted", "unwanted"),
    [
        ("4k3/8/8/8/8/8/8/R3K3 w - - 0 20", "a1a8", {"rook checks", "checks"}, {"checks unsafely"}),
        ("1n2k3/8/8/8/8/8/8/R3K3 w - - 0 20", "a1a8", {"attacks an unguarded minor piece"}, {"rook checks"}),
        ("q3k3/8/8/8/8/8/8/3RK3 w - - 0 20", "d1a1", {"attacks a queen unsafely"}, {"attacks a queen"}),
        ("4k3/8/8/3q4/8/8/2N5/4K3 w - - 0 20", "c2b4", {"attacks a queen"}, {"faces a queen"}),
        ("4k3/8/8/3b4/8/8/2N5/4K3 w - - 0 20", "c2b4", {"attacks an unguarded minor piece"}, {"faces a minor piece"}),
        ("4k3/8/4p3/3b4/8/8/2N5/4K3 w - - 0 20", "c2b4", {"faces a minor piece"}, {"attacks an unguarded minor piece"}),
        ("4k3/8/8/3p4/8/8/2N5/4K3 w - - 0 20", "c2b4", {"attacks an unguarded pawn"}, {"faces a pawn"}),
        ("4k3/8/8/3p4/8/8/4P3/4K3 w - - 0 20", "e2e4", {"attacks a pawn"}, {"stops the last pawn"}),
        ("4k3/8/8/1r1B4/8/8/2N5/4K3 w - - 0 20", "c2a1", {"knight to a1"}, {"guards"}),
        ("4k3/8/8/1r1B4/8/8/2N5/4K3 w - - 0 20", "c2e3", {"guards"}, {"bishop flees"}),
        ("7k/8/8/8/8/8/8/R3K3 w - - 0 20", "a1a7", {"rook near their king"}, {"rook checks"}),
    ],
)
def test_what_a_move_attacks_and_guards(fen: str, uci: str, wanted: set[str], unwanted: set[str]) -> None:
    told = found(fen, uci)
    assert wanted <= told
    assert not unwanted & told


def test_what_the_moves_before_say() -> None:
    assert "knight takes knight back" in found(EXCHANGE, "f3e5", last="c6e5", took=True)
    assert "knight takes knight that moved" in found(EXCHANGE, "f3e5", last="c6e5")
    assert not {"knight takes knight back", "0 from last"} & found(EXCHANGE, "f3e5", last="d7d6", took=True)
    quiet = "4k3/8/8/8/8/5N2/8/4K3 w - - 0 20"
    assert "same knight" in found(quiet, "f3g5", own_last="e5f3")
    assert {"same knight", "undoes"} <= found(quiet, "f3e5", own_last="e5f3")
    assert not {"same knight", "undoes"} & found(quiet, "f3e5", own_last="e2e1")
    assert "4 from last" in found(quiet, "f3h4", last="b8a8")
    attacked = "4k3/8/8/5r2/8/5N2/8/4K3 w - - 0 20"
    assert "knight attacked by last in danger" in found(attacked, "f3g5", last="a5f5")
    assert "takes an attacker" in found("4k3/8/8/5r2/8/3B1N2/8/4K3 w - - 0 20", "d3f5")
    assert "stops the last pawn" in found("4k3/8/8/3p4/8/8/3P4/4K3 w - d6 0 20", "d2d4", last="d7d5")


@given(st.randoms(use_true_random=False))
def test_black_sees_the_board_as_white_does(chance: Random) -> None:
    """Traits are named from the side of the mover: a mirrored position has the same ones."""
    places = Places(chess.Board())
    place = places.root
    for _ in range(12):
        place = places.after(place, chance.choice(sorted(place.board.legal_moves, key=chess.Move.uci)))
    board = place.board.copy(stack=False)
    board.castling_rights = 0
    board.fullmove_number = 20
    mirrored = board.mirror()
    traits, others = MoveTraits(board, None, None), MoveTraits(mirrored, None, None)
    for move in board.legal_moves:
        flipped = chess.Move(chess.square_mirror(move.from_square), chess.square_mirror(move.to_square), move.promotion)
        assert sorted(traits.of(move)) == sorted(others.of(flipped))


def test_the_book_is_the_named_openings() -> None:
    placements = set().union(*book().values())
    for line in OPENINGS.values():
        board = chess.Board()
        for san in line.split():
            board.push_san(san)
            assert board.board_fen() in placements


def test_the_shares_of_the_moves_of_a_position() -> None:
    """A unit counts beside the trait's own weight: e to the 1 + 2 tanh 0.5 is to 1 as the shares are."""
    model = Model({}, {}, {}, [], {"": [0.0, 2.0], "castles": [1.0, 0.5]}, {}, {})
    castles, other = model.move_logs([["king to g1", "castles"], ["king to f1"]])
    assert castles - other == pytest.approx(1.0 + 2.0 * 0.46211715726)
    assert model.move_logs([]) == []


def test_takes_back_is_more_natural_than_anything_else() -> None:
    """Common practice, no source: after pawn takes pawn in the middle the taking back is the likeliest move."""
    places = Places(chess.Board())
    place = places.root
    for san in ("e4", "e5", "Nf3", "Nc6", "d4", "exd4"):
        place = places.after(place, place.board.parse_san(san))
    traits = move_traits(place)
    logs = dict(zip(traits, fitted().move_logs(list(traits.values())), strict=True))
    assert max(logs, key=lambda move: logs[move]) == place.board.parse_san("Nxd4")
