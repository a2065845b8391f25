"""How sure a ply is: what is fitted on lessons is what following says."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sync.follow import follow
from sync.follow.posterior import CALIBRATION
from sync.mentions import spot
from tests.fitting.confidence import Judged, fitted_calibration, judged, reliability, said
from tests.fitting.corpus import read_script, spoken
from tests.fitting.short_lesson import LESSON


def test_the_signs_times_the_weights_are_what_following_says(tmp_path: Path) -> None:
    path = tmp_path / "short.lesson.txt"
    path.write_text(LESSON, encoding="utf-8")
    script = read_script(path)
    words, _ = spoken(script)
    talk = judged(script, words, 1.0)
    (game,) = follow(words, spot(words))
    plies = [ply.confidence for ply in game.plies if ply.moments]
    assert sorted(plies) == pytest.approx(sorted(said(talk, CALIBRATION)), abs=0.0006)
    assert talk.right.mean() > 0.9


def test_weights_that_chance_was_drawn_by_are_found_again() -> None:
    chance = np.random.default_rng(3)
    signs = chance.normal(2.0, 3.0, (40_000, 2))
    weights = [0.5, -0.25, 0.3]
    never = np.zeros(len(signs))
    right = (chance.random(len(signs)) < said(Judged(signs, never, 1.0), weights)).astype(float)
    assert fitted_calibration([Judged(signs, right, 1.0)]) == pytest.approx(weights, abs=0.05)


def test_a_talk_that_counts_more_is_followed_more() -> None:
    signs = np.array([[0.0], [1.0]] * 50)
    one, other = np.array([0.0, 1.0] * 50), np.array([1.0, 0.0] * 50)
    (weight, _) = fitted_calibration([Judged(signs, one, 3.0), Judged(signs, other, 1.0)])
    assert weight > 0.5


def test_each_class_of_confidence_tells_what_it_said_and_what_was_right() -> None:
    rows = list(reliability(np.array([0.1, 0.2, 0.75, 1.0]), np.array([0.0, 1.0, 1.0, 1.0])))
    assert [row[:3] for row in rows] == [(0.0, 0.3, 2), (0.7, 0.8, 1), (0.95, 1.0, 1)]
    assert [row[3:] for row in rows] == [pytest.approx(pair) for pair in ((0.15, 0.5), (0.75, 1.0), (1.0, 1.0))]
