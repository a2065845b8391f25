"""The fit of the follower's weights."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.fitting.corpus import read_script, spoken, unpunctuated
from tests.fitting.fit import EARLIER, UNPUNCTUATED, WRITTEN, Example, fit, load, mixed, rescaled
from tests.fitting.short_lesson import LESSON


@pytest.fixture
def examples(tmp_path: Path) -> list[Example]:
    (tmp_path / "short.lesson.txt").write_text(LESSON, encoding="utf-8")
    return load(tmp_path, tmp_path, ["short"], ("clean",))


def test_a_lesson_is_learned_from_with_punctuation_and_without(examples: list[Example], tmp_path: Path) -> None:
    assert [each.weight for each in examples] == [WRITTEN, UNPUNCTUATED]
    with_it, without = (each.truth.talk for each in examples)
    assert without.plain == with_it.plain
    assert any(with_it.pauses) and not any(without.pauses)
    words, _ = spoken(read_script(tmp_path / "short.lesson.txt"))
    bare = unpunctuated(words)
    assert [(word.start, word.end) for word in bare.words] == [(word.start, word.end) for word in words.words]
    assert {word.text for word in bare.words} >= {"white", "e4", "e5", "castle", "is"}


def test_what_counts_twice_is_as_good_as_two(examples: list[Example]) -> None:
    """But for where the numerical search stops."""
    example = replace(examples[0], weight=1.0)
    once = fit([replace(example, weight=2.0)] * 3)
    twice = fit([example] * 6)
    for part in ("named", "kinds", "modes", "usual"):
        assert_near(once[part], twice[part])


def assert_near(one: object, other: object) -> None:
    if isinstance(one, dict) and isinstance(other, dict):
        zero = np.zeros_like(one[""])
        for feature in one.keys() | other.keys():
            assert np.allclose(one.get(feature, zero), other.get(feature, zero), atol=0.06), feature
        return
    assert np.allclose(one, other)  # type: ignore[arg-type]


def test_earlier_weights_have_their_share() -> None:
    """A feature that only one of two fits knows has no weight in the other; terms are not fitted here."""
    earlier = {"named": {"": 1.0, "old": 1.0}, "kinds": {"": [2.0, 0.0]}, "modes": {"": [0.0]}, "terms": "earlier"}
    new = {"named": {"": 0.0, "new": 1.0}, "kinds": {"": [0.0, 1.0]}, "modes": {"": [0.0], "x": [0.02]}, "terms": "new"}
    assert mixed(earlier, new) == {
        "named": {"": EARLIER, "old": EARLIER, "new": 1 - EARLIER},
        "kinds": {"": [2 * EARLIER, 1 - EARLIER]},
        "modes": {"": [0.0]},
        "terms": "earlier",
    }


def test_what_the_encoder_is_told_of_counts_less_beside_it() -> None:
    weights = {"named": {"": 1.0, "fit=exact": 2.0}, "kinds": {"": [1.0, -3.0]}, "usual": [0.5]}
    beside = rescaled(weights, {"named": 0.5, "kinds": 0.25})
    assert beside == {"named": {"": 0.5, "fit=exact": 2.0}, "kinds": {"": [0.25, -0.75]}, "usual": [0.5]}
