"""The forms of verbs (spelling rules of English: common practice, no source)."""

from __future__ import annotations

import pytest

from sync.mentions.inflection import inflected
from sync.mentions.tables import TAKES, TRADES, WEAK_TAKES


@pytest.mark.parametrize(
    ("verb", "forms"),
    [
        ("grab", "grab grabs grabbed grabbing"),
        ("take", "take takes took taken taking"),
        ("munch", "munch munches munched munching"),
        ("capture", "capture captures captured capturing"),
        ("swallow", "swallow swallows swallowed swallowing"),
        ("eat", "eat eats ate eaten eating"),
        ("give", "give gives gave given giving"),
        ("double", "double doubles doubled doubling"),
        ("pocket", "pocket pockets pocketed pocketing"),
        ("scoop", "scoop scoops scooped scooping"),
        ("recover", "recover recovers recovered recovering"),
        ("smash", "smash smashes smashed smashing"),
    ],
)
def test_the_forms_of_a_verb(verb: str, forms: str) -> None:
    assert inflected([verb]) == frozenset(forms.split())


def test_a_verb_that_often_says_something_else_takes_nothing_alone() -> None:
    assert TAKES.keys() > WEAK_TAKES | TRADES
    assert {"won", "stole", "picked"} <= WEAK_TAKES
    assert not {"bit", "steal", "took", "eaten"} & WEAK_TAKES
    assert "bit" not in TAKES  # "a bit" is no pawn
