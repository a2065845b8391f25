"""The truth of a spoken lesson as PGN: python -m tests.speech.truth SCRIPT OUT.pgn [TRUTH.json] [--game-only]

With TRUTH.json (from tests.speech.speak) each named move gets the time at which it is first named. --game-only leaves
the side lines and the times out: the game as a player would have written it down.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import chess.pgn

from sync.files.pgn import ONLY_CONSIDERED
from tests.speech.script import Script, build_tree, read_script


def mention_starts(truth: dict[str, Any]) -> dict[str, float]:
    """Seconds at which each place ("M 5", "V a.2") is first named."""
    starts: dict[str, float] = {}
    for mention in truth["mentions"]:
        if mention["tag"].startswith(("M ", "V ")):
            starts.setdefault(mention["tag"], mention["start"])
    return starts


def cue(seconds: float) -> str:
    """
    >>> cue(83.45)
    '[%cue 0:01:23.450]'
    """
    minutes, milliseconds = divmod(round(seconds * 1000), 60_000)
    hours, minutes = divmod(minutes, 60)
    return f"[%cue {hours}:{minutes:02}:{milliseconds // 1000:02}.{milliseconds % 1000:03}]"


def true_game(script: Script, starts: dict[str, float]) -> chess.pgn.Game:
    game, nodes = build_tree(script)
    for place, start in starts.items():
        nodes[place].comment = cue(start)
    line = list(game.mainline())
    if len(line) > len(script.game):
        considered = line[len(script.game)]
        considered.comment = f"{considered.comment} {ONLY_CONSIDERED}".strip()
    return game


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("script", type=Path)
    parser.add_argument("out", type=Path, metavar="OUT.pgn")
    parser.add_argument("truth", type=Path, nargs="?", metavar="TRUTH.json")
    parser.add_argument("--game-only", action="store_true")
    options = parser.parse_args()

    script = read_script(options.script)
    if options.game_only:
        script = replace(script, side_lines={})
    starts = mention_starts(json.loads(options.truth.read_text(encoding="utf-8"))) if options.truth else {}
    options.out.write_text(f"{true_game(script, starts)}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
