"""Squares that were heard as other words: "king need a" where "king e8" was said."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import chess

from sync.mentions.atoms import PIECE_FORMS, STRONG_BREAK, pause_after, plain, talk_text
from sync.mentions.mention import Mention
from sync.mentions.tables import NO_SQUARE, NOT_BARE, PIECE_NAMES
from sync.transcript.words import MOST_RIVALS_FOR, Transcript, Word

DOUBTFUL = 0.9
"""Words that the recogniser gave a higher probability were said."""
MOST_MISHEARD = 2.0
"""Cost of a piece's name up to which it is one."""
BEHIND = 4
"""Words behind the piece's name that are held to the sound."""
SURE = 1.0
"""Names that cost less are not doubted."""


@dataclass(frozen=True, slots=True)
class Lost:
    """Words behind a piece's name that may be a square.

    piece, last: the stretch is words[piece:last] of the transcript, its first word the piece's name; the square may
    begin at the next word. name: the piece's, as it is spelled.
    """

    piece: int
    last: int
    name: str


def lost_squares(transcript: Transcript, mentions: Iterable[Mention]) -> Iterator[Lost]:
    """Pieces named without an article, with doubtful words after them and no square: what else names so but a move?

    mentions: as spot finds them in the transcript.
    """
    words = transcript.words
    named = {word for each in mentions if _is_sure(each) for word in range(each.first, each.last)}
    for at in range(len(words) - 1):
        name = _piece(words[at].text)
        if name is None or at in named or pause_after(words[at].text):
            continue
        if at and plain(words[at - 1].text) in NOT_BARE:
            continue
        if _may_be_square(words, at + 1):
            yield Lost(at, _end(words, at + 1), name)


def readings(words: Sequence[Word], lost: Lost) -> dict[tuple[str, int], str]:
    """(square, how many words it stands for) -> the stretch as it would be said then.

    Neither a square that was heard nor the next piece's name is part of what a lost one was heard as: "king takes queen
    h3" sounds more like "king h3" than most that could be said there.
    """
    behind = [word.text for word in words[lost.piece + 1 : lost.last]]
    found: dict[tuple[str, int], str] = {}
    for length in range(1, min(MOST_RIVALS_FOR, len(behind)) + 1):
        *within, ending = behind[:length]
        if any(map(pause_after, within)) or _names_other(ending):
            break
        mark = ending[-1] if pause_after(ending) else ""
        for square in chess.SQUARE_NAMES:
            found[square, length] = talk_text([lost.name, square + mark, *behind[length:]])
    return found


def _piece(text: str) -> str | None:
    likeliest = min(PIECE_FORMS.get(plain(text), ()), key=lambda form: form[1], default=None)
    return PIECE_NAMES[likeliest[0]] if likeliest and likeliest[1] < MOST_MISHEARD else None


def _names_other(text: str) -> bool:
    """A square, or another piece's name."""
    return plain(text) in chess.SQUARE_NAMES or _piece(text) is not None


def _is_sure(mention: Mention) -> bool:
    return bool(mention.castle) or (mention.to is not None and mention.cost + min(mention.to) < SURE)


def _may_be_square(words: Sequence[Word], first: int) -> bool:
    """Doubtful words, or an "a" that no noun follows."""
    word = words[first]
    if word.spread or word.rivals or plain(word.text) in NO_SQUARE:
        return False
    alone = first + 1 == len(words) or pause_after(word.text) > 0
    doubtful = min(each.probability for each in words[first : first + (1 if alone else 2)]) < DOUBTFUL
    return doubtful or (plain(word.text) == "a" and alone)


def _end(words: Sequence[Word], first: int) -> int:
    """The end of the sentence, or of what is held to the sound."""
    last = first + 1
    while last < len(words) and last < first + BEHIND and pause_after(words[last - 1].text) != STRONG_BREAK:
        last += 1
    return last
