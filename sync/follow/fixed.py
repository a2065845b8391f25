"""Steps that an editor's fix allows."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import chess

from sync.follow.fixes import Fix
from sync.follow.model import BACK, CONTINUE, GAME, INSTEAD, OPEN, REPEAT
from sync.follow.place import Place, Places
from sync.mentions.mention import Mention
from sync.transcript.words import Transcript

FORM = "fix"
Fixed = tuple[int, Place, chess.Move, tuple[chess.Move, ...]]
"""A kind of step, the place it starts from, its move, and the moves before it that nobody names."""


def with_fixes(
    transcript: Transcript, mentions: Sequence[Mention], fixes: Sequence[Fix]
) -> tuple[list[Mention], dict[int, Fix]]:
    """The mentions as the fixes leave them, by first word, and the fix that each index has to keep to.

    Where a fix names a move, one mention of its own stands for its words; where it says that nothing is named, none
    is left; where it only says what a move was for, the readings of its words are kept.
    """
    kept = list(mentions)
    bound: list[tuple[Mention, Fix]] = []
    for fix in fixes:
        first, last = _words(transcript, fix)
        if first == last:
            continue
        over = [mention for mention in kept if mention.first < last and mention.last > first]
        kept = [mention for mention in kept if not (mention.first < last and mention.last > first)]
        if fix.uci is not None:
            bound.append((_mention(transcript, first, last), fix))
        elif fix.role is not None and over:
            start = min(mention.first for mention in over)
            bound += [(mention, fix) for mention in over if mention.first == start]
    owner = {id(mention): fix for mention, fix in bound}
    kept = sorted([*kept, *(mention for mention, _ in bound)], key=lambda mention: (mention.first, -mention.last))
    return kept, {index: owner[id(mention)] for index, mention in enumerate(kept) if id(mention) in owner}


def _words(transcript: Transcript, fix: Fix) -> tuple[int, int]:
    inside = [
        index for index, word in enumerate(transcript.words) if fix.start <= (word.start + word.end) / 2 <= fix.end
    ]
    return (inside[0], inside[-1] + 1) if inside else (0, 0)


def _mention(transcript: Transcript, first: int, last: int) -> Mention:
    words = transcript.words[first:last]
    heard = " ".join(word.text for word in words)
    return Mention(first, last, words[0].start, words[-1].end, heard, FORM)


def fixed_options(
    places: Places,
    fix: Fix,
    tip: Place,
    cursor: Place,
    tree: frozenset[int],
    may_play: Callable[[Place, chess.Move], bool],
) -> Iterator[Fixed]:
    """All steps by which a hypothesis can keep to a fix that names a move."""
    move = chess.Move.from_uci(fix.uci or "0000")
    for base in _bases(places, fix, tip, cursor):
        if not base.board.is_legal(move):
            continue
        after = base.children.get(move)
        if after is not None and after.id in tree and (fix.role != "played" or after.leads_to(tip)):
            yield REPEAT, base, move, ()
        played = fix.role in (None, "played") and tip.leads_to(base)
        if played and may_play(base, move):
            yield GAME, tip, move, _silent(tip, base)
        if fix.role in (None, "considered") and not (after is not None and after.id in tree):
            yield from _considered(base, move, tip, cursor, tree)


def _silent(start: Place, base: Place) -> tuple[chess.Move, ...]:
    line = base.line()[start.ply :]
    return tuple(place.move for place in line if place.move is not None)


def _considered(base: Place, move: chess.Move, tip: Place, cursor: Place, tree: frozenset[int]) -> Iterator[Fixed]:
    start = base
    while start.id not in tree and start.parent is not None:
        start = start.parent
    kind = OPEN if base is tip else CONTINUE if base is cursor else INSTEAD if base is cursor.parent else BACK
    yield kind, start, move, _silent(start, base)


def _bases(places: Places, fix: Fix, tip: Place, cursor: Place) -> list[Place]:
    if fix.line is None:
        found = [tip, cursor, *cursor.ancestors(), *tip.ancestors()]
        return list({place.id: place for place in found}.values())
    place = places.root
    for uci in fix.line:
        move = chess.Move.from_uci(uci)
        if not place.board.is_legal(move):
            return []
        place = places.after(place, move)
    return [place]
