"""Where words begin: the model's rough times, put right by the loudness of the sound.

The model's attention comes late by nearly a tenth of a second, and after a pause it often gives the word's time to the
comma before it, so that the word has no length. A word that follows a dip in loudness starts where the dip ends.
The numbers were chosen on spoken lessons with known times.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from sync.recording import SAMPLE_RATE
from sync.transcript.place import spoken_weight
from sync.transcript.words import Word

Sound = NDArray[np.float32]

FRAME = 0.01  # seconds
LATE = 0.08  # seconds by which the attention comes after the sound
LETTER = 0.06  # seconds
SHORT = 0.5  # a word that has less than this share of its usual length lost its beginning
LOOK_BACK = 0.35  # seconds before the expected start in which a dip may end
LOOK_AHEAD = 0.2  # seconds after the model's start
PAUSE_BACK = 0.15  # seconds before the end of the word before
LONGEST_STEP = 0.2  # seconds; a word before takes up at least this or half its usual length
DIP = 0.04  # seconds; shorter ones lie inside of words
DIP_BEFORE = 12  # frames before the window in which a dip may begin
DIP_BONUS = 0.5  # a dip that is this many seconds longer may lie a second farther
DIP_BONUS_LONGEST = 0.3
DIP_FARTHEST = 0.2
SPEECH_AROUND = 150  # frames
NOISE_AROUND = 1500  # frames
QUIET_SHARE = 0.35  # of the way from noise to speech, in dB
QUIET_BELOW = 25.0  # dB below speech
NOTHING = 1e-6

NOT_SPOKEN = re.compile(r"[^\w]+")


def loudness(sound: Sound) -> NDArray[np.float64]:
    """dB below full scale of every 10 ms."""
    size = round(FRAME * SAMPLE_RATE)
    frames = sound[: len(sound) // size * size].reshape(-1, size)
    decibels: NDArray[np.float64] = 20 * np.log10(np.sqrt(np.mean(frames**2, axis=1)) + NOTHING)
    return decibels


def put_onsets_right(words: Sequence[Word], sound: Sound) -> tuple[Word, ...]:
    """The same words, each from the onset of its sound, starts and ends in order. Times from the start of the sound."""
    levels = loudness(sound)
    duration = len(sound) / SAMPLE_RATE
    starts: list[float] = []
    for index, word in enumerate(words):
        before = words[index - 1] if index else None
        starts.append(_onset(word, before, starts[-1] if starts else 0.0, levels))
    return tuple(_in_order(words, starts, duration))


def _onset(word: Word, before: Word | None, start_before: float, levels: NDArray[np.float64]) -> float:
    length = usual_length(word)
    long_enough = word.end - word.start >= SHORT * length
    expected = word.start - LATE if long_enough else word.end - length
    earliest = max(0.0, expected - LOOK_BACK)
    if before:
        step = min(usual_length(before) / 2, LONGEST_STEP)
        earliest = max(earliest, before.end - PAUSE_BACK, start_before + step)
    latest = max(earliest, min(word.start + LOOK_AHEAD, max(word.end, word.start + DIP)))
    costs: list[tuple[float, float]] = []
    for rise, dip in _dips(levels, earliest, latest):
        # The model may start a word in the pause before it.
        in_dip = long_enough and rise - dip - FRAME <= word.start <= rise
        distance = 0.0 if in_dip else abs(rise - expected)
        costs.append((distance - DIP_BONUS * min(dip, DIP_BONUS_LONGEST), rise))
    cost, rise = min(costs, default=(DIP_FARTHEST, 0.0))
    return rise if cost < DIP_FARTHEST else max(earliest, expected)


def usual_length(word: Word) -> float:
    """Seconds that a word usually takes."""
    return LETTER * spoken_weight(NOT_SPOKEN.sub("", word.text))


def _dips(levels: NDArray[np.float64], earliest: float, latest: float) -> Iterator[tuple[float, float]]:
    """(end, length) in seconds of the quiet stretches that end between earliest and latest."""
    first, last = round(earliest / FRAME), round(latest / FRAME) + 1
    speech = levels[max(0, first - SPEECH_AROUND) : last + SPEECH_AROUND]
    if not len(speech):
        return
    loud = float(np.quantile(speech, 0.9))
    noise = float(np.quantile(levels[max(0, first - NOISE_AROUND) : last + NOISE_AROUND], 0.05))
    threshold = max(noise + QUIET_SHARE * (loud - noise), loud - QUIET_BELOW)
    begin = max(0, first - DIP_BEFORE)
    quiet = np.concatenate([[False], levels[begin : last + 1] < threshold, [False]])
    edges = np.flatnonzero(np.diff(quiet.astype(np.int8))) + begin
    for fall, rise in zip(edges[::2], edges[1::2], strict=True):
        length = (rise - fall) * FRAME
        if length >= DIP and first <= rise < min(last, len(levels)):
            yield float(rise * FRAME), float(length)


def _in_order(words: Sequence[Word], starts: Sequence[float], duration: float) -> Iterator[Word]:
    """Each start not before the last, each end not before its start and not after the next start."""
    rising = [min(start, duration) for start in accumulate(starts, max)]
    for word, start, following in zip(words, rising, [*rising[1:], duration], strict=False):
        yield replace(word, start=start, end=max(start, min(word.end, following)))
