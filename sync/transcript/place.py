"""Words whose times are known only coarsely, placed between two marks."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from operator import attrgetter

from sync.transcript.words import Word

# How long a character is spoken, in letters: a digit is read as a word, a sentence end brings a pause.
CHARACTER_WEIGHT = {**dict.fromkeys("0123456789", 4.0), **dict.fromkeys(".?!…", 5.0), **dict.fromkeys(",;:", 3.0)}
SPACE_WEIGHT = 1.0
USUAL_PACE = 0.06  # seconds a letter, where nothing else tells; measured on spoken lessons


def place(texts: Sequence[str], start: float, end: float, probability: float = 1.0) -> list[Word]:
    """The words of texts spread over start to end (seconds) by their lengths.

    Several words carry half the distance of the marks as their spread; a single one stands exactly at the marks.
    """
    spread = (end - start) / 2 if len(texts) > 1 else 0.0
    passed = list(accumulate(map(spoken_weight, texts), initial=0.0))
    pace = (end - start) / passed[-1] if texts else 0.0
    edges = [*(min(start + pace * weight, end) for weight in passed[:-1]), end]
    return [
        Word(text, begin, stop, probability, spread)
        for text, begin, stop in zip(texts, edges[:-1], edges[1:], strict=True)
    ]


def spoken_weight(text: str) -> float:
    """About how long a text takes to say, in letters."""
    return SPACE_WEIGHT + sum(CHARACTER_WEIGHT.get(character, 1.0) for character in text)


def in_time_order(words: Sequence[Word]) -> tuple[Word, ...]:
    """Sorted by start; words with the same start keep their order."""
    return tuple(sorted(words, key=attrgetter("start")))
