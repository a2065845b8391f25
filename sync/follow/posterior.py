"""How sure the search is of each step, from all the hypotheses that it kept."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

import chess

from sync.follow.model import GAME
from sync.follow.search import Spot, State, Step

SOFTEN = 0.35
"""Scores are multiplied by this before they are compared: they are surer than they should be."""
AROUND = 8
"""Steps before and after one whose scores tell whether the talk is followed well there."""
LONG_AGO = 30
"""Steps back to which a bad one makes those after it doubtful."""
BEFORE, AFTER = 15.0, 40.0
"""Seconds around a step in which the mentions that are made use of are counted."""
USUAL = 3.0
"""Score of the steps before the first one."""
CALIBRATION = (0.334, 0.244, 0.135, 6.585, 0.174, 0.057, 3.039, -7.58)
"""Logistic weights, in the order of signs, and the constant; tests.fitting.confidence fitted them on lessons that the
search was not fitted on (docs/following.md has the table)."""
LEAST_BELIEF = 0.001
"""Beliefs count as at least this, and as at most one less this."""
SHOWN = 0.02
"""Other readings less likely than this are not worth showing."""
MOST_SHOWN = 4


@dataclass(frozen=True, slots=True)
class Belief:
    """How sure one step of the best hypothesis is.

    move: 0 to 1, that these words name this move from this place. role: that it was played, or was only considered,
    given the move. others: other moves from the same place with their probabilities, most likely first.
    passed: probability that the words name no move at all.
    """

    move: float
    role: float
    others: tuple[tuple[chess.Move, float], ...]
    passed: float


def beliefs(finals: Sequence[State], steps: Sequence[Step]) -> list[Belief]:
    """One for each of the steps, which are a way to one of the finals.

    Forward and backward sums over the lattice of hypotheses; steps that overlap in their words are rivals.
    """
    weighed = _posteriors(finals)
    by_word: dict[int, list[tuple[Step, float]]] = {}
    for step, weight in weighed:
        for word in range(step.spot.mention.first, step.spot.mention.last):
            by_word.setdefault(word, []).append((step, weight))
    return [_belief(step, by_word) for step in steps]


def certainties(steps: Sequence[Step], beliefs: Sequence[Belief], found: Sequence[Spot]) -> list[float]:
    """For each step the probability, 0 to 1, that the move, all before it and its role are right."""
    return [_logistic(each) for each in signs(steps, beliefs, found)]


def signs(steps: Sequence[Step], beliefs: Sequence[Belief], found: Sequence[Spot]) -> list[tuple[float, ...]]:
    """For each step what tells how sure it is, in the order of CALIBRATION.

    The log-odds of its belief; the mean score of the steps from it on, and of those before it; the share of the clear
    mentions around it that are made use of; the worst score of the last steps; the sum of the logarithms of what is
    believed of the moves before it; and the probability that its words name no move.

    The hypotheses that the search kept may share one error. What comes after an error fits badly, so the scores of the
    steps around and the clear mentions that are left over tell of it, and so do doubts about the moves before.
    """
    scores = [step.score for step in steps]
    used = {step.spot.key for step in steps}
    clear = [spot for spot in found if _is_clear(spot)]
    starts, made_use_of = [spot.mention.start for spot in clear], [spot.key in used for spot in clear]
    before = _beliefs_before(steps, beliefs)
    return [
        (
            _log_odds(belief.move * belief.role),
            fmean(scores[index : index + AROUND]),
            fmean(scores[max(0, index - AROUND) : index] or [USUAL]),
            _share_near(starts, made_use_of, step.spot.mention.start),
            min(scores[max(0, index - LONG_AGO) : index + 1]),
            before[index],
            belief.passed,
        )
        for index, (step, belief) in enumerate(zip(steps, beliefs, strict=True))
    ]


def _is_clear(spot: Spot) -> bool:
    return spot.mention.full and spot.mention.cost < 0.5 and spot.gain > -1.0


def _share_near(starts: Sequence[float], used: Sequence[bool], time: float) -> float:
    near = used[bisect_left(starts, time - BEFORE) : bisect_right(starts, time + AFTER)]
    return sum(near) / len(near) if near else 1.0


def _beliefs_before(steps: Sequence[Step], beliefs: Sequence[Belief]) -> list[float]:
    """For each step the sum of the logarithms of what is believed of the moves before its move, as first named."""
    logs: dict[int, float] = {}
    for step, belief in zip(steps, beliefs, strict=True):
        logs.setdefault(step.place.id, math.log(max(LEAST_BELIEF, belief.move * belief.role)))
    return [sum(logs.get(place.id, 0.0) for place in step.place.ancestors()) for step in steps]


def _log_odds(share: float) -> float:
    share = min(1.0 - LEAST_BELIEF, max(LEAST_BELIEF, share))
    return math.log(share / (1 - share))


def _logistic(terms: Sequence[float]) -> float:
    *weights, constant = CALIBRATION
    value = constant + sum(weight * term for weight, term in zip(weights, terms, strict=True))
    return 1 / (1 + math.exp(-value))


def _belief(step: Step, by_word: dict[int, list[tuple[Step, float]]]) -> Belief:
    mention = step.spot.mention
    rivals: dict[int, tuple[Step, float]] = {}
    for word in range(mention.first, mention.last):
        for rival, weight in by_word.get(word, ()):
            rivals[id(rival)] = rival, weight
    same = role = total = 0.0
    others: dict[chess.Move, float] = {}
    for rival, weight in rivals.values():
        total += weight
        if rival.place is step.place:
            same += weight
            if (rival.kind == GAME) == (step.kind == GAME):
                role += weight
        elif rival.place.parent is step.place.parent and rival.place.move:
            others[rival.place.move] = others.get(rival.place.move, 0.0) + weight
    likely = sorted(((move, weight) for move, weight in others.items() if weight >= SHOWN), key=lambda each: -each[1])
    return Belief(
        min(1.0, same), role / same if same else 0.0, tuple(likely[:MOST_SHOWN]), max(0.0, 1.0 - min(1.0, total))
    )


def _posteriors(finals: Sequence[State]) -> list[tuple[Step, float]]:
    order = _from_start(finals)
    forward: dict[int, float] = {}
    for state in order:
        terms = [forward[id(step.before)] + SOFTEN * step.score for step in state.steps]
        if state.entry == 0.0:
            terms.append(0.0)
        forward[id(state)] = _log_sum(terms)
    backward: dict[int, list[float]] = {id(state): [] for state in order}
    for state in finals:
        backward[id(state)].append(0.0)
    whole = _log_sum([forward[id(state)] for state in finals])
    found: list[tuple[Step, float]] = []
    for state in reversed(order):
        after = _log_sum(backward[id(state)])
        for step in state.steps:
            backward[id(step.before)].append(SOFTEN * step.score + after)
            weight = math.exp(min(0.0, forward[id(step.before)] + SOFTEN * step.score + after - whole))
            if weight > 1e-4:
                found.append((step, weight))
    return found


def _from_start(finals: Sequence[State]) -> list[State]:
    """All states that lead to the finals, each after those that lead to it."""
    order: list[State] = []
    seen: set[int] = set()
    stack: list[tuple[State, bool]] = [(state, False) for state in finals]
    while stack:
        state, done = stack.pop()
        if done:
            order.append(state)
            continue
        if id(state) in seen:
            continue
        seen.add(id(state))
        stack.append((state, True))
        stack += [(step.before, False) for step in state.steps if id(step.before) not in seen]
    return order


def _log_sum(terms: Sequence[float]) -> float:
    if not terms:
        return -math.inf
    top = max(terms)
    if top == -math.inf:
        return top
    return top + math.log(sum(math.exp(term - top) for term in terms))
