"""The sound cut into chunks at its quietest moments."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sync.recording.media import SAMPLE_RATE

with warnings.catch_warnings():
    # It warns of a missing ffmpeg program, which raw samples never need.
    warnings.simplefilter("ignore")
    from pydub import AudioSegment

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SAMPLE_BYTES = 2
LONGEST_MS = 28_000
SHORTEST_MS = 18_000
PAUSE_MS = 300
STEP_MS = 50


@dataclass(frozen=True, slots=True)
class Chunk:
    """A stretch of the sound: start in seconds, 16 kHz mono 16-bit."""

    start: float
    sound: AudioSegment

    @property
    def end(self) -> float:
        return round(self.start + len(self.sound) / 1000, 3)


def cut_chunks(blocks: Iterable[NDArray[np.int16]]) -> Iterator[Chunk]:
    """Chunks of 18 to 28 s that follow on each other without a gap, cut in the quietest pause; the last is shorter.

    blocks: as decode yields them.
    """
    start = 0
    waiting = segment(b"")
    for block in blocks:
        waiting += segment(block.tobytes())
        while len(waiting) > LONGEST_MS:
            cut = quietest_moment(waiting, SHORTEST_MS, LONGEST_MS)
            yield Chunk(start / 1000, waiting[:cut])
            waiting = waiting[cut:]
            start += cut
    if waiting.raw_data:  # its length in milliseconds may round to nothing
        yield Chunk(start / 1000, waiting)


def segment(data: bytes) -> AudioSegment:
    """16 kHz mono 16-bit samples as a segment, to be sliced in milliseconds."""
    return AudioSegment(data, frame_rate=SAMPLE_RATE, sample_width=SAMPLE_BYTES, channels=1)


def quietest_moment(sound: AudioSegment, first: int, last: int) -> int:
    """The middle of the quietest PAUSE_MS between first and last, in milliseconds; of equal ones the latest."""
    starts = range(first, max(first, last - PAUSE_MS) + 1, STEP_MS)
    return min(reversed(starts), key=lambda start: sound[start : start + PAUSE_MS].rms) + PAUSE_MS // 2
