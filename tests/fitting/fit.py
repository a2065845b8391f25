"""Fits the follower's weights on development lessons: python -m tests.fitting.fit CORPUS_DIR OUT.json [EARLIER.json]

Three small regularised log-linear models and a small neural network, each fitted by maximum likelihood (L-BFGS):
named   whether a reading names a move of the tree (logistic)
kinds   what a move name does, given where the talk is (softmax over the kinds that the state allows)
modes   where the talk is when a move is named (softmax)
prior   which legal move is made (softmax over the legal moves, tests.fitting.moves)

How much they count beside the encoder (BESIDE) is fitted by tests.fitting.encoder, and how much all scores count
together (terms) by tests.fitting.terms. Where EARLIER weights are given, which know heard lessons that are no longer
there, the weights are between these and the new ones, and the terms stay.
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from sync.follow.context import Context
from sync.follow.fixes import ROLES
from sync.follow.model import COLUMNS, KINDS, MODES, TERMS
from sync.follow.prior import CHECKS, LOSSES
from sync.follow.search import contexts
from sync.transcript.words import Transcript
from tests.fitting.corpus import HELD_OUT, Mark, Script, heard, read_script, spoken, unpunctuated, writer
from tests.fitting.features import matrix, vocabulary
from tests.fitting.moves import choices, fit_moves
from tests.fitting.oracle import Truth, true_steps

EARLIER = 0.5
"""The share of earlier weights."""
RIVAL = " rival="
"""What the features of readings that share words with others have in their names."""
LEAST = 3
"""Occurrences below which a feature gets no weight."""
NOTHING = 0.02
"""Weights so small are left out."""
DIGITS = {"named": 4, "kinds": 3, "modes": 3}
WRITTEN, HEARD, UNPUNCTUATED = 1.0, 1.5, 0.7
"""How much a lesson counts as it is written, as a recogniser heard it, and each of both without punctuation."""
SCALES = {
    "words": 1.0,
    "silent": 2.85,
    "silent-more": 0.85,
    "step": 0.5,
    "opening": 0.0,
    "opening-agrees": 2.5,
    "skip-first": 3.0,
    "skip-known": 3.0,
    "back-far": 1.0,
    "back-numbered": 0.5,
    "repeat-near": 0.0,
    "repeat-far": 0.0,
    "turn-right": 0.05,
    "turn-wrong": 1.8,
    "given": 3.0,
    "misfit": 0.6,
    "long-line": 0.25,
    "piece-en-prise": 0.5,
    "queen-en-prise": 1.0,
}
"""Single numbers, chosen by trying each on lessons that the fit had not seen."""

PLAIN = {"named": 1.0, "kind": 1.0, "fits": 1.0, "modes": 0.3}
"""What the terms of a step's score count in a plain sum; all others nothing."""
EFFECTS = (*CHECKS, *LOSSES)
"""What prior.effects tells of a move."""

BESIDE = {"named": 0.492, "kinds": 0.55, "modes": 0.261}
"""How much these models count beside the encoder that is in use (docs/following.md, The encoder)."""
FIT = "fit="
"""How features begin that tell how a mention fits the places at hand (model.fit_features)."""

Array = NDArray[np.float64]


def plain_terms() -> dict[str, list[float]]:
    """The terms as they count before tests.fitting.terms fits them: whatever the role of the move."""
    return {term: [PLAIN.get(term, 0.0)] * len(ROLES) for term in (*TERMS, *EFFECTS)}


@dataclass
class Example:
    """A lesson whose truth is known, the talk around each of its mentions, and how much it counts."""

    name: str
    truth: Truth
    around: Sequence[Context]
    weight: float


def load(lessons: Path, audio: Path, names: Sequence[str], conditions: Sequence[str]) -> list[Example]:
    """Each lesson as it is written and as it was heard under the conditions it was, with punctuation and without."""
    found = []
    for name in names:
        script = read_script(lessons / f"{name}.lesson.txt")
        for words, marks, weight in tellings(script, audio, conditions):
            found.append(_example(script, words, marks, weight))
            found.append(_example(script, unpunctuated(words), marks, UNPUNCTUATED))
    return found


def tellings(script: Script, audio: Path, conditions: Sequence[str]) -> Iterator[tuple[Transcript, list[Mark], float]]:
    """A lesson as it is written, then as it was heard where it was, with its marks and how much it counts."""
    yield (*spoken(script), WRITTEN)
    for condition in conditions:
        transcript = audio / f"{script.name}.{condition}.json"
        truth = audio / f"{script.name}.{condition}.truth.json"
        if transcript.exists() and truth.exists():
            yield (*heard(transcript, truth), HEARD)


def _example(script: Script, words: Transcript, marks: Sequence[Mark], weight: float) -> Example:
    truth = true_steps(script, words, marks)
    return Example(script.name, truth, contexts(truth.talk, truth.mentions), weight)


def fit(examples: list[Example]) -> dict[str, object]:
    weights = {
        "named": _named(examples),
        "kinds": _kinds(examples),
        "modes": _modes(examples),
        "usual": _usual(examples),
        "prior": _prior(examples),
        "scales": SCALES,
        "terms": plain_terms(),
    }
    return rescaled(weights, BESIDE)


def rescaled(weights: dict[str, Any], counts: dict[str, float]) -> dict[str, Any]:
    """The weights with those of some models times how much these count. The encoder is not told of FIT: that stays."""
    found = dict(weights)
    for name, count in counts.items():
        found[name] = {
            feature: row if feature.startswith(FIT) else _times(count, row, DIGITS[name])
            for feature, row in weights[name].items()
        }
    return found


def _times(count: float, row: float | list[float], digits: int) -> float | list[float]:
    return round(count * row, digits) if isinstance(row, float) else [round(count * each, digits) for each in row]


def _named(examples: list[Example], penalty: float = 5.0) -> dict[str, float]:
    rows, labels, counts = [], [], []
    for example in examples:
        for key, around in enumerate(example.around):
            rows.append((*around.features, *example.truth.fits[key]))
            labels.append(key in example.truth.named)
            counts.append(example.weight)
    names = vocabulary(rows, LEAST)
    x, y, count = matrix(rows, names), np.array(labels, float), np.array(counts)

    def loss(theta: Array) -> tuple[float, Array]:
        z = x @ theta[1:] + theta[0]
        p = 1 / (1 + np.exp(-z))
        value = count @ (np.logaddexp(0, z) - y * z) + penalty * theta[1:] @ theta[1:] / 2
        error = count * (p - y)
        return value, np.concatenate([[error.sum()], x.T @ error + penalty * theta[1:]])

    theta = minimize(loss, np.zeros(x.shape[1] + 1), jac=True, method="L-BFGS-B", options={"maxiter": 300}).x
    weights = {"": round(float(theta[0]), 4)} | {
        feature: round(float(weight), 4)
        for feature, weight in zip(names, theta[1:], strict=True)
        if abs(weight) > NOTHING and RIVAL not in feature
    }
    return weights | _rivals(rows, labels, counts, weights, penalty)


def _rivals(
    rows: Sequence[tuple[str, ...]],
    labels: Sequence[bool],
    counts: Sequence[float],
    weights: dict[str, float],
    penalty: float,
) -> dict[str, float]:
    """The weights for readings that share words with others, each fitted alone (Newton) with all others as they are."""
    groups: dict[str, list[tuple[float, bool, float]]] = {}
    for row, label, count in zip(rows, labels, counts, strict=True):
        if RIVAL in row[-1]:
            log_odds = weights[""] + sum(weights.get(feature, 0.0) for feature in row)
            groups.setdefault(row[-1], []).append((log_odds, label, count))
    found = {}
    for feature, group in groups.items():
        rest, wanted, counted = (np.array(column, float) for column in zip(*group, strict=True))
        weight = 0.0
        for _ in range(30):
            p = 1 / (1 + np.exp(-rest - weight))
            weight -= (counted @ (p - wanted) + penalty * weight) / (counted @ (p * (1 - p)) + penalty)
        if abs(weight) > NOTHING:
            found[feature] = round(float(weight), 4)
    return found


def _kinds(examples: list[Example], penalty: float = 8.0) -> dict[str, list[float]]:
    rows, modes, kinds, masks, counts = [], [], [], [], []
    for example in examples:
        for step in example.truth.steps:
            if step.mention is None:
                continue
            rows.append((*example.around[step.mention].features, *step.state_features))
            modes.append(step.mode)
            kinds.append(step.kind)
            masks.append([kind in step.allowed for kind in range(len(KINDS))])
            counts.append(example.weight)
    names = vocabulary(rows, LEAST)
    x = matrix(rows, names)
    bias = np.ones((x.shape[0], 1))
    mode, kind, mask, count = np.array(modes), np.array(kinds), np.array(masks), np.array(counts)[:, None]
    features, n_kinds, n_modes = x.shape[1], len(KINDS), len(MODES)
    shape = (n_modes + 1, features + 1, n_kinds)
    by_mode = [np.flatnonzero(mode == number) for number in range(n_modes)]
    onehot = np.eye(n_kinds)[kind]

    def loss(flat: Array) -> tuple[float, Array]:
        theta = flat.reshape(shape)
        value, gradient = 0.0, np.zeros(shape)
        for number, chosen in enumerate(by_mode):
            weights = theta[0] + theta[number + 1]
            xm = x[chosen]
            z = xm @ weights[1:] + weights[0]
            z[~mask[chosen]] = -1e9
            lost, error = softmax_loss(z, onehot[chosen], count[chosen])
            value += lost
            part = np.vstack([bias[chosen].T @ error, xm.T @ error])
            gradient[0] += part
            gradient[number + 1] += part
        regular = theta.copy()
        regular[:, 0] *= 0.05
        value += penalty * float((regular * theta).sum()) / 2
        return value, (gradient + penalty * regular).ravel()

    theta = minimize(loss, np.zeros(np.prod(shape)), jac=True, method="L-BFGS-B", options={"maxiter": 300}).x.reshape(
        shape
    )
    weights = np.concatenate([theta[0] + theta[number + 1] for number in range(n_modes)], axis=1)
    assert weights.shape[1] == COLUMNS
    return {
        feature: [round(float(weight), 3) for weight in row]
        for feature, row in zip(["", *names], weights, strict=True)
        if feature == "" or np.abs(row).max() > 0.03
    }


def _modes(examples: list[Example], penalty: float = 30.0) -> dict[str, list[float]]:
    rows, modes, counts = [], [], []
    for example in examples:
        for step in example.truth.steps:
            if step.mention is not None:
                rows.append(example.around[step.mention].features)
                modes.append(step.mode)
                counts.append(example.weight)
    names = vocabulary(rows, LEAST)
    x, onehot, count = matrix(rows, names), np.eye(len(MODES))[modes], np.array(counts)[:, None]
    shape = (x.shape[1] + 1, len(MODES))

    def loss(flat: Array) -> tuple[float, Array]:
        theta = flat.reshape(shape)
        lost, error = softmax_loss(x @ theta[1:] + theta[0], onehot, count)
        value = lost + penalty * np.sum(theta[1:] ** 2) / 2
        return value, np.vstack([error.sum(axis=0), x.T @ error + penalty * theta[1:]]).ravel()

    theta = minimize(loss, np.zeros(np.prod(shape)), jac=True, method="L-BFGS-B", options={"maxiter": 300}).x
    return {
        feature: [round(float(weight), 3) for weight in row]
        for feature, row in zip(["", *names], theta.reshape(shape), strict=True)
        if feature == "" or np.abs(row).max() > 0.03
    }


def softmax_loss(scores: Array, onehot: Array, count: Array) -> tuple[float, Array]:
    """The log-loss of a row each, counted as often as count says, and its gradient by the scores."""
    scores = scores - scores.max(axis=1, keepdims=True)
    exponentials = np.exp(scores)
    totals = exponentials.sum(axis=1, keepdims=True)
    loss = float(np.sum(count * (np.log(totals) - np.sum(onehot * scores, axis=1, keepdims=True))))
    return loss, count * (exponentials / totals - onehot)


def _usual(examples: list[Example]) -> list[float]:
    counts = np.zeros(len(MODES))
    for example in examples:
        for step in example.truth.steps:
            if step.mention is not None:
                counts[step.mode] += example.weight
    return [round(math.log(share), 3) for share in counts / counts.sum()]


def _prior(examples: list[Example]) -> dict[str, list[float]]:
    trees = {example.name: example.truth.nodes.values() for example in examples}
    return fit_moves(choices(place for places in trees.values() for place in places))


def mixed(earlier: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """New weights with the share of earlier ones that is theirs, in the models of what the talk says."""
    models = {name: _between(earlier[name], new[name], digits) for name, digits in DIGITS.items()}
    return new | models | {"terms": earlier["terms"]}


def _between(earlier: dict[str, Any], new: dict[str, Any], digits: int) -> dict[str, Any]:
    zero = np.zeros_like(new[""])
    found = {}
    for feature in earlier.keys() | new.keys():
        one, other = (np.array(weights.get(feature, zero)) for weights in (earlier, new))
        weight = EARLIER * one + (1 - EARLIER) * other
        if feature == "" or np.abs(weight).max() > NOTHING:
            found[feature] = np.round(weight, digits).tolist()
    return found


def main() -> None:
    corpus, out = Path(sys.argv[1]), Path(sys.argv[2])
    names = sorted(path.name.removesuffix(".lesson.txt") for path in corpus.glob("*.lesson.txt"))
    fitted = [name for name in names if writer(name) not in HELD_OUT]
    weights = fit(load(corpus, corpus, fitted, ("clean",)))
    for earlier in sys.argv[3:]:
        weights = mixed(json.loads(Path(earlier).read_text(encoding="utf-8")), weights)
    out.write_text(weights_text(weights), encoding="utf-8")


def weights_text(weights: dict[str, Any]) -> str:
    """A feature a line, so that two fits can be compared."""
    parts = []
    for name, group in sorted(weights.items()):
        if isinstance(group, list):
            parts.append(f'"{name}":{json.dumps(group, separators=(",", ":"))}')
            continue
        rows = ",\n".join(f"{json.dumps(key)}:{json.dumps(group[key], separators=(',', ':'))}" for key in sorted(group))
        parts.append(f'"{name}":{{\n{rows}\n}}')
    return "{\n" + ",\n".join(parts) + "\n}\n"


if __name__ == "__main__":
    main()
