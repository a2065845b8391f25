"""Chunks: nothing is lost, and cuts fall into pauses."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sync.recording import SAMPLE_RATE
from sync.recording.chunks import LONGEST_MS, SHORTEST_MS, cut_chunks, segment
from tests.recording.media import tone


def test_cuts_fall_into_pauses() -> None:
    # Four seconds of sound and half a second of pause, again and again: pauses begin at 4, 8.5, 13 s and so on.
    talk = np.concatenate([np.concatenate([tone(4.0, SAMPLE_RATE), tone(0.5, SAMPLE_RATE, level=0.01)])] * 20)
    chunks = list(cut_chunks([(talk * 32767).astype(np.int16)]))
    assert len(chunks) == 4
    for chunk in chunks[:-1]:
        assert 4.0 <= chunk.end % 4.5 <= 4.5


@given(
    st.lists(st.integers(1, 12 * SAMPLE_RATE // 1000).map(lambda ms: ms * 16), max_size=12), st.sampled_from([0, 1, 9])
)
def test_chunks_join_to_the_whole_sound(lengths: list[int], loudness: int) -> None:
    blocks = [np.random.default_rng(length).integers(-loudness, loudness + 1, length, np.int16) for length in lengths]
    chunks = list(cut_chunks(blocks))
    assert b"".join(chunk.sound.raw_data for chunk in chunks) == b"".join(block.tobytes() for block in blocks)
    assert all(SHORTEST_MS <= len(chunk.sound) <= LONGEST_MS for chunk in chunks[:-1])
    ends = [0.0, *(chunk.end for chunk in chunks)]
    assert [chunk.start for chunk in chunks] == pytest.approx(ends[:-1])


def test_a_sound_that_ends_within_a_millisecond_keeps_its_last_samples() -> None:
    block = np.arange(SAMPLE_RATE + 7, dtype=np.int16)
    [chunk] = cut_chunks([block])
    assert chunk.sound.raw_data == block.tobytes()
    [chunk] = cut_chunks([block[:5]])
    assert chunk.sound.raw_data == block[:5].tobytes()
    assert len(segment(b"")) == 0
