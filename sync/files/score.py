"""How far a produced PGN is from the true one.

PGN has no place for a side line after the last move played but the main line itself. The truth says where the played
moves end by a comment that opens with "Only considered:" (as sync/files/pgn.py writes it); of the produced main line as
many moves are compared as the truth has played, the rest counts as a side line.
"""

from __future__ import annotations

import json
import math
import os
import re
import statistics
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from itertools import islice, takewhile, zip_longest

import chess
import chess.pgn

from sync.errors import InputError
from sync.files.game_input import read_game, read_games
from sync.files.pgn import ONLY_CONSIDERED

CUE = re.compile(r"\[%cue\s+(\d+):(\d+):(\d+(?:\.\d+)?)")
COMMANDS = re.compile(r"\[%[^\]]*\]\s*")

MOST_PLIES = 3000
"""Of a true main line: time and room for the comparison grow with its square."""

NEAR = 1.0
"""Seconds within which a time is right."""

Edge = tuple[str, str]
"""A move: its position (EPD) and its SAN."""


@dataclass(frozen=True, slots=True)
class Score:
    """A produced game against the true one; totals are those of the truth.

    mainline_correct_prefix: plies that are equal up to the first difference; mainline_correct: plies of a longest
        common subsequence: these are the right plies.
    sideline_*: sets of (position, move) off each game's own main line.
    time_*: seconds between the first cue of a right ply and the truth's cue for it, over the right plies for which the
        truth has one (time_plies). A ply without a cue is not within 1 s, and is left out of median and p95. None where
        there is nothing to measure.
    """

    mainline_total: int
    mainline_exact: bool
    mainline_correct_prefix: int
    mainline_correct: int
    sideline_total: int
    sideline_produced: int
    sideline_correct: int
    sideline_precision: float
    sideline_recall: float
    sideline_f1: float
    time_plies: int
    time_without_cue: int
    time_median: float | None
    time_p95: float | None
    time_within_1s: float | None


def score_files(produced: str | os.PathLike[str], truth: str | os.PathLike[str]) -> tuple[Score, ...]:
    """A score for each game of the truth, the produced games taken in order; a missing one counts as empty.

    Raises InputError for files that are no PGN, and for a truth without moves or with more than MOST_PLIES.
    """
    true_games = read_game(truth)
    for number, game in enumerate(true_games, start=1):
        if game.end().ply() - game.ply() > MOST_PLIES:
            raise InputError(f"{truth}: game {number} has more than {MOST_PLIES} plies; give the game of the talk")
    games = zip_longest(read_games(produced), true_games)
    return tuple(score(made or chess.pgn.Game(), true) for made, true in games if true)


def score(produced: chess.pgn.Game, truth: chess.pgn.Game) -> Score:
    """The score of one game."""
    true_line = list(takewhile(_is_played, truth.mainline()))
    produced_line = list(islice(produced.mainline(), len(true_line)))
    produced_all, true_all = _edges(produced), _edges(truth)
    produced_sans = [produced_all[node][1] for node in produced_line]
    true_sans = [true_all[node][1] for node in true_line]
    pairs = common_subsequence(produced_sans, true_sans)
    produced_edges, true_edges = _off_line(produced_all, produced_line), _off_line(true_all, true_line)
    right = len(produced_edges & true_edges)
    times = [(cue_seconds(produced_line[i].comment), cue_seconds(true_line[j].comment)) for i, j in pairs]
    timed = [(made, round(true, 3)) for made, true in times if true is not None]  # as cues are written: milliseconds
    errors = sorted(abs(made - true) for made, true in timed if made is not None)
    return Score(
        mainline_total=len(true_sans),
        mainline_exact=produced_sans == true_sans,
        mainline_correct_prefix=_equal_start(produced_sans, true_sans),
        mainline_correct=len(pairs),
        sideline_total=len(true_edges),
        sideline_produced=len(produced_edges),
        sideline_correct=right,
        sideline_precision=round(right / len(produced_edges), 4) if produced_edges else float(not true_edges),
        sideline_recall=round(right / len(true_edges), 4) if true_edges else 1.0,
        sideline_f1=_f1(right, len(produced_edges), len(true_edges)),
        time_plies=len(timed),
        time_without_cue=len(timed) - len(errors),
        time_median=round(statistics.median(errors), 3) if errors else None,
        time_p95=round(errors[math.ceil(0.95 * len(errors)) - 1], 3) if errors else None,
        time_within_1s=round(sum(error <= NEAR for error in errors) / len(timed), 4) if timed else None,
    )


def common_subsequence(left: Sequence[str], right: Sequence[str]) -> list[tuple[int, int]]:
    """Index pairs of a longest common subsequence; an equal start is matched item by item.

    >>> common_subsequence(["e4", "e5", "Nf3"], ["e4", "c5", "Nf3"])
    [(0, 0), (2, 2)]
    """
    longest = [[0] * (len(right) + 1) for _ in range(len(left) + 1)]
    for i in reversed(range(len(left))):
        for j in reversed(range(len(right))):
            same = left[i] == right[j]
            longest[i][j] = longest[i + 1][j + 1] + 1 if same else max(longest[i + 1][j], longest[i][j + 1])
    pairs, i, j = [], 0, 0
    while i < len(left) and j < len(right):
        if left[i] == right[j]:
            pairs.append((i, j))
            i, j = i + 1, j + 1
        elif longest[i + 1][j] >= longest[i][j + 1]:
            i += 1
        else:
            j += 1
    return pairs


def cue_seconds(comment: str) -> float | None:
    """The first time in a comment, in seconds.

    >>> cue_seconds("[%cue 0:01:23.450 0:01:31.050] knight f3")
    83.45
    """
    if not (found := CUE.search(comment)):
        return None
    hours, minutes, seconds = map(float, found.groups())
    return hours * 3600 + minutes * 60 + seconds


def score_table(scores: Sequence[Score]) -> str:
    """The scores as text: a line for each figure, a column for each game."""
    rows = [("game", [str(number) for number in range(1, len(scores) + 1)])] if len(scores) > 1 else []
    rows += [(label, [_cell(asdict(item)[name]) for item in scores]) for name, label in LABELS.items()]
    widths = [max(len(cells[column]) for _, cells in rows) for column in range(len(scores))]
    first = max(map(len, LABELS.values()))
    return "".join(
        "  ".join([label.ljust(first), *(cell.rjust(width) for cell, width in zip(cells, widths, strict=True))]) + "\n"
        for label, cells in rows
    )


def score_json(scores: Sequence[Score]) -> str:
    """The scores as a JSON list of objects with the fields of Score."""
    return json.dumps([asdict(item) for item in scores], indent=1) + "\n"


LABELS = {
    "mainline_total": "main line: plies",
    "mainline_exact": "main line: exact",
    "mainline_correct_prefix": "main line: right from the start",
    "mainline_correct": "main line: right",
    "sideline_total": "side lines: moves",
    "sideline_produced": "side lines: produced",
    "sideline_correct": "side lines: right",
    "sideline_precision": "side lines: precision",
    "sideline_recall": "side lines: recall",
    "sideline_f1": "side lines: F1",
    "time_plies": "times: right plies with a true time",
    "time_without_cue": "times: without a produced time",
    "time_median": "times: median error in s",
    "time_p95": "times: 95th percentile in s",
    "time_within_1s": "times: share within 1 s",
}


def _is_played(node: chess.pgn.ChildNode) -> bool:
    return not COMMANDS.sub("", node.comment).lstrip().startswith(ONLY_CONSIDERED)


def _edges(game: chess.pgn.Game) -> dict[chess.pgn.GameNode, Edge]:
    edges: dict[chess.pgn.GameNode, Edge] = {}
    waiting: list[tuple[chess.pgn.GameNode, chess.Board]] = [(game, game.board())]
    while waiting:
        node, board = waiting.pop()
        for child in node.variations:
            edges[child] = board.epd(), board.san(child.move)
            after = board.copy(stack=False)
            after.push(child.move)
            waiting.append((child, after))
    return edges


def _off_line(edges: dict[chess.pgn.GameNode, Edge], line: Sequence[chess.pgn.ChildNode]) -> set[Edge]:
    return set(edges.values()) - {edges[node] for node in line}


def _equal_start(produced: Sequence[str], true: Sequence[str]) -> int:
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(produced, true, strict=False)))


def _f1(right: int, produced: int, true: int) -> float:
    return round(2 * right / (produced + true), 4) if produced or true else 1.0


def _cell(value: bool | int | float | None) -> str:
    if value is None:
        return "-"
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)
