"""What the fitted weights say of the talk around a mention."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sync.follow.model import AT_GAME, IN_SIDE, MODES, fitted
from sync.follow.search import spots
from sync.mentions import spot
from tests.follow.talk import talk

FEATURES = sorted(fitted().modes)


@given(
    st.lists(st.sampled_from(FEATURES), max_size=60),
    st.lists(st.floats(-20, 20), min_size=len(MODES), max_size=len(MODES)),
)
def test_evidence_for_one_mode_speaks_against_the_others(features: list[str], read: list[float]) -> None:
    """It turns the usual shares of the modes into other ones, by Bayes' rule: they still add up to one."""
    model = fitted()
    evidence = model.mode_evidence(features, read)
    assert len(evidence) == len(MODES)
    shares = [math.exp(usual + nats) for usual, nats in zip(model.usual, evidence, strict=True)]
    assert math.isclose(sum(shares), 1.0, abs_tol=0.01)  # the usual ones are rounded to three places


@pytest.mark.parametrize(
    ("text", "side"),
    [
        ("Now, what would happen if he takes on d5? Then we would have knight to f6.", True),
        ("And if black tries that, then after bishop takes c4", True),
        ("So, in the game, she now played knight to f6 here.", False),
        ("Instead of all that my opponent just castled here, and now I played knight to f6.", False),
    ],
)
def test_the_words_around_a_move_tell_whether_the_talk_is_in_a_side_line(text: str, side: bool) -> None:
    transcript = talk(text)
    last = [each for each in spots(transcript, spot(transcript), fitted()) if each.mention.full][-1]
    assert (last.modes[IN_SIDE] > last.modes[AT_GAME]) is side
