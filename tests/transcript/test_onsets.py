"""Onsets put right on sounds whose onsets are known."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sync.recording import SAMPLE_RATE
from sync.transcript import Word
from sync.transcript.onsets import put_onsets_right

ONSETS = (0.5, 1.4, 2.3, 4.0)  # of words that sound for 0.5 s


def bursts(noise: float = 0.001) -> np.ndarray[tuple[int], np.dtype[np.float32]]:
    sound = np.random.default_rng(0).normal(0, noise, 5 * SAMPLE_RATE)
    for onset in ONSETS:
        first = round(onset * SAMPLE_RATE)
        sound[first : first + SAMPLE_RATE // 2] += np.random.default_rng(1).normal(0, 0.1, SAMPLE_RATE // 2)
    return sound.astype(np.float32)


@pytest.mark.parametrize("noise", [0.0, 0.001, 0.01])
@pytest.mark.parametrize("late", [0.0, 0.08, 0.15])
def test_a_word_after_a_pause_starts_where_its_sound_does(late: float, noise: float) -> None:
    rough = [Word("knight", onset + late, onset + 0.5) for onset in ONSETS]
    words = put_onsets_right(rough, bursts(noise))
    assert [word.start for word in words] == pytest.approx(ONSETS, abs=0.02)


def test_a_word_that_lost_its_time_to_the_comma_before_gets_it_back() -> None:
    rough = [Word("takes,", 0.55, 1.0), Word("bishop", 1.8, 1.8), Word("takes", 2.4, 2.8)]
    words = put_onsets_right(rough, bursts())
    assert [word.start for word in words] == pytest.approx([0.5, 1.4, 2.3], abs=0.02)


TIMES = st.floats(0, 6)


@given(st.lists(st.builds(Word, st.sampled_from(["a", "f3,", "knight", "-"]), TIMES, TIMES), max_size=12))
def test_any_rough_times_come_out_in_order(rough: list[Word]) -> None:
    words = put_onsets_right(rough, bursts())
    assert [word.text for word in words] == [word.text for word in rough]
    times = [time for word in words for time in (word.start, word.end)]
    assert times == sorted(times)
    assert all(0 <= time <= 5 for time in times)


@given(st.integers(0, 3000))
def test_any_length_of_sound_will_do(samples: int) -> None:
    sound = np.zeros(samples, np.float32)
    words = put_onsets_right([Word("knight", 0.0, 0.1), Word("f3", 0.1, 0.2)], sound)
    assert [word.text for word in words] == ["knight", "f3"]
