"""The talk as captions, with misheard chess words put right.

WebVTT: W3C, "WebVTT: The Web Video Text Tracks Format", its chapter "Syntax". SubRip has no standard; its usual form
is written. How much stands in a caption and for how long is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from sync.files.text import clock, one_line
from sync.lesson.lesson import Lesson
from sync.lesson.speech import SENTENCE_END, moments_of, shown_words
from sync.transcript.words import Transcript

LINE_WIDTH = 42
"""Characters a line; only a single longer word goes beyond."""
LONGEST = 7_000
SHORTEST = 1_000
"""Milliseconds that a caption is shown; it is shorter only where the next one follows sooner."""

# What it costs to end a caption after a word, the lower the better.
AFTER_SENTENCE = 0.0
AFTER_CLAUSE = 2.0
AFTER_WORD = 5.0
INSIDE_MOVE = 20.0
# What each caption costs, so that not every sentence part stands alone; what one costs that is too short to read or
# that runs on over a silence (each second of it).
EACH_CAPTION = 3.0
TOO_SHORT = 4.0
SILENT_SECOND = 4.0
# What each character of the longer line costs when a caption is broken in two.
LONGER_LINE = 0.2

CLAUSE_END = re.compile(r"[,;:–—][\"'”’)\]]*$")
SILENCE = 0.7
"""Seconds without a word after which a caption should not run on."""


@dataclass(frozen=True, slots=True)
class Caption:
    """start, end in milliseconds; lines: one or two."""

    start: int
    end: int
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Shown:
    """A word of a caption.

    joined: the next word belongs to the same move name. opens: a caption must begin here, lest the answer to a question
        stand beside it.
    """

    text: str
    start: float
    end: float
    joined: bool
    opens: bool


def captions_vtt(lesson: Lesson, transcript: Transcript) -> str:
    """The captions as a WebVTT file."""
    return vtt_text([(caption.start, caption.end, caption.lines) for caption in captions(lesson, transcript)])


def captions_srt(lesson: Lesson, transcript: Transcript) -> str:
    """The captions as a SubRip file, whose lines stand as they are: SubRip knows no escapes."""
    blocks = (
        f"{number}\n{_srt_time(caption.start)} --> {_srt_time(caption.end)}\n{_srt_lines(caption.lines)}\n"
        for number, caption in enumerate(captions(lesson, transcript), start=1)
    )
    return "\n".join(blocks)


def captions(lesson: Lesson, transcript: Transcript) -> tuple[Caption, ...]:
    """The whole talk as captions that never overlap, in time order."""
    if not (words := list(_shown(lesson, transcript))):
        return ()
    bounds = _breaks(words)
    parts = [words[first:end] for first, end in pairwise(bounds)]
    starts = _rising([round(part[0].start * 1000) for part in parts])
    latest = [*starts[1:], max(round(transcript.duration * 1000), starts[-1] + SHORTEST)]
    return tuple(
        Caption(start, _end(start, round(part[-1].end * 1000), limit), _lines(part))
        for part, start, limit in zip(parts, starts, latest, strict=True)
    )


def vtt_text(cues: Sequence[tuple[int, int, Sequence[str]]]) -> str:
    """A WebVTT file of cues: start and end in milliseconds, lines of plain text."""
    blocks = (
        f"{_vtt_time(start)} --> {_vtt_time(end)}\n{chr(10).join(map(vtt_escaped, lines))}\n"
        for start, end, lines in cues
    )
    return "\n".join(["WEBVTT\n", *blocks])


def vtt_escaped(text: str) -> str:
    """ "WebVTT caption or subtitle cue text": & and < must be escaped; > too is, so that no "-->" stands in a text."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _shown(lesson: Lesson, transcript: Transcript) -> Iterator[_Shown]:
    moments = moments_of(lesson.games)
    shown = shown_words(transcript.words, moments)
    joined = {index for moment in moments for index in range(moment.first_word, moment.named_end - 1)}
    stops = [quiz.stop for quiz in lesson.quizzes]
    before = 0.0
    for index, group in enumerate(shown):
        words = [(word, text) for word in group for text in one_line(word.text).split()]
        for number, (word, text) in enumerate(words, start=1):
            belongs = number < len(words) or (index in joined and len(group) == 1)
            opens = any(before < stop <= word.start for stop in stops)
            yield _Shown(text, word.start, word.end, belongs, opens)
            before = word.start


def _breaks(words: Sequence[_Shown]) -> list[int]:
    """Indices at which captions begin, and the end: those of the lowest cost altogether."""
    farthest = _farthest_ends(words)
    silences = [0.0, *accumulate(_silence_before(*pair) for pair in pairwise(words))]
    costs, befores = [0.0], [0]
    for end in range(1, len(words) + 1):
        firsts = _firsts(words, end, farthest)
        ways = (
            (costs[first] + SILENT_SECOND * (silences[end - 1] - silences[first]) + _cost(words, first, end), -first)
            for first in firsts
        )
        cost, before = min(ways)
        costs.append(cost)
        befores.append(-before)
    bounds = [len(words)]
    while bounds[-1]:
        bounds.append(befores[bounds[-1]])
    return bounds[::-1]


def _farthest_ends(words: Sequence[_Shown]) -> list[int]:
    """For each word, where a caption that begins with it must end so that it has two lines of LINE_WIDTH at most."""
    line_ends, end, length = [], 0, 0  # length: of the words from first to end, with a space after each
    for first, word in enumerate(words):
        while end < len(words) and length + len(words[end].text) <= LINE_WIDTH:
            length += len(words[end].text) + 1
            end += 1
        line_ends.append(end)
        if end > first:
            length -= len(word.text) + 1
        else:
            end = first + 1
    return [line_ends[end] if end < len(words) else end for end in line_ends]


def _firsts(words: Sequence[_Shown], end: int, farthest: Sequence[int]) -> Iterator[int]:
    """Where a caption that ends before the word end may begin; one word is always a caption, however long."""
    yield end - 1
    first = end - 1
    while first and farthest[first - 1] >= end and not words[first].opens:
        first -= 1
        if (words[end - 1].end - words[first].start) * 1000 > LONGEST:
            return
        yield first


def _silence_before(word: _Shown, following: _Shown) -> float:
    """Seconds of silence between two words that are more than a caption should run on over."""
    return max(0.0, following.start - word.end - SILENCE)


def _cost(words: Sequence[_Shown], first: int, end: int) -> float:
    last = words[end - 1]
    after = _cost_after(last, words[end]) if end < len(words) else 0.0
    room = words[end].start if end < len(words) else last.end + SHORTEST / 1000
    return EACH_CAPTION + after + TOO_SHORT * max(0.0, SHORTEST / 1000 - (room - words[first].start))


def _cost_after(word: _Shown, following: _Shown) -> float:
    if SENTENCE_END.search(word.text) or following.start - word.end >= SILENCE:
        return AFTER_SENTENCE
    if word.joined:
        return INSIDE_MOVE
    return AFTER_CLAUSE if CLAUSE_END.search(word.text) else AFTER_WORD


def _lines(words: Sequence[_Shown]) -> tuple[str, ...]:
    """One line where it fits, else two, broken at the best place of those that leave neither line too long."""
    texts = [word.text for word in words]
    if len(line := " ".join(texts)) <= LINE_WIDTH or len(words) == 1:
        return (line,)
    return min(_two_lines(words, texts))[1]


def _two_lines(words: Sequence[_Shown], texts: Sequence[str]) -> Iterator[tuple[tuple[float, float], tuple[str, str]]]:
    """Each way to break, after how far its lines go beyond the width and what it costs."""
    for cut in range(1, len(words)):
        lines = (" ".join(texts[:cut]), " ".join(texts[cut:]))
        longest = max(map(len, lines))
        cost = longest * LONGER_LINE + _cost_after(words[cut - 1], words[cut])
        yield (max(0, longest - LINE_WIDTH), cost), lines


def _rising(starts: Sequence[int]) -> list[int]:
    """The starts, each put at least a millisecond after the one before."""
    rising: list[int] = []
    for start in starts:
        rising.append(max(start, rising[-1] + 1) if rising else start)
    return rising


def _end(start: int, spoken_until: int, limit: int) -> int:
    """When a caption goes: with its last word, shown long enough to read, but before limit, where the next begins."""
    wanted = min(max(spoken_until, start + SHORTEST), start + LONGEST)
    return max(start + 1, min(wanted, limit))


def _vtt_time(milliseconds: int) -> str:
    hours, minutes, seconds, rest = clock(milliseconds)
    return f"{hours:02}:{minutes:02}:{seconds:02}.{rest:03}"


def _srt_time(milliseconds: int) -> str:
    return _vtt_time(milliseconds).replace(".", ",")


def _srt_lines(lines: Sequence[str]) -> str:
    return "\n".join(lines).replace("-->", "->")
