"""How like one another two sets of lesson scripts are: python -m tests.fitting.likeness DIR [NAME_PREFIXES]

Prints for the scripts of a folder how moves are named, what kinds of step there are, how many words stand between
moves, and how well the follower follows them. With prefixes only the scripts whose names begin with one of the letters.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from pathlib import Path

import chess

from sync.follow import follow
from sync.follow.model import KINDS, MODES, what_is_said
from sync.follow.tree import Game
from sync.mentions.spot import spot
from sync.transcript.words import Transcript
from tests.fitting.corpus import Mark, Script, read_script, spoken
from tests.fitting.oracle import tree, true_steps

QUANTILES = (0.1, 0.25, 0.5, 0.75, 0.9)


@dataclass(frozen=True)
class Followed:
    """right: plies of the game at their place. whole: the game is right, whatever follows it. moves: numbers of
    side-line moves that are found and true, found, true."""

    plies: int
    right: int
    whole: bool
    moves: tuple[int, int, int]


def followed(script: Script, transcript: Transcript) -> Followed:
    """How well the follower does on a talk whose script is known."""
    found = follow(transcript, spot(transcript), start_fen=script.start_fen)[0]
    game, sides = _found(found)
    matching = SequenceMatcher(None, game, script.game, autojunk=False).get_matching_blocks()
    _, nodes = tree(script)
    true = {
        (node.parent.board.epd(), node.parent.board.san(node.move))
        for tag, node in nodes.items()
        if tag.startswith("V") and node.parent and node.move
    }
    right = sum(block.size for block in matching)
    whole = game[: len(script.game)] == script.game
    return Followed(len(script.game), right, whole, (len(sides & true), len(sides), len(true)))


def _found(game: Game) -> tuple[list[str], set[tuple[str, str]]]:
    """The game's moves, and those of side lines by position."""
    main: list[str] = []
    sides: set[tuple[str, str]] = set()
    after: dict[int | None, chess.Board] = {None: chess.Board(game.start_fen)}
    for ply, board in game.boards():
        after[ply.id] = board
        if ply.played:
            main.append(ply.san)
        else:
            sides.add((after[ply.parent].epd(), ply.san))
    return main, sides


def f1(each: Iterable[tuple[int, int, int]]) -> float:
    both, found, true = map(sum, zip(*each, strict=True))
    return 2 * both / (found + true) if found + true else 1.0


def gaps(script: Script) -> Iterator[tuple[str, int]]:
    """Words between one mark and the next, by the kinds of both; V1 begins a side line."""
    before, words = "", 0
    for text, marks in script.paragraphs:
        position = 0
        for tag, first, last in marks:
            words += len(re.findall(r"[\w']+", text[position:first]))
            kind = tag[0] + ("1" if re.fullmatch(r"V \w+\.1", tag) else "")
            if before:
                yield before[0] + kind, words
            before, position, words = kind, last, 0
        words += len(re.findall(r"[\w']+", text[position:]))


def said_of(script: Script, transcript: Transcript, marks: list[Mark]) -> Iterator[tuple[str, str]]:
    """For each move that is told the kind of step, and what its name says."""
    truth = true_steps(script, transcript, marks)
    for step in truth.steps:
        said = "unheard" if step.mention is None else what_is_said(truth.mentions[step.mention])
        yield f"{MODES[step.mode]} {KINDS[step.kind]}", said


def shares(counts: Counter[str], least: float = 0.4) -> str:
    total = sum(counts.values())
    return ", ".join(
        f"{key} {100 * count / total:.1f}" for key, count in counts.most_common() if 100 * count / total >= least
    )


def describe(scripts: Sequence[Script]) -> Iterator[str]:
    kinds: Counter[str] = Counter()
    names: Counter[str] = Counter()
    between: dict[str, list[int]] = {}
    results = []
    for script in scripts:
        transcript, marks = spoken(script)
        for kind, said in said_of(script, transcript, marks):
            kinds[kind] += 1
            names[said] += 1
        for kind, words in gaps(script):
            between.setdefault(kind, []).append(words)
        results.append(followed(script, transcript))
    yield f"{len(scripts)} scripts, {sum(each.plies for each in results)} plies"
    yield f"steps: {shares(kinds)}"
    yield f"names: {shares(names)}"
    for kind, counts in sorted(between.items(), key=lambda pair: -len(pair[1]))[:9]:
        counts.sort()
        yield f"words {kind}: " + " ".join(str(counts[int(part * (len(counts) - 1))]) for part in QUANTILES)
    yield summary(results)


def summary(results: Sequence[Followed]) -> str:
    plies, right = sum(each.plies for each in results), sum(each.right for each in results)
    return (
        f"plies right {right} of {plies} ({100 * right / plies:.1f} %), whole games "
        f"{sum(each.whole for each in results)} of {len(results)}, F1 {f1(each.moves for each in results):.2f}"
    )


def main() -> None:
    folder, prefixes = Path(sys.argv[1]), tuple(sys.argv[2]) if len(sys.argv) > 2 else ("",)
    paths = [path for path in sorted(folder.glob("*.lesson.txt")) if path.name.startswith(prefixes)]
    for line in describe([read_script(path) for path in paths]):
        print(line)


if __name__ == "__main__":
    main()
