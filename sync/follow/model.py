"""The fitted weights, and the log-probabilities that they give."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from importlib import resources
from typing import cast

import numpy as np

from sync.follow.fixes import ROLES
from sync.mentions.mention import Mention

KINDS = ("game", "open", "continue", "instead", "root", "back", "repeat")
"""What a move name can do.

game: the next move of the game. open: a side line from where the game stands. continue: the next move of the line that
is being talked about. instead: another move in place of the one named last. root: another first move in place of the
current side line's. back: a side line from a place further back. repeat: a move that was named already.
"""
GAME, OPEN, CONTINUE, INSTEAD, ROOT, BACK, REPEAT = range(len(KINDS))
MODES = ("game", "looking-back", "side")
"""Where the talk is: at the last move of the game, at an earlier move of the game, in a side line."""
AT_GAME, LOOKING_BACK, IN_SIDE = range(len(MODES))
COLUMNS = len(MODES) * len(KINDS)
PLAYED, CONSIDERED, REPEATED = range(len(ROLES))
ROLE_OF = (PLAYED, *(CONSIDERED,) * (len(KINDS) - 2), REPEATED)
"""What each kind of step makes of its move."""
TERMS = ("named", "kind", "fits", "modes", "misheard", "natural")
"""The terms of a step's score that are numbers; those named by prior.effects are there or not.

named: log-odds that the words name a move. kind: log-probability of the kind of step. fits: log-odds for how the words
fit the places at hand. modes: nats for where the talk is. misheard: what it costs that the words name this move.
natural: log-probability of the move among all legal ones before anything is said, over the usual one.
"""


@dataclass(frozen=True)
class Model:
    """Weights by feature name.

    named: for whether a reading names a move of the tree at all (log-odds).
    kinds: for each feature COLUMNS weights, kind within mode. modes: for each feature one weight for each mode.
    usual: the logarithm of how often each mode is the case.
    prior: for each trait of a move its weight and what it tells each of some hidden units; "": what these count.
    scales: the single numbers listed in tests/fitting.
    terms: for each term of a step's score how much it counts where the move is played, considered and named again.
    """

    named: dict[str, float]
    kinds: dict[str, list[float]]
    modes: dict[str, list[float]]
    usual: list[float]
    prior: dict[str, list[float]]
    scales: dict[str, float]
    terms: dict[str, list[float]]

    def named_log_odds(self, features: Iterable[str], read: float) -> float:
        """For whether the words name a move, before it is known how that fits. read: what the encoder says of it."""
        weights = self.named
        return weights[""] + read + sum(weights.get(feature, 0.0) for feature in features)

    def kind_scores(self, features: Iterable[str], read: Sequence[float]) -> list[float]:
        """One score for each kind within each mode, not yet normalised. read: as for named_log_odds."""
        return _totals(self.kinds, features, read)

    def mode_evidence(self, features: Iterable[str], read: Sequence[float]) -> list[float]:
        """How much likelier the talk around a mention makes each mode, in nats. read: as for named_log_odds."""
        totals = _totals(self.modes, features, read)
        top = max(totals)
        all_modes = top + math.log(sum(math.exp(total - top) for total in totals))
        return [total - all_modes - log_share for total, log_share in zip(totals, self.usual, strict=True)]

    def move_logs(self, traits: Sequence[Sequence[str]]) -> list[float]:
        """Log-probabilities of the legal moves of a position, by the traits of each (traits.MoveTraits)."""
        if not traits:
            return []
        index, table = self._moves
        rows = [index.get(trait, -1) for each in traits for trait in each]
        starts = np.cumsum([0, *(len(each) for each in traits[:-1])])
        sums = np.add.reduceat(table[rows], starts)
        scores = sums[:, 0] + np.tanh(sums[:, 1:]) @ table[index[""], 1:]
        scores -= scores.max()
        return cast(list[float], (scores - np.log(np.exp(scores).sum())).tolist())

    @cached_property
    def _moves(self) -> tuple[dict[str, int], np.ndarray]:
        """The number of each trait's row in a table, and the table; the last row, all zeros, is for unknown traits."""
        index = {trait: number for number, trait in enumerate(self.prior)}
        table = np.array([*self.prior.values(), [0.0] * len(self.prior[""])])
        return index, table

    def fitting(self, mode: int, mention: Mention, pattern: str, rival: str) -> float:
        """What the way in which a mention fits a state adds to the log-odds that it names a move."""
        return sum(self.named.get(feature, 0.0) for feature in fit_features(mode, mention, pattern, rival))


def _totals(table: dict[str, list[float]], features: Iterable[str], read: Sequence[float]) -> list[float]:
    """The sums of the features' rows and of what the encoder says."""
    totals = [constant + other for constant, other in zip(table[""], read, strict=True)]
    for feature in features:
        weights = table.get(feature)
        if weights:
            totals = [total + weight for total, weight in zip(totals, weights, strict=True)]
    return totals


FITS = ("exact", "inexact", "not")
"""How well a mention fits the places at hand, the best first."""


def how_well(pattern: str) -> str:
    """One of FITS for a pattern (the last of search.fits)."""
    if pattern.lower() != pattern:
        return "exact"
    return "inexact" if len(pattern) > len("fits=") else "not"


def fit_features(mode: int, mention: Mention, pattern: str, rival: str) -> tuple[str, ...]:
    """Features for how a mention fits a state, from the broad to the exact.

    pattern: the last of search.fits. rival: how well the main reading of the same words fits there, "" for a main one.
    """
    said, best = what_is_said(mention), how_well(pattern)
    found = f"fit={best}", f"fit={said} {best}", f"fit={said} {MODES[mode]} {pattern}"
    return (*found, f"fit={best} rival={rival}") if rival else found


def what_is_said(mention: Mention) -> str:
    """What a mention says of its move, in short."""
    if mention.castle:
        return "castles"
    slots = (mention.piece, mention.origin, mention.victim, mention.to)
    names = ("piece", "origin", "victim", "to")
    said = [name for name, slot in zip(names, slots, strict=True) if slot is not None]
    return "-".join([*said, "takes"] if mention.takes else said) or "nothing"


@cache
def fitted() -> Model:
    """The weights that come with Plycue (sync/follow/weights.json, made by tests/fitting)."""
    text = resources.files("sync.follow").joinpath("weights.json").read_text(encoding="utf-8")
    data = json.loads(text)
    return Model(**data)
