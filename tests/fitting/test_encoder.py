"""The parts of the encoder's fit that need no PyTorch."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays

from sync.follow.encoder import SIZE, UNKNOWN, fitted_encoder
from sync.follow.model import fitted
from tests.fitting.corpus import read_script, spoken
from tests.fitting.encoder import COMMON, IMPOSSIBLE, Judged, batch, joined, kept_words, numbered, quantised, told
from tests.follow.test_lessons import LESSONS


@given(arrays(np.float32, array_shapes(min_dims=2, max_dims=2), elements=st.floats(-8, 8, width=32)))
def test_a_matrix_as_bytes_is_nearly_the_matrix(matrix: np.ndarray) -> None:
    kept = quantised("m", matrix)
    again = kept["m"] * kept["m.scale"][:, None]
    most = np.abs(matrix).max(axis=1, keepdims=True)
    assert (np.abs(again - matrix) <= most / 127 / 2 * 1.001 + 1e-6).all()


def test_common_words_and_all_single_signs_are_kept() -> None:
    rare = ["##rare"] * COMMON
    words = ["[PAD]", UNKNOWN, "the", "##ing", "é", *rare, "rare", "x", "##x", "["]
    kept = [words[number] for number in kept_words(words)]
    assert kept[:3] == [UNKNOWN, "the", "##ing"]
    assert kept[-3:] == ["x", "##x", "["]
    assert "rare" not in kept and "é" not in kept and "[PAD]" not in kept


def test_whoever_is_right_counts() -> None:
    """Of two that score the same choices the one who knows counts, and noise does not."""
    numbers = np.random.default_rng(5)
    right = numbers.integers(0, 3, 600).astype(float)
    knows = np.eye(3)[right.astype(int)] * 2 + numbers.normal(size=(600, 3))
    noise = numbers.normal(size=(600, 3))
    nothing = np.zeros((600, 3))
    ours, its = joined(Judged(np.stack([knows, noise]), nothing, right))
    assert ours > 1.0 and abs(its) < 0.2
    ours, its = joined(Judged(np.stack([noise, knows]), nothing, right))
    assert its > 1.0 and abs(ours) < 0.2
    counts = joined(Judged(np.stack([noise, knows]), 2 * knows, right))
    assert counts[1] < its - 1.0


def test_what_cannot_be_is_no_choice() -> None:
    by_weights = np.zeros((10, 3))
    by_encoder = np.array([[0.0, 50.0, 1.0]] * 10)
    anyway = np.array([[0.0, IMPOSSIBLE, 0.0]] * 10)
    _, its = joined(Judged(np.stack([by_weights, by_encoder]), anyway, np.full(10, 2.0)))
    assert its > 5.0


def test_a_lesson_is_cut_into_windows_that_hold_all_its_steps() -> None:
    script = read_script(LESSONS / "s1.lesson.txt")
    words, marks = spoken(script)
    talk = told(script, "exact", words, marks, fitted(), fitted_encoder().tokens)
    read = batch([(talk, start) for start in talk.cut.windows])
    assert len(read.steps) == len(talk.steps) > 20
    assert len(read.names) == len(talk.names) == len(talk.tells)
    assert sum(name.named for name in talk.names) == len({step.mention for step in talk.steps})
    assert all(0 <= first <= last < len(read.tokens[number]) for (number, first, last), _ in read.steps)
    assert max(map(len, read.tokens)) <= SIZE
    assert all(step.kind in step.allowed for step in talk.steps)


def test_what_is_met_seldom_gets_no_number() -> None:
    assert numbered([["a"] * 4 + ["b"] * 5, ["c"] * 9]) == {"b": 1, "c": 2}
