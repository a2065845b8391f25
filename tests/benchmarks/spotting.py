"""How long spotting takes, and how much of it looking for words by their sound.

    python -m tests.benchmarks.spotting

Prints milliseconds of this machine for the longest development lesson, when the recogniser is sure of every word and
when it doubts one in DOUBTED, and the ratio of the two, measured in one run.
"""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

from sync.mentions import atoms, sounds, spot
from sync.transcript.words import Transcript
from tests.fitting.corpus import read_script, spoken

LESSONS = Path(__file__).parents[1] / "lessons"
RUNS = 7
DOUBTED = 12
"""One word in so many is taken for doubted, about as many as recognisers doubt in development lessons."""


def milliseconds(transcript: Transcript) -> float:
    """The best of several runs, each with nothing known from the one before."""
    best = float("inf")
    for _ in range(RUNS):
        for known in (atoms._meanings, sounds.alike, sounds.alike_squares, sounds.phonemes, sounds._sound):
            known.cache_clear()
        began = time.perf_counter()
        spot(transcript)
        best = min(best, 1000 * (time.perf_counter() - began))
    return best


def main() -> None:
    talks = [spoken(read_script(path))[0] for path in sorted(LESSONS.glob("*.lesson.txt"))]
    talk = max(talks, key=lambda each: len(each.words))
    doubted = tuple(
        replace(word, probability=0.5) if index % DOUBTED == 0 else word for index, word in enumerate(talk.words)
    )
    sure, doubting = milliseconds(talk), milliseconds(replace(talk, words=doubted))
    print(f"{len(talk.words)} words of {talk.duration / 60:.1f} minutes, none doubted: {sure:.0f} ms")
    print(f"one in {DOUBTED} doubted: {doubting:.0f} ms, ratio {doubting / sure:.2f}")


if __name__ == "__main__":
    main()
