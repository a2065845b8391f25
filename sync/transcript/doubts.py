"""What a recogniser invents: loops, the prompt said back, speech passed over, words where nobody speaks."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from sync.transcript.onsets import usual_length
from sync.transcript.recogniser import Hearing
from sync.transcript.words import Word

Span = tuple[float, float]  # seconds

MOST_COMPRESSED = 2.2  # spoken lessons stay below 1.9, loops come above 2.5
LEAST_LOG_PROBABILITY = -1.0
FASTEST = 5.5  # words a second; the fastest talkers stay below 5
SPEECH_ENOUGH = 2.0  # seconds, to tell how fast somebody talks
LONGEST_UNHEARD = 1.8  # seconds of speech without a word; where all is heard it is hardly ever more than 1.0
LONGEST_LOOP = 8  # words in what is repeated
LOOP_TIMES = 3
LOOP_WORDS = 6
PROMPT_RUN = 6  # words of the prompt said back in a row
SILENCE = 0.6
SPEECH_MARGIN = 0.5  # seconds around speech in which words may lie

NOT_SPOKEN = re.compile(r"[^\w']+")


def doubts(hearing: Hearing, speech: Sequence[Span], prompt: str) -> list[str]:
    """Why a hearing may be invented; empty when nothing speaks against it.

    speech: where somebody speaks, in the times of the hearing's words.
    """
    checks = {
        "not ended": not hearing.complete,
        "repeats itself": hearing.compression > MOST_COMPRESSED or any(True for _ in loops(hearing.words)),
        "unsure": bool(hearing.words) and hearing.log_probability < LEAST_LOG_PROBABILITY,
        "too fast": _too_fast(hearing.words, speech),
        "speech passed over": bool(unheard(hearing.words, speech, LONGEST_UNHEARD)),
        "says the prompt back": _says_back(hearing.words, prompt),
    }
    return [doubt for doubt, holds in checks.items() if holds]


def without_inventions(hearing: Hearing, speech: Sequence[Span]) -> tuple[Word, ...]:
    """The words that may have been said: loops cut to the time they fill, nothing where nobody speaks."""
    if hearing.silence > SILENCE and hearing.log_probability < LEAST_LOG_PROBABILITY:
        return ()
    invented: set[int] = set()
    for first, size, times in loops(hearing.words):
        said = hearing.words[first : first + size * times]
        length = sum(map(usual_length, said[:size]))
        fits = max(1, int((said[-1].end - said[0].start) / length))
        invented |= set(range(first + size * min(fits, times), first + size * times))
    return tuple(word for index, word in enumerate(hearing.words) if index not in invented and _in_speech(word, speech))


def loops(words: Sequence[Word]) -> Iterator[tuple[int, int, int]]:
    """(first word, words repeated, times) of runs that come again and again, from the left, the shortest first."""
    texts = [_plain(word.text) for word in words]
    index = 0
    while index < len(texts):
        sizes = range(1, LONGEST_LOOP + 1)
        found = ((size, _times(texts, index, size)) for size in sizes)
        size, times = next(((s, t) for s, t in found if t >= LOOP_TIMES and s * t >= LOOP_WORDS), (1, 1))
        if times > 1:
            yield index, size, times
        index += size * times


def unheard(words: Sequence[Word], speech: Sequence[Span], longest: float) -> list[Span]:
    """Stretches between two words, before the first and after the last, with more speech than longest (seconds)."""
    if not speech:
        return []
    ends = [speech[0][0], *(word.end for word in words)]
    starts = [*(word.start for word in words), speech[-1][1]]
    between = zip(ends, starts, strict=True)
    return [(end, start) for end, start in between if _overlap((end, start), speech) > longest]


def _times(texts: Sequence[str], first: int, size: int) -> int:
    unit = texts[first : first + size]
    times = 1
    while texts[first + size * times : first + size * (times + 1)] == unit:
        times += 1
    return times


def _too_fast(words: Sequence[Word], speech: Sequence[Span]) -> bool:
    spoken = sum(end - start for start, end in speech)
    return spoken >= SPEECH_ENOUGH and len(words) > FASTEST * spoken


def _says_back(words: Sequence[Word], prompt: str) -> bool:
    prompted = [_plain(text) for text in prompt.split()]
    runs = {tuple(prompted[first : first + PROMPT_RUN]) for first in range(len(prompted) - PROMPT_RUN + 1)}
    texts = [_plain(word.text) for word in words]
    return any(tuple(texts[first : first + PROMPT_RUN]) in runs for first in range(len(texts) - PROMPT_RUN + 1))


def _in_speech(word: Word, speech: Sequence[Span]) -> bool:
    return any(start - SPEECH_MARGIN <= word.end and word.start <= end + SPEECH_MARGIN for start, end in speech)


def _overlap(span: Span, speech: Sequence[Span]) -> float:
    return sum(max(0.0, min(span[1], end) - max(span[0], start)) for start, end in speech)


def _plain(text: str) -> str:
    return NOT_SPOKEN.sub("", text).lower()
