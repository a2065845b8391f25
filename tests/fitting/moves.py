"""Fits how natural moves are: a small neural network over their traits, softmax over the legal moves of a position."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from sync.follow.place import Place
from sync.follow.traits import move_traits
from tests.fitting.features import matrix, vocabulary

HIDDEN = 8
"""Units between the traits and the score."""
LEAST = 30
"""Moves that have a trait, below which it gets no weights."""
OWN, TO_HIDDEN, FROM_HIDDEN = 3.0, 3.0, 1.0
"""Penalties of the squared weights: of traits, from traits to units, of units."""
ROUNDS = 110
"""Rounds of L-BFGS with units. Of 30,000 moves of other lessons the log-loss fell no more after the hundredth."""

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Choice:
    """The traits of each legal move of a position, and the number of the one that was made."""

    traits: Sequence[Sequence[str]]
    made: int


def choices(places: Iterable[Place]) -> list[Choice]:
    """What was chosen at each of the places that a move leads to."""
    found = []
    for place in places:
        assert place.parent is not None and place.move is not None
        traits = move_traits(place.parent)
        found.append(Choice(list(traits.values()), list(traits).index(place.move)))
    return found


class Choices:
    """Choices as arrays: a row for each move, with ones for its traits."""

    def __init__(self, found: Sequence[Choice], names: Sequence[str]) -> None:
        self.x = matrix([traits for choice in found for traits in choice.traits], names)
        self.turned = self.x.T.tocsr()
        sizes = [len(choice.traits) for choice in found]
        self.starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
        self.owner = np.repeat(np.arange(len(sizes)), sizes)
        self.made = self.starts + np.array([choice.made for choice in found])

    def loss(self, scores: Array) -> tuple[float, Array]:
        """Log-loss of the moves that were made, and its derivative by each score."""
        top = np.maximum.reduceat(scores, self.starts)
        shares = np.exp(scores - top[self.owner])
        totals = np.add.reduceat(shares, self.starts)
        error = shares / totals[self.owner]
        error[self.made] -= 1.0
        return float((np.log(totals) + top).sum() - scores[self.made].sum()), error


def fit_moves(found: Sequence[Choice]) -> dict[str, list[float]]:
    """For each trait its own weight and those to the units; "": what the units count (model.Model.prior)."""
    names = vocabulary([traits for choice in found for traits in choice.traits], LEAST)
    data = Choices(found, names)
    own = _own_weights(data)
    size = len(own)
    random = np.random.default_rng(0)
    start = np.concatenate([own, random.normal(0, 0.15, size * HIDDEN), random.normal(0, 0.1, HIDDEN)])
    penalty = np.repeat([OWN, TO_HIDDEN, FROM_HIDDEN], [size, size * HIDDEN, HIDDEN])

    def loss(flat: Array) -> tuple[float, Array]:
        own, inner, outer = np.split(flat, [size, size + size * HIDDEN])
        inner = inner.reshape(size, HIDDEN)
        units = np.tanh(data.x @ inner)
        value, error = data.loss(data.x @ own + units @ outer)
        inner_error = error[:, None] * outer * (1 - units**2)
        gradient = np.concatenate([data.turned @ error, (data.turned @ inner_error).ravel(), units.T @ error])
        return value + float(penalty @ flat**2) / 2, gradient + penalty * flat

    flat = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": ROUNDS}).x
    own, inner, outer = np.split(flat, [size, size + size * HIDDEN])
    rows = np.column_stack([own, inner.reshape(size, HIDDEN)]).round(3).tolist()
    return {"": [0.0, *outer.round(3).tolist()], **dict(zip(names, rows, strict=True))}


def _own_weights(data: Choices) -> Array:
    """The weights of the traits without any units."""

    def loss(weights: Array) -> tuple[float, Array]:
        value, error = data.loss(data.x @ weights)
        return value + OWN * float(weights @ weights) / 2, data.turned @ error + OWN * weights

    found: Array = minimize(loss, np.zeros(data.x.shape[1]), jac=True, method="L-BFGS-B").x
    return found
