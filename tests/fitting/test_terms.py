"""What is counted for the fit of terms is what the search adds up."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sync.follow.fixes import ROLES
from sync.follow.model import fitted
from tests.fitting.corpus import read_script, spoken
from tests.fitting.fit import plain_terms
from tests.fitting.short_lesson import LESSON
from tests.fitting.terms import COLUMNS, Hypotheses, fitted_terms, hypotheses

NAMED, CHECK = COLUMNS.index(("named", 0)), COLUMNS.index(("check", 0))


@pytest.mark.parametrize("terms", [plain_terms(), fitted().terms])
def test_the_counts_times_the_terms_are_the_scores(terms: dict[str, list[float]], tmp_path: Path) -> None:
    """Which hypotheses are found and how they are ranked may differ; what each one's score is made of may not."""
    path = tmp_path / "short.lesson.txt"
    path.write_text(LESSON, encoding="utf-8")
    script = read_script(path)
    talk = hypotheses(script, spoken(script)[0], replace(fitted(), terms=terms))
    weights = np.array([terms[term][role] for term, role in COLUMNS] + [1.0])
    assert np.allclose(talk.counts @ weights, talk.scores)
    assert len(talk.scores) > 20
    assert min(talk.errors) < max(talk.errors)


def test_every_term_that_is_fitted_is_in_the_weights() -> None:
    assert set(fitted().terms) == set(plain_terms())
    assert {len(row) for row in fitted().terms.values()} == {len(ROLES)}


def test_what_the_right_hypotheses_have_more_of_counts_more() -> None:
    right, wrong = np.zeros(len(COLUMNS) + 1), np.zeros(len(COLUMNS) + 1)
    right[NAMED] = wrong[NAMED] = 10.0
    right[CHECK] = 1.0
    talk = Hypotheses(np.array([right, wrong]), np.zeros(2), np.array([0.0, 1.0]))
    plain, found = plain_terms(), fitted_terms([talk] * 50, plain_terms())
    assert found["check"][0] > plain["check"][0]
    assert found["named"] == plain["named"]
    assert found["mate"] == plain["mate"]
