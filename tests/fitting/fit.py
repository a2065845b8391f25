"""Fits the follower's weights on development lessons: python -m tests.fitting.fit CORPUS_DIR OUT.json

Four small regularised log-linear models, each fitted by maximum likelihood (L-BFGS):
named   whether a reading names a move of the tree (logistic)
kinds   what a move name does, given where the talk is (softmax over the kinds that the state allows)
modes   where the talk is when a move is named (softmax)
prior   which legal move is made (softmax over the legal moves)

How much their scores count together (terms) is fitted after them, by tests.fitting.terms.
"""

from __future__ import annotations

import json
import math
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from sync.follow.fixes import ROLES
from sync.follow.model import COLUMNS, KINDS, MODES, TERMS
from sync.follow.prior import traits
from sync.follow.search import contexts
from tests.fitting.corpus import HELD_OUT, heard, read_script, spoken
from tests.fitting.oracle import Truth, true_steps

RIVAL = " rival="
"""What the features of readings that share words with others have in their names."""
LEAST = 3
"""Occurrences below which a feature gets no weight."""
SCALES = {
    "words": 1.0,
    "prior": 1.0,
    "prior-norm": 3.0,
    "silent": 3.5,
    "silent-more": 1.5,
    "step": 0.5,
    "opening": 0.0,
    "opening-agrees": 2.5,
    "skip-first": 3.0,
    "skip-known": 3.0,
    "back-far": 1.0,
    "back-numbered": 0.5,
    "repeat-near": 0.0,
    "repeat-far": 0.3,
    "turn-right": 0.05,
    "turn-wrong": 1.8,
    "given": 2.0,
    "misfit": 0.6,
    "long-line": 0.25,
    "piece-en-prise": 0.5,
    "queen-en-prise": 1.0,
}
"""Single numbers, chosen by trying each on lessons that the fit had not seen."""

PLAIN = {"named": 1.0, "kind": 1.0, "fits": 1.0, "modes": 0.3}
"""What the terms of a step's score count in a plain sum; all others nothing."""
EFFECTS = ("check", "mate", *(f"loses={worth}{takes}" for worth in (0, 1, 3, 8) for takes in ("", "-takes")))
"""What prior.effects tells of a move."""

Array = NDArray[np.float64]


def plain_terms() -> dict[str, list[float]]:
    """The terms as they count before tests.fitting.terms fits them: whatever the role of the move."""
    return {term: [PLAIN.get(term, 0.0)] * len(ROLES) for term in (*TERMS, *EFFECTS)}


@dataclass
class Example:
    name: str
    truth: Truth
    weight: float


def load(lessons: Path, audio: Path, names: Sequence[str], conditions: Sequence[str]) -> list[Example]:
    found = []
    for name in names:
        script = read_script(lessons / f"{name}.lesson.txt")
        found.append(Example(name, true_steps(script, *spoken(script)), 1.0))
        for condition in conditions:
            transcript = audio / f"{name}.{condition}.json"
            truth = audio / f"{name}.{condition}.truth.json"
            if transcript.exists() and truth.exists():
                found.append(Example(name, true_steps(script, *heard(transcript, truth)), 1.0))
    return found


def fit(examples: list[Example]) -> dict[str, object]:
    return {
        "named": _named(examples),
        "kinds": _kinds(examples),
        "modes": _modes(examples),
        "usual": _usual(examples),
        "prior": _prior(examples),
        "scales": SCALES,
        "terms": plain_terms(),
    }


def _vocabulary(rows: list[tuple[str, ...]]) -> list[str]:
    counts = Counter(feature for row in rows for feature in row)
    return [feature for feature, count in sorted(counts.items()) if count >= LEAST]


def _matrix(rows: list[tuple[str, ...]], vocabulary: list[str]) -> csr_matrix:
    index = {feature: number for number, feature in enumerate(vocabulary)}
    indices, pointers = [], [0]
    for row in rows:
        indices += [index[feature] for feature in row if feature in index]
        pointers.append(len(indices))
    return csr_matrix((np.ones(len(indices)), indices, pointers), shape=(len(rows), len(vocabulary)))


def _named(examples: list[Example], penalty: float = 5.0) -> dict[str, float]:
    rows, labels = [], []
    for example in examples:
        for key, around in enumerate(contexts(example.truth.talk, example.truth.mentions)):
            rows.append((*around.features, *example.truth.fits[key]))
            labels.append(key in example.truth.named)
    vocabulary = _vocabulary(rows)
    x, y = _matrix(rows, vocabulary), np.array(labels, float)

    def loss(theta: Array) -> tuple[float, Array]:
        z = x @ theta[1:] + theta[0]
        p = 1 / (1 + np.exp(-z))
        value = np.logaddexp(0, z).sum() - y @ z + penalty * theta[1:] @ theta[1:] / 2
        return value, np.concatenate([[np.sum(p - y)], x.T @ (p - y) + penalty * theta[1:]])

    theta = minimize(loss, np.zeros(x.shape[1] + 1), jac=True, method="L-BFGS-B", options={"maxiter": 300}).x
    weights = {"": round(float(theta[0]), 4)} | {
        feature: round(float(weight), 4)
        for feature, weight in zip(vocabulary, theta[1:], strict=True)
        if abs(weight) > 0.02 and RIVAL not in feature
    }
    return weights | _rivals(rows, labels, weights, penalty)


def _rivals(
    rows: Sequence[tuple[str, ...]], labels: Sequence[bool], weights: dict[str, float], penalty: float
) -> dict[str, float]:
    """The weights for readings that share words with others, each fitted alone (Newton) with all others as they are."""
    groups: dict[str, list[tuple[float, bool]]] = {}
    for row, label in zip(rows, labels, strict=True):
        if RIVAL in row[-1]:
            log_odds = weights[""] + sum(weights.get(feature, 0.0) for feature in row)
            groups.setdefault(row[-1], []).append((log_odds, label))
    found = {}
    for feature, group in groups.items():
        rest, wanted = (np.array(column, float) for column in zip(*group, strict=True))
        weight = 0.0
        for _ in range(30):
            p = 1 / (1 + np.exp(-rest - weight))
            weight -= (np.sum(p - wanted) + penalty * weight) / (np.sum(p * (1 - p)) + penalty)
        if abs(weight) > 0.02:
            found[feature] = round(float(weight), 4)
    return found


def _kinds(examples: list[Example], penalty: float = 8.0) -> dict[str, list[float]]:
    rows, modes, kinds, masks = [], [], [], []
    for example in examples:
        around = contexts(example.truth.talk, example.truth.mentions)
        for step in example.truth.steps:
            if step.mention is None:
                continue
            rows.append((*around[step.mention].features, *step.state_features))
            modes.append(step.mode)
            kinds.append(step.kind)
            masks.append([kind in step.allowed for kind in range(len(KINDS))])
    vocabulary = _vocabulary(rows)
    x = _matrix(rows, vocabulary)
    bias = np.ones((x.shape[0], 1))
    mode, kind, mask = np.array(modes), np.array(kinds), np.array(masks)
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
            z -= z.max(axis=1, keepdims=True)
            p = np.exp(z)
            total = p.sum(axis=1, keepdims=True)
            p /= total
            value -= np.sum(onehot[chosen] * z) - np.log(total).sum()
            error = p - onehot[chosen]
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
        for feature, row in zip(["", *vocabulary], weights, strict=True)
        if feature == "" or np.abs(row).max() > 0.03
    }


def _modes(examples: list[Example], penalty: float = 30.0) -> dict[str, list[float]]:
    rows, modes = [], []
    for example in examples:
        around = contexts(example.truth.talk, example.truth.mentions)
        for step in example.truth.steps:
            if step.mention is not None:
                rows.append(around[step.mention].features)
                modes.append(step.mode)
    vocabulary = _vocabulary(rows)
    x, onehot = _matrix(rows, vocabulary), np.eye(len(MODES))[modes]
    shape = (x.shape[1] + 1, len(MODES))

    def loss(flat: Array) -> tuple[float, Array]:
        theta = flat.reshape(shape)
        z = x @ theta[1:] + theta[0]
        z -= z.max(axis=1, keepdims=True)
        total = np.exp(z).sum(axis=1, keepdims=True)
        value = np.log(total).sum() - np.sum(onehot * z) + penalty * np.sum(theta[1:] ** 2) / 2
        error = np.exp(z) / total - onehot
        return value, np.vstack([error.sum(axis=0), x.T @ error + penalty * theta[1:]]).ravel()

    theta = minimize(loss, np.zeros(np.prod(shape)), jac=True, method="L-BFGS-B", options={"maxiter": 300}).x
    return {
        feature: [round(float(weight), 3) for weight in row]
        for feature, row in zip(["", *vocabulary], theta.reshape(shape), strict=True)
        if feature == "" or np.abs(row).max() > 0.03
    }


def _usual(examples: list[Example]) -> list[float]:
    counts = Counter(step.mode for example in examples for step in example.truth.steps if step.mention is not None)
    return [round(math.log(counts[mode] / counts.total()), 3) for mode in range(len(MODES))]


def _prior(examples: list[Example], penalty: float = 1.0) -> dict[str, float]:
    groups: list[tuple[list[list[str]], int]] = []
    seen = set()
    for example in examples:
        for step in example.truth.steps:
            if (example.name, step.base.id, step.place.id) in seen:
                continue
            seen.add((example.name, step.base.id, step.place.id))
            board = step.base.board
            legal = list(board.legal_moves)
            own_last = step.base.parent.move if step.base.parent else None
            groups.append(
                ([traits(board, move, step.base.move, own_last) for move in legal], legal.index(step.place.move))  # type: ignore[arg-type]
            )
    rows = [tuple(row) for group, _ in groups for row in group]
    vocabulary = _vocabulary(rows)
    x = _matrix(rows, vocabulary)
    sizes = [len(group) for group, _ in groups]
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    chosen = starts + np.array([index for _, index in groups])
    owner = np.repeat(np.arange(len(groups)), sizes)

    def loss(theta: Array) -> tuple[float, Array]:
        z = x @ theta
        top = np.maximum.reduceat(z, starts)
        e = np.exp(z - top[owner])
        total = np.add.reduceat(e, starts)
        value = (np.log(total) + top).sum() - z[chosen].sum() + penalty * theta @ theta / 2
        gradient = x.T @ (e / total[owner]) - np.asarray(x[chosen].sum(axis=0)).ravel() + penalty * theta
        return value, gradient

    theta = minimize(loss, np.zeros(x.shape[1]), jac=True, method="L-BFGS-B").x
    return {feature: round(float(weight), 3) for feature, weight in zip(vocabulary, theta, strict=True)}


def main() -> None:
    corpus, out = Path(sys.argv[1]), Path(sys.argv[2])
    names = sorted(path.name.removesuffix(".lesson.txt") for path in corpus.glob("*.lesson.txt"))
    fitted = [name for name in names if not name.startswith(HELD_OUT)]
    out.write_text(weights_text(fit(load(corpus, corpus, fitted, ("clean",)))), encoding="utf-8")


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
