"""Plain text with a time mark now and then: "[1:20] Here the knight goes to f3"."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from itertools import chain
from statistics import median

from sync.errors import InputError
from sync.transcript.captions import seconds_of
from sync.transcript.cues import checked_seconds
from sync.transcript.place import USUAL_PACE, place, spoken_weight
from sync.transcript.words import Word

# In brackets anywhere, or bare at the start of a line: "12:30" inside a sentence is talk.
MARK = re.compile(
    r"[\[(](?:(\d{1,3}):)?(\d{1,3}):(\d{2})(?:[.,](\d{1,3}))?[\])]"
    r"|^[^\S\n]*(?:(\d{1,3}):)?(\d{1,3}):(\d{2})(?:[.,](\d{1,3}))?(?=\s)",
    re.MULTILINE,
)


def read_marked_text(text: str, name: str) -> list[Word]:
    """The words between the marks, placed by their lengths. A mark that runs backward is left out, its text stays.

    Raises InputError when there is no mark at all.
    """
    matches = list(MARK.finditer(text))
    if not matches:
        raise InputError(f"{name}: no times in it; begin every paragraph with its time, like [1:20]")
    starts = [0.0, *(_seconds(match, name) for match in matches)]
    ends = [0, *(match.end() for match in matches)]
    texts = [
        text[begin:stop].split() for begin, stop in zip(ends, [*(m.start() for m in matches), len(text)], strict=True)
    ]
    return _between(starts, texts)


def _seconds(match: re.Match[str], name: str) -> float:
    parts = match.group(1, 2, 3, 4) if match[2] else match.group(5, 6, 7, 8)
    return checked_seconds(seconds_of(*parts), f"{name}, {match[0].strip()}")


def _between(starts: Sequence[float], texts: Sequence[list[str]]) -> list[Word]:
    kept = longest_rise(starts)
    joined = [
        list(chain.from_iterable(texts[here:following]))
        for here, following in zip(kept, [*kept[1:], len(texts)], strict=True)
    ]
    rising = [starts[index] for index in kept]
    last = rising[-1] + _pace(rising, joined) * _weight(joined[-1])
    words: list[Word] = []
    for start, end, said in zip(rising, [*rising[1:], last], joined, strict=True):
        words += place(said, start, end)
    return words


def _pace(starts: Sequence[float], texts: Sequence[list[str]]) -> float:
    """Seconds a letter between the marks, for the text after the last one."""
    paces = [(end - start) / _weight(said) for start, end, said in zip(starts, starts[1:], texts, strict=False) if said]
    return median([pace for pace in paces if pace > 0] or [USUAL_PACE])


def _weight(texts: Iterable[str]) -> float:
    return sum(map(spoken_weight, texts))


def longest_rise(numbers: Sequence[float]) -> list[int]:
    """Indices of a longest run of numbers that never fall: patience sorting, n log n.

    >>> longest_rise([0.0, 20.0, 400.0, 60.0, 80.0])
    [0, 1, 3, 4]
    """
    tails: list[float] = []  # lowest number that ends a run of each length
    at: list[int] = []
    before: list[int | None] = []
    for index, number in enumerate(numbers):
        length = bisect_right(tails, number)
        tails[length : length + 1] = [number]
        at[length : length + 1] = [index]
        before.append(at[length - 1] if length else None)
    run = at[-1:]
    while run and (previous := before[run[-1]]) is not None:
        run.append(previous)
    return run[::-1]
