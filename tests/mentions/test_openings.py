"""Openings' names against an open catalogue.

Source: the catalogue OCN-1 of the package ocn-chess (CC BY 4.0), read with that package.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import cache

import chess
import pytest
from ocn import Catalog

from sync.mentions import named_moves, spot
from sync.mentions.openings import OPENINGS
from tests.mentions.talk import transcript

GENERAL = frozenset("defence defense opening game".split())
"""Words that one writer adds to a name and another leaves out."""
SPELLINGS = {"petroff": "petrov", "gruenfeld": "grunfeld", "carokann": "caro kann", "alekhines": "alekhine"}
OTHER_NAMES = {"open game": "king's pawn game", "double king's pawn": "king's pawn game"}
"""Names that the catalogue does not use, and what it says instead (the names themselves from memory)."""
FURTHER = {"king's indian": "Nc3 Bg7", "king's indian defence": "Nc3 Bg7"}
"""Moves after which alone the catalogue gives the name."""


def words(name: str) -> set[str]:
    """The words that tell a name from others, without accents, hyphens and apostrophes."""
    folded = unicodedata.normalize("NFKD", name.lower())
    plain = "".join(each for each in folded if not unicodedata.combining(each))
    plain = plain.replace("'", "").replace("-", " ").replace(",", " ").replace("/", " ")
    spelled = " ".join(SPELLINGS.get(word, word) for word in plain.split())
    return set(spelled.split()) - GENERAL


@cache
def catalogue() -> Catalog:
    return Catalog.load()


def names_after(moves: str) -> Iterator[str]:
    """The catalogue's names of the position after the moves."""
    board = chess.Board()
    for san in moves.split():
        board.push_san(san)
    for row in catalogue().by_fen(board.fen()):
        yield from (row.canonical_name, *row.aliases)


@pytest.mark.parametrize(("name", "moves"), OPENINGS.items())
def test_the_catalogue_calls_the_moves_so(name: str, moves: str) -> None:
    wanted = words(OTHER_NAMES.get(name, name))
    assert any(wanted <= words(found) for found in names_after(f"{moves} {FURTHER.get(name, '')}"))


@pytest.mark.parametrize(
    ("name", "moves"), [("french defence", "e4 c5"), ("italian", "e4 e5 Nf3 Nc6 Bb5"), ("slav", "d4 d5 c4 e6")]
)
def test_wrong_moves_would_be_found_out(name: str, moves: str) -> None:
    assert not any(words(name) <= words(found) for found in names_after(moves))


@pytest.mark.parametrize(("name", "moves"), OPENINGS.items())
@pytest.mark.parametrize("talk", ["{}", "so it is the {} again", "{},"])
def test_a_name_is_spotted_with_its_moves(talk: str, name: str, moves: str) -> None:
    found = [mention for mention in spot(transcript(talk.format(name))) if mention.line]
    assert " ".join(found[0].line) == moves
    assert found[0].heard.rstrip(",") == name
    assert named_moves(found[0], chess.Board()) == ()


def test_american_spelling() -> None:
    found = spot(transcript("the French Defense is solid"))
    assert [mention.line for mention in found if mention.line] == [("e4", "e6")]
