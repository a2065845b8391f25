"""How natural moves are: what the fit learns of made-up choices."""

from __future__ import annotations

import math
from dataclasses import replace

import chess

from sync.follow.model import fitted
from sync.follow.place import Places
from tests.fitting.moves import LEAST, Choice, choices, fit_moves

GOOD = [["good"], ["bad"]]
EITHER = [["one"], ["other"], ["one", "other"], []]
"""Of these the first two are chosen: no sum of weights for the two traits prefers both to the last two."""


def test_what_was_chosen_is_natural() -> None:
    model = replace(fitted(), prior=fit_moves([Choice(GOOD, 0)] * LEAST))
    good, bad = model.move_logs(GOOD)
    assert good > math.log(0.8) > bad


def test_what_counts_together_is_told_by_the_units() -> None:
    found = [Choice([[*traits, "any"] for traits in EITHER], number) for number in (0, 1)] * 50 * LEAST
    model = replace(fitted(), prior=fit_moves(found))
    shares = [math.exp(log) for log in model.move_logs([[*traits, "any"] for traits in EITHER])]
    assert min(shares[:2]) > 0.35 > 0.15 > max(shares[2:])


def test_a_trait_of_few_moves_gets_no_weights() -> None:
    assert set(fit_moves([*[Choice(GOOD, 0)] * (LEAST - 1), Choice([["good"], ["rare"]], 1)])) == {"", "good"}


def test_the_choices_along_a_line_are_its_moves_among_all_legal_ones() -> None:
    places = Places(chess.Board())
    first = places.after(places.root, chess.Move.from_uci("e2e4"))
    second = places.after(first, chess.Move.from_uci("e7e5"))
    found = choices([first, second])
    assert [len(choice.traits) for choice in found] == [20, 20]
    assert all("pawn to e4" in choice.traits[choice.made] for choice in found)
