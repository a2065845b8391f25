"""Which piece a square is about that is said without one: "the knight heads for the rim, a4"."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import chess

from sync.mentions.atoms import STRONG_BREAK, Atom
from sync.mentions.mention import SQUARE_BY_VERB, Mention

BARE = SQUARE_BY_VERB | {"square"}
FARTHEST = 10
"""Words before the square within which the piece is spoken of."""
MOST_MISHEARD = 1.0
STANDING = frozenset("on from at".split())
"""What tells where a piece stands: "the knight on f6 is hit, it drops back to d7"."""


def with_pieces_spoken_of(found: Sequence[Atom], mentions: Iterable[Mention]) -> Iterator[Mention]:
    """The mentions; those of a bare square with the piece that was spoken of before in the same sentence.

    Words that name a move of their own, or another square, end what the square may be about.
    """
    mentions = list(mentions)
    named = {word for mention in mentions if mention.full for word in range(mention.first, mention.last)}
    named -= {word for mention in mentions if _stands(mention) for word in range(mention.first, mention.last)}
    begins = {atom.word: at for at, atom in reversed(list(enumerate(found)))}
    for mention in mentions:
        if mention.form in BARE:
            yield replace(mention, spoken_of=_before(found, begins[mention.first], named))
        else:
            yield mention


def _stands(mention: Mention) -> bool:
    return mention.form == "piece-square" and not STANDING.isdisjoint(mention.heard.lower().split())


def _before(found: Sequence[Atom], first: int, named: set[int]) -> chess.PieceType | None:
    for atom in reversed(found[max(0, first - FARTHEST) : first]):
        if atom.pause == STRONG_BREAK or atom.word in named:
            return None
        pieces: list[chess.PieceType] = [piece for piece, cost in atom.meanings.get("P", ()) if cost < MOST_MISHEARD]
        if pieces:
            return pieces[0]
    return None
