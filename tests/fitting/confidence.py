"""Fits what tells how sure a ply is: python -m tests.fitting.confidence CORPUS_DIR WRITER...

The lessons of these writers must be ones that the weights in use were not fitted on. Each is followed without its game,
as it is written and as tiny.en heard it where that is there (NAME.clean.json), and the confidence of each ply is to be
the probability that it is right (logistic, L-BFGS): the move, all before it, and that it was played or only considered.

Prints the weights (CALIBRATION of sync/follow/posterior.py), and for the lessons in CORPUS_DIR that nothing is ever
learned from what they say: plies, mean confidence and the share that is right, by confidence.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import chess
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from sync.follow.follow import steps_to
from sync.follow.games import ended
from sync.follow.model import fitted
from sync.follow.place import Place
from sync.follow.posterior import CALIBRATION, beliefs, signs
from sync.follow.recover import run
from sync.follow.search import Search, spots
from sync.mentions import spot
from sync.transcript.words import Transcript
from tests.fitting.corpus import HELD_OUT, Script, read_script, writer
from tests.fitting.fit import tellings
from tests.fitting.oracle import tree

PENALTY = 1.0
BOUNDS = (0.0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 1.0)
"""Of the classes of confidence in the table."""

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Judged:
    """The plies of a talk as they were followed: signs (one row each), whether they are right, how much each counts."""

    signs: Array
    right: Array
    weight: float


def judged(script: Script, transcript: Transcript, weight: float) -> Judged:
    """Each move of the tree that was found, as it was named first."""
    found = spots(transcript, spot(transcript), fitted())
    search = Search(chess.Board(script.start_fen), fitted())
    finals = ended(search, run(search, found))
    steps = steps_to(finals[0])
    played = {place.id for place in finals[0].tip.line()}
    _, nodes = tree(script)
    game = {_line(place) for tag, place in nodes.items() if tag.startswith("M")}
    considered = {_line(place) for tag, place in nodes.items() if tag.startswith("V")}
    rows: dict[int, tuple[tuple[float, ...], bool]] = {}
    for step, told in zip(steps, signs(steps, beliefs(finals, steps), found), strict=True):
        number = step.place.id
        rows.setdefault(number, (told, _line(step.place) in (game if number in played else considered)))
    told_by = np.array([told for told, _ in rows.values()]).reshape(-1, len(CALIBRATION) - 1)
    return Judged(told_by, np.array([float(right) for _, right in rows.values()]), weight)


def _line(place: Place) -> tuple[chess.Move | None, ...]:
    return tuple(each.move for each in place.line())


def fitted_calibration(talks: Sequence[Judged]) -> list[float]:
    """One weight for each of the signs, and the constant."""
    told = np.concatenate([talk.signs for talk in talks])
    right = np.concatenate([talk.right for talk in talks])
    counts = np.concatenate([np.full(len(talk.right), talk.weight) for talk in talks])
    middle, spread = told.mean(0), told.std(0) + 1e-9
    rows = np.column_stack([(told - middle) / spread, np.ones(len(told))])
    kept = np.r_[np.full(told.shape[1], PENALTY), 0.0]

    def loss(weights: Array) -> tuple[float, Array]:
        values = rows @ weights
        chance = 1 / (1 + np.exp(-values))
        total = counts @ (np.logaddexp(0.0, values) - right * values) + kept @ weights**2 / 2
        return float(total), rows.T @ (counts * (chance - right)) + kept * weights

    *weights, constant = minimize(loss, np.zeros(rows.shape[1]), jac=True, method="L-BFGS-B").x
    plain = np.array(weights) / spread
    return [round(float(weight), 3) for weight in (*plain, constant - plain @ middle)]


def said(talk: Judged, calibration: Sequence[float]) -> Array:
    """The confidence of each ply."""
    *weights, constant = calibration
    chances: Array = 1 / (1 + np.exp(-(talk.signs @ np.array(weights) + constant)))
    return chances


def reliability(confidence: Array, right: Array) -> Iterator[tuple[float, float, int, float, float]]:
    """For each class of confidence: its bounds, how many plies, their mean confidence, and the share that is right."""
    for low, high in pairwise(BOUNDS):
        here = (confidence >= low) & ((confidence < high) | (high == BOUNDS[-1]))
        if here.any():
            yield low, high, int(here.sum()), float(confidence[here].mean()), float(right[here].mean())


def main() -> None:
    corpus, writers = Path(sys.argv[1]), sys.argv[2:]
    calibration = fitted_calibration(list(_talks(corpus, writers)))
    print("CALIBRATION =", tuple(calibration))
    others = list(_talks(corpus, HELD_OUT))
    if not others:
        return
    confidence = np.concatenate([said(talk, calibration) for talk in others])
    for low, high, plies, mean, share in reliability(confidence, np.concatenate([talk.right for talk in others])):
        print(f"{low:.0%} to {high:.0%}: {plies} plies, said {mean:.0%}, right {share:.0%}")


def _talks(corpus: Path, writers: Sequence[str]) -> Iterator[Judged]:
    for path in sorted(corpus.glob("*.lesson.txt")):
        script = read_script(path)
        if writer(script.name) not in writers:
            continue
        for words, _, weight in tellings(script, corpus, ("clean",)):
            yield judged(script, words, weight)


if __name__ == "__main__":
    main()
