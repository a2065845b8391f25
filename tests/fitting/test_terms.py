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
from tests.fitting.terms import COLUMNS, Hypotheses, fitted_terms, hypotheses

LESSON = """\
# game: e4 e5 Nf3 Nc6 Bc4 Nf6 Ng5 d5 exd5
# var a: after 6: d3 Bc5 O-O

White opens with {M 1|pawn to e4}, and black answers {M 2|e5}. Then {M 3|knight f3}, {M 4|knight c6}, {M 5|bishop c4}
and {M 6|knight f6}.

White could now simply play {V a.1|d3}, {V a.2|bishop c5} and {V a.3|castle}. In the game she went {M 7|knight g5}, he
closed the diagonal with {M 8|d5}, and she {M 9|takes}. {R M 9|E takes d5}, that is.
"""
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
    plain, found = plain_terms(), fitted_terms([talk] * 50)
    assert found["check"][0] > plain["check"][0]
    assert found["named"] == plain["named"]
    assert found["mate"] == plain["mate"]
