"""What a person waits for besides hearing: help, a second run, another game, many files.

    python -m tests.benchmarks.runs [--audio FOLDER] [--rounds 3]

Prints seconds of this machine and ratios to a yardstick of the same run: a Python that does nothing for help, the first
run for the others. Many files: how much of the time all processors were at work. FOLDER keeps spoken lessons for the
next time.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from pathlib import Path

from tests.benchmarks.children import Run, Spent, in_turn, median, plycue, run, told
from tests.benchmarks.lessons import joined, options, script, spoken

LESSON = "a1"
SHORT = ("a5", "a6", "b5", "b6")


def main() -> None:
    given = options(__doc__)
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        audio = given.audio or folder / "audio"
        start_up(given.rounds)
        same_again(folder, joined([LESSON], audio, folder / f"{LESSON}.wav"), given.rounds)
        many_files(folder, [spoken(name, audio) for name in SHORT])


def start_up(rounds: int) -> None:
    runs = in_turn(
        {"help": lambda: run(plycue("--help")), "nothing": lambda: run([sys.executable, "-c", "pass"])}, 3 * rounds
    )
    shown, nothing = (median([each.whole for each in runs[name]]) for name in ("help", "nothing"))
    print(f"plycue --help: {told(shown)}; a Python that does nothing: {told(nothing)}")


def same_again(folder: Path, lesson: Path, rounds: int) -> None:
    cache, out = folder / "cache", folder / "out"
    first = run(plycue("sync", lesson, "--out", out), cache)
    game = folder / "game.pgn"
    game.write_text(" ".join(script(LESSON).game) + " *\n", encoding="utf-8")

    def with_game() -> Run:
        shutil.rmtree(cache / "followed")  # otherwise only the first round would follow the talk
        return run(plycue("sync", lesson, "--out", folder / "given", "--game", game), cache)

    again = median([run(plycue("sync", lesson, "--out", out), cache).whole for _ in range(rounds)])
    other = median([with_game().whole for _ in range(rounds)])
    print(f"plycue sync, first: {told(first.whole)}")
    print(f"the same again: {told(again)}, {again.processor / first.whole.processor:.1%} of the first")
    print(f"another --game: {told(other)}, {other.processor / first.whole.processor:.1%} of the first")


def many_files(folder: Path, lessons: list[Path]) -> None:
    broken = folder / "broken.wav"
    broken.write_bytes(b"no sound")
    files = [*lessons[:1], broken, *lessons[1:]]
    whole = run(plycue("sync", *files, "--out", folder / "many"), expected=1)
    processors = len(os.sched_getaffinity(0))
    print("\n".join(f"  {line}" for line in whole.told))
    print(f"{len(files)} files, one of them broken: {told(whole.whole)}, {_at_work(whole.whole, processors)}")


def _at_work(spent: Spent, processors: int) -> str:
    return f"{spent.processor / spent.wall / processors:.0%} of {processors} processors at work"


if __name__ == "__main__":
    main()
