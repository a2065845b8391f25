"""The talk as it is shown: misheard move names put right, and where its sentences begin and end."""

from __future__ import annotations

import re
import string
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import accumulate, chain, pairwise

from sync.lesson.lesson import Game, Moment
from sync.transcript.words import Word

SENTENCE_END = re.compile(r"[.!?…][\"'”’)\]]*$")
SENTENCE_PAUSE = 1.0
"""Seconds of silence that end a sentence where no punctuation does (common practice, no source)."""

PUNCTUATION = string.punctuation + "“”‘’„«»…–—¿¡"
SQUARE = re.compile(r"[a-h][1-8]\b")


def moments_of(games: Iterable[Game]) -> list[Moment]:
    """All moments of all plies, in the order of the talk."""
    moments = (moment for game in games for ply in game.plies for moment in ply.moments)
    return sorted(moments, key=lambda moment: (moment.first_word, moment.named_end, moment.start))


def shown_words(words: Sequence[Word], moments: Iterable[Moment]) -> list[tuple[Word, ...]]:
    """For each heard word, the words to show in its place.

    The first naming word of a moment gives way to all of Moment.spoken, its other naming words to nothing; all other
    words stand for themselves. Where two moments share naming words, the first in order of the talk is shown.

    >>> words = [Word("Night", 1.0, 1.4), Word("F3,", 1.4, 2.0), Word("yes.", 2.0, 2.5)]
    >>> moment = Moment(1.0, 2.5, 0, 2, 3, heard="Night F3,", spoken="knight f3")
    >>> [[word.text for word in shown] for shown in shown_words(words, [moment])]
    [['Knight', 'f3,'], [], ['yes.']]
    """
    shown: list[tuple[Word, ...]] = [(word,) for word in words]
    free_from = 0
    for moment in moments:
        if moment.first_word < free_from or not moment.spoken.split() or moment.first_word >= moment.named_end:
            continue
        shown[moment.first_word] = spoken_words(words, moment)
        for index in range(moment.first_word + 1, moment.named_end):
            shown[index] = ()
        free_from = moment.named_end
    return shown


def spoken_words(words: Sequence[Word], moment: Moment) -> tuple[Word, ...]:
    """Moment.spoken as words with times, and with the punctuation of the words that were heard."""
    heard = words[moment.first_word : moment.named_end]
    texts = moment.spoken.split()
    if len(texts) == len(heard):
        dressed = [_dress(text, word.text, word.text) for text, word in zip(texts, heard, strict=True)]
        placed = [replace(word, text=text) for text, word in zip(dressed, heard, strict=True)]
    else:
        texts[0] = _dress(texts[0], heard[0].text, "")
        texts[-1] = _dress(texts[-1], "", heard[-1].text)
        placed = _spread_out(texts, heard)
    if _begins_sentence(words, moment.first_word) and heard[0].text.lstrip("\"'“‘(")[:1].isupper():
        placed[0] = replace(placed[0], text=_capital(placed[0].text))
    return tuple(placed)


def flat_text(shown: Iterable[tuple[Word, ...]]) -> str:
    """The words in one line, a single space between them."""
    return " ".join(word.text for word in chain.from_iterable(shown))


def sentences(words: Sequence[Word]) -> list[tuple[int, int]]:
    """Index ranges (first, end) of the sentences: they end at . ! ? … or before a pause of SENTENCE_PAUSE seconds."""
    ends = [
        index
        for index, (word, following) in enumerate(pairwise(words), start=1)
        if SENTENCE_END.search(word.text) or following.start - word.end >= SENTENCE_PAUSE
    ]
    bounds = [0, *ends, len(words)]
    return [(first, end) for first, end in pairwise(bounds) if first < end]


def _dress(text: str, before: str, after: str) -> str:
    """text with the leading punctuation of before and the trailing punctuation of after, in place of its own."""
    bare = _edges(text)[1] or text
    return f"{_edges(before)[0]}{bare}{_edges(after)[2]}"


def _edges(text: str) -> tuple[str, str, str]:
    """Leading punctuation, the rest, trailing punctuation."""
    without_lead = text.lstrip(PUNCTUATION)
    bare = without_lead.rstrip(PUNCTUATION)
    return text[: len(text) - len(without_lead)], bare, without_lead[len(bare) :]


def _spread_out(texts: Sequence[str], heard: Sequence[Word]) -> list[Word]:
    """texts over the time of the heard words, each as long as its share of the letters."""
    start, end = heard[0].start, max(heard[0].start, heard[-1].end)
    letters = sum(map(len, texts))
    marks = [start + (end - start) * done / letters for done in accumulate(map(len, texts), initial=0)]
    probability, spread = min(word.probability for word in heard), max(word.spread for word in heard)
    return [
        Word(text, begin, finish, probability, spread)
        for text, (begin, finish) in zip(texts, pairwise(marks), strict=True)
    ]


def _begins_sentence(words: Sequence[Word], index: int) -> bool:
    return index == 0 or bool(SENTENCE_END.search(words[index - 1].text))


def _capital(text: str) -> str:
    """text with a capital first letter, but a square keeps the small letter of its file."""
    lead, bare, trail = _edges(text)
    return text if SQUARE.match(bare) else f"{lead}{bare[:1].upper()}{bare[1:]}{trail}"
