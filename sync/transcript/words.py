"""The transcript: what was said, word by word, with times."""

from __future__ import annotations

from dataclasses import dataclass, replace

MOST_RIVALS_FOR = 3
"""Words that one square may have been heard as."""


@dataclass(frozen=True, slots=True)
class Word:
    """One word as it was heard or read.

    text: the word with its punctuation, without surrounding space ("F3," or "Knight").
    start, end: seconds from the start of the recording, start <= end.
    probability: how sure the recogniser is, 0 to 1 (1.0 where a transcript file does not say).
    spread: seconds by which start and end may be off (0.0 for heard words; for words placed between two coarse
        marks, half the distance of the marks).
    rivals: squares that the word may name, each with how well it fits the sound: log-likelihoods in nats, the best
        one 0. Empty where the recogniser was sure or the sound was not asked again.
    rivals_for: how many words, from this one on, a rival stands for: "need a" may be e8.
    """

    text: str
    start: float
    end: float
    probability: float = 1.0
    spread: float = 0.0
    rivals: tuple[tuple[str, float], ...] = ()
    rivals_for: int = 1


def without_rivals(word: Word) -> Word:
    """The word as it was before the sound was asked again."""
    return replace(word, rivals=(), rivals_for=1)


@dataclass(frozen=True, slots=True)
class Transcript:
    """A whole talk.

    words: in time order.
    duration: length of the recording in seconds (for an imported file: the end of the last word).
    source: what heard it ("tiny.en") or the name of the file it was read from.
    """

    words: tuple[Word, ...]
    duration: float
    source: str
