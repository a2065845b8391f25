"""The piece that a sentence speaks of before it names a square alone."""

from __future__ import annotations

import chess
import pytest

from sync.mentions.bare_squares import BARE
from sync.mentions.match import EXACT, named_moves
from sync.mentions.mention import Mention
from tests.mentions.talk import mentions


def square(text: str) -> Mention:
    """The longest name at the end that has a square and no piece."""
    found = (mention for mention in mentions(text) if mention.form in BARE and mention.last == len(text.split()))
    return min(found, key=lambda mention: mention.first)


@pytest.mark.parametrize(
    ("text", "piece"),
    [
        ("the knight heads for the rim, a4", chess.KNIGHT),
        ("her bishop blocks the view, e2", chess.BISHOP),
        ("the knight on f6 is hit, so it drops back to d7", chess.KNIGHT),
        ("the queen is bored. e4", None),  # another sentence
        ("knight f3, e5", None),  # a move of its own
        ("the bishop looks at d5, e6", None),  # another square
        ("the knight that has done nothing at all for the whole of the game, a4", None),  # too far off
        ("so he plays e5", None),
    ],
)
def test_a_square_is_about_the_piece_spoken_of_before_in_the_sentence(text: str, piece: int | None) -> None:
    assert square(text).spoken_of == piece


def test_a_name_with_a_piece_is_about_no_other() -> None:
    assert all(mention.spoken_of is None for mention in mentions("the knight hops to e5") if mention.piece)


KNIGHT_OR_PAWN = chess.Board("4k3/8/8/8/8/2N5/P7/4K3 w - - 0 1")


def cost(text: str, uci: str) -> float:
    return next(named.cost for named in named_moves(square(text), KNIGHT_OR_PAWN) if named.move.uci() == uci)


def test_the_piece_spoken_of_is_likelier_the_one_that_goes_there_and_a_pawn_as_likely_as_ever() -> None:
    """Common practice, no source: a square alone is a pawn's move (FIDE Laws, Appendix C 3) unless the talk is of a
    piece."""
    told, bare = "the knight heads for the rim, a4", "so, a4"
    assert cost(told, "c3a4") < cost(bare, "c3a4") - 3
    assert cost(told, "a2a4") == cost(bare, "a2a4") < EXACT


def test_after_a_verb_the_piece_spoken_of_goes_there() -> None:
    told, bare = "the knight has had enough, so it goes to a4", "so it goes to a4"
    assert cost(told, "c3a4") < EXACT <= cost(bare, "c3a4")
    assert cost(told, "a2a4") == cost(bare, "a2a4")
