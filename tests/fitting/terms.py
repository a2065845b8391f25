"""Fits how much each term of a step's score counts, on whole talks: python -m tests.fitting.terms CORPUS_DIR WEIGHTS

The other weights (tests.fitting.fit) are fitted step by step, as if all before were known to be right. Here the lessons
are split into FOLDS by who wrote them, and each is read (as tiny.en heard it, where that is there) with weights fitted
on the other folds and the terms in the file of WEIGHTS: once freely and once along its true game. Of the hypotheses at
the end those with the least errors are to be the likeliest (softmax over all of them), by weights for each term and
role that stay near those in the file (L-BFGS).

What is put into the file has SHARE of the way from its terms to these: with all of it the right hypothesis more often
falls further behind within the talk than the beam is wide.
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from pathlib import Path

import chess
import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import LCSseq
from scipy.optimize import minimize

from sync.follow.fixes import ROLES
from sync.follow.follow import steps_to
from sync.follow.games import ended, left_open
from sync.follow.model import CONSIDERED, PLAYED, REPEATED, ROLE_OF, TERMS, Model
from sync.follow.place import Place
from sync.follow.prior import effects
from sync.follow.recover import once
from sync.follow.search import AGAIN, FIRST, Search, State, Step, groups, spots
from sync.mentions import spot
from sync.transcript.words import Transcript
from tests.fitting.corpus import HELD_OUT, Script, read_script, writer
from tests.fitting.fit import EFFECTS, PLAIN, fit, load, tellings, weights_text
from tests.fitting.oracle import tree

FOLDS = 3
SHARE = 0.5
TEMPER = 0.15
"""What a score is multiplied by to be a log-probability."""
PENALTY = 60.0
STRICT = 30.0
"""Hypotheses with this part of an error more are hardly wanted."""
FREE, ALONG, BEHIND = 50, 25, 15.0
"""Hypotheses of a free reading and of one along the true game that are compared, up to nats behind the best."""
MOST = {"misheard": 0.0}
"""Bounds: a mishearing cannot speak for a move."""
COLUMNS = [(term, role) for term in (*TERMS, *EFFECTS) for role in range(len(ROLES))]
INDEX = {column: number for number, column in enumerate(COLUMNS)}

Array = NDArray[np.float64]


class Along(Search):
    """A search in which nothing but the true game is played."""

    def __init__(self, start: chess.Board, model: Model, sans: Sequence[str]) -> None:
        super().__init__(start, model)
        place = self.places.root
        self.true = {place.id}
        for san in sans:
            place = self.places.after(place, place.board.parse_san(san))
            self.true.add(place.id)

    def _take(self, pool: dict[tuple[int, int, int], State], step: Step, first: int) -> None:
        if ROLE_OF[step.kind] != PLAYED or step.place.id in self.true:
            super()._take(pool, step, first)


@dataclass
class Hypotheses:
    """Of one talk, a row each.

    counts: how much of each of COLUMNS is in the score, and then the rest of it. scores: with what the end of the game
    costs. errors: from 0 to 2.2.
    """

    counts: Array
    scores: Array
    errors: Array


def hypotheses(script: Script, transcript: Transcript, model: Model) -> Hypotheses:
    found = spots(transcript, spot(transcript), model)
    start = chess.Board(script.start_fen)
    free, along = Search(start, model), Along(start, model, script.game)
    beam = [along.start]
    for group in groups(found):
        beam, _ = along.read(beam, group, AGAIN)
    _, nodes = tree(script)
    game = {_move(place) for mark, place in nodes.items() if mark.startswith("M")}
    considered = {_move(place) for place in nodes.values()} - game
    rows, scores, errors = [], [], []
    freely = once(free, found, FIRST)
    for search, finals, most in ((free, ended(free, freely), FREE), (along, ended(along, beam), ALONG)):
        for state in finals[:most]:
            if state.score > finals[0].score - BEHIND:
                rows.append(_counts(search, state))
                scores.append(state.score - left_open(search, state))
                errors.append(_error(search, state, script.game, considered))
    return Hypotheses(np.array(rows), np.array(scores), np.array(errors))


def _counts(search: Search, state: State) -> Array:
    """How much of each of COLUMNS is in a hypothesis's score, and the rest of it."""
    total = np.zeros(len(COLUMNS) + 1)
    for step in steps_to(state):
        role = ROLE_OF[step.kind]
        counted = 0.0
        for term, amount in _amounts(search, step):
            total[INDEX[term, role]] += amount
            counted += search.model.terms[term][role] * amount
        total[-1] += step.score - counted
    total[-1] -= left_open(search, state)
    return total


def _amounts(search: Search, step: Step) -> Iterator[tuple[str, float]]:
    """The terms of a step's score with how much there is of each."""
    found = step.spot
    if found.mention.line:
        return
    yield "named", found.gain
    yield from zip(("kind", "fits", "modes"), search.about(step), strict=True)
    if ROLE_OF[step.kind] == REPEATED:
        return
    base, move = step.place.parent, step.place.move
    assert base is not None and move is not None
    if not step.through:
        yield "misheard", search.misheard(base, found, move)
    yield "natural", search.natural(base, move)
    for name in effects(base.board, move, step.place.board):
        yield name, 1.0


def _error(search: Search, state: State, game: Sequence[str], considered: Set[tuple[str, str]]) -> float:
    """How wrong a hypothesis is: whether a ply of the game is, how many are, and the moves only considered (by F1)."""
    played = [_move(place) for place in state.tip.line()]
    named = {_move(search.places.by_id[number]) for number in state.tree if number} - set(played)
    sans = [san for _, san in played]
    right = LCSseq.similarity(sans, game) / len(game)
    f1 = 2 * len(named & considered) / max(1, len(named) + len(considered))
    return 0.5 * (sans != game) + (1 - right) + 0.7 * (1 - f1)


def _move(place: Place) -> tuple[str, str]:
    """The position and the move made in it."""
    assert place.parent is not None and place.move is not None
    return place.parent.board.fen(), place.parent.board.san(place.move)


def fitted_terms(talks: Sequence[Hypotheses], earlier: Mapping[str, Sequence[float]]) -> dict[str, list[float]]:
    """The weights for each term and role, the rest counting 1, SHARE of the way to those that fit best."""
    start = np.array([earlier[term][role] for term, role in COLUMNS] + [1.0])
    wanted = [np.exp(STRICT * (talk.errors.min() - talk.errors)) for talk in talks]

    def loss(weights: Array) -> tuple[float, Array]:
        off = weights - TEMPER * start
        value, gradient = PENALTY * float(off @ off) / 2, PENALTY * off
        for talk, want in zip(talks, wanted, strict=True):
            scores = talk.counts @ weights
            log_shares = scores - np.logaddexp.reduce(scores)
            target = want / want.sum()
            value -= float(target @ log_shares)
            gradient = gradient + (np.exp(log_shares) - target) @ talk.counts
        gradient[-1] = 0.0  # else all terms grow against the rest, and the nats of the beam's bounds with them
        return value, gradient

    best = minimize(loss, TEMPER * start, jac=True, method="L-BFGS-B", options={"maxiter": 400}).x
    weights = start + SHARE * (best / TEMPER - start)
    found = {term: list(row) for term, row in earlier.items()}
    for (term, role), weight in zip(COLUMNS, weights[:-1], strict=True):
        found[term][role] = round(min(float(weight), MOST.get(term, math.inf)), 3)
    for term in PLAIN:  # the errors do not tell of moves named again, so these count as if considered
        found[term][REPEATED] = found[term][CONSIDERED]
    return found


def main() -> None:
    corpus, file = Path(sys.argv[1]), Path(sys.argv[2])
    weights = json.loads(file.read_text(encoding="utf-8"))
    names = sorted(path.name.removesuffix(".lesson.txt") for path in corpus.glob("*.lesson.txt"))
    names = [name for name in names if writer(name) not in HELD_OUT]
    writers = sorted({writer(name) for name in names})
    examples = load(corpus, corpus, names, ("clean",))
    talks = []
    for fold in range(FOLDS):
        others = [example for example in examples if writers.index(writer(example.name)) % FOLDS != fold]
        model = Model(**(fit(others) | {"terms": weights["terms"]}))  # type: ignore[arg-type]
        for name in names:
            if writers.index(writer(name)) % FOLDS == fold:
                script = read_script(corpus / f"{name}.lesson.txt")
                talks.append(hypotheses(script, _talk(corpus, script), model))
    terms = fitted_terms(talks, weights["terms"])
    file.write_text(weights_text(weights | {"terms": terms}), encoding="utf-8")


def _talk(corpus: Path, script: Script) -> Transcript:
    """As it was heard; as it is written where nobody heard it."""
    *_, (words, _, _) = tellings(script, corpus, ("clean",))
    return words


if __name__ == "__main__":
    main()
