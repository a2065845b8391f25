"""Timed pieces of text, and the words in them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from sync.errors import InputError
from sync.recording import LONGEST
from sync.transcript.place import place
from sync.transcript.words import Word

SAME_START = 0.001
ROLL_UP_GAP = 0.1  # seconds between a cue and the next one that shows its last line again
FLASH = 0.05  # a cue this short shows a line on its way up, nobody speaks it again


@dataclass(frozen=True, slots=True)
class Piece:
    """Text that starts at a time of its own, or right after the piece before (None)."""

    text: str
    start: float | None = None


@dataclass(frozen=True, slots=True)
class Cue:
    """Lines of text that are shown, or were said, from start to end (seconds)."""

    start: float
    end: float
    lines: tuple[tuple[Piece, ...], ...]

    @property
    def texts(self) -> tuple[str, ...]:
        return tuple(" ".join(piece.text.strip() for piece in line).strip() for line in self.lines)


def checked_seconds(seconds: float, where: str) -> float:
    """The same time; a small negative one becomes 0. Raises InputError for a time that no recording has."""
    if not math.isfinite(seconds) or seconds > LONGEST:
        raise InputError(f"{where}: {seconds:g} s is not a time in a recording; correct it there")
    return max(0.0, seconds)


def cue_words(cues: Iterable[Cue]) -> list[Word]:
    """The words of all cues in time order; lines that only roll up count once, overlaps are cut at the next start."""
    words: list[Word] = []
    ordered = _without_rolling(_merged(sorted(cues, key=lambda cue: cue.start)))
    starts = [cue.start for cue in ordered[1:]]
    for cue, following in zip(ordered, [*starts, math.inf], strict=False):
        words += _words(cue, max(cue.start, min(cue.end, following)))
    return words


def _words(cue: Cue, end: float) -> list[Word]:
    # Pieces without a time of their own join the one before.
    starts, texts = [cue.start], [""]
    for piece in (piece for line in cue.lines for piece in line):
        if piece.start is not None and starts[-1] <= piece.start <= end:
            starts.append(piece.start)
            texts.append(piece.text)
        else:
            texts[-1] += f" {piece.text}" if piece.start is None else piece.text
    words: list[Word] = []
    for text, start, stop in zip(texts, starts, [*starts[1:], end], strict=True):
        words += place(text.split(), start, stop)
    return words


def _merged(cues: Iterable[Cue]) -> list[Cue]:
    """Cues that start together (one line each) become one."""
    groups: list[list[Cue]] = []
    for cue in cues:
        if groups and cue.start - groups[-1][0].start < SAME_START:
            groups[-1].append(cue)
        else:
            groups.append([cue])
    return [
        replace(
            group[0],
            end=max(cue.end for cue in group),
            lines=tuple(chain.from_iterable(cue.lines for cue in group)),
        )
        for group in groups
    ]


def _without_rolling(cues: Sequence[Cue]) -> list[Cue]:
    """Roll-up captions show a line again above the next one: it is kept where it stood first."""
    kept: list[Cue] = []
    shown: tuple[str, ...] = ()
    shown_until = -math.inf
    for cue in cues:
        repeated = _repeated_lines(shown, cue) if cue.start - shown_until <= ROLL_UP_GAP else 0
        shown, shown_until = cue.texts, cue.end
        if repeated < len(cue.lines):
            kept.append(replace(cue, lines=cue.lines[repeated:]))
    return kept


def _repeated_lines(shown: tuple[str, ...], cue: Cue) -> int:
    """How many first lines of the cue are the last lines shown. A whole cue is a repeat only when it just flashes."""
    texts = cue.texts
    most = len(texts) if cue.end - cue.start <= FLASH else len(texts) - 1
    return next((count for count in range(min(most, len(shown)), 0, -1) if shown[-count:] == texts[:count]), 0)
