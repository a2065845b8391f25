"""Names of moves that say only that the other side did the same: "both castle", "so does black"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import chess

from sync.mentions import tables
from sync.mentions.atoms import Atom
from sync.mentions.mention import Mention
from sync.transcript.words import Word

MOST_BETWEEN = 5
"""Words from "both" to the castling that both do ("both of the players have castled")."""
MOST_TO_SAME = 7
"""Words from the end of a name to the telling that the other side does the same."""


def by_other_side(found: list[Atom], mentions: Sequence[Mention], words: tuple[Word, ...]) -> Iterator[Mention]:
    """Further mentions, each of the same move as one of those given, by the other side.

    >>> from sync.mentions import spot
    >>> from sync.transcript import Transcript
    >>> said = tuple(Word(text, at, at + 1.0) for at, text in enumerate("He castles, so does black.".split()))
    >>> [(mention.form, mention.heard) for mention in spot(Transcript(said, 5.0, "example"))]
    [('castles', 'castles,'), ('same', 'so does black.')]
    """
    yield from _castled_too(found, mentions, words)
    yield from _mirrored(found, mentions, words)


def _castled_too(found: list[Atom], mentions: Sequence[Mention], words: tuple[Word, ...]) -> Iterator[Mention]:
    """ "both castle" names two moves: "both" stands for the first of them."""
    castled = {mention.first: mention for mention in reversed(mentions) if mention.castle}
    for at, atom in enumerate(found):
        if atom.text != "both":
            continue
        for later in range(at + 1, min(at + 1 + MOST_BETWEEN, len(found))):
            if found[later - 1].pause:
                break
            second = castled.get(found[later].word)
            if second is not None:
                yield _said_by(second, atom.word, atom.word + 1, words)
                break


def _mirrored(found: list[Atom], mentions: Sequence[Mention], words: tuple[Word, ...]) -> Iterator[Mention]:
    """ "so does black" names the move before it for the other side: the same piece to the mirrored square."""
    longest: dict[int, Mention] = {}
    for mention in mentions:
        longest.setdefault(mention.last, mention)
    moves = {end: each for end, each in longest.items() if each.full and not (each.takes or each.promotion)}
    for at, atom in enumerate(found):
        stop = _says_same(found, at)
        if not stop:
            continue
        near = range(atom.word, atom.word - MOST_TO_SAME, -1)
        before = next((moves[end] for end in near if end in moves), None)
        if before is None:
            continue
        to = tuple(before.to[chess.square_mirror(square)] for square in chess.SQUARES) if before.to else None
        same = _said_by(before, atom.word, found[stop - 1].word + 1, words)
        yield replace(same, form="same", to=to, origin=None, check=False, mate=False)


def _said_by(mention: Mention, first: int, last: int, words: tuple[Word, ...]) -> Mention:
    """The same move, said by words[first:last]."""
    heard = " ".join(word.text for word in words[first:last])
    times = words[first].start, words[last - 1].end
    return replace(mention, first=first, last=last, start=times[0], end=times[1], heard=heard, parts=())


def _says_same(found: list[Atom], at: int) -> int:
    """Where "so does she", "does the same", "copies him", "replies in kind" ends that begins at a word, 0 if none."""
    texts = [atom.text for atom in found[at : at + 4]]
    if texts[0] in ("so", "as") and len(texts) > 2 and texts[1] in tables.ALSO_DID:
        return at + 3
    if texts[0] in tables.ALSO_DID and tables.SAME_WAY & set(texts[1:]):
        return at + 1 + next(place for place, text in enumerate(texts) if place and text in tables.SAME_WAY)
    if texts[:2] == ["the", "same"] and len(texts) == 4 and texts[2] in tables.FROM_SIDE:
        return at + 4
    if texts[0] in tables.FOLLOWS and texts[1:2] == ["suit"]:
        return at + 2
    if texts[0] in tables.ANSWERS:
        return next((at + 1 + len(how) for how in tables.ALIKE if tuple(texts[1 : 1 + len(how)]) == how), 0)
    return at + 2 if texts[0] in tables.COPIES and tables.COPIED.intersection(texts[1:2]) else 0
