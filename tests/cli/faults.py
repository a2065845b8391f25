"""Runs `plycue sync` over and over in children that are killed, or in pairs, and tells as JSON what was left.

Run as a program of its own: it forks, which a process with threads must not do.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sync.atomic import PART
from tests.cli.conftest import plycue
from tests.recording.media import tone, write_media

NOBODY = 65534


def files(folder: Path) -> dict[str, bytes]:
    """What stands in a folder, by path; parts that are being written left out."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and PART not in path.as_posix()
    }


def in_child(work: Callable[[], Any]) -> int:
    """Forks, works there, and returns the child's process id."""
    child = os.fork()
    if child:
        return child
    try:
        os._exit(work())
    finally:
        os._exit(99)


def ended(child: int) -> int:
    """The exit code of a child, -9 for one that was killed."""
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def sync(talk: Path, out: Path) -> int:
    return plycue("sync", talk, "--out", out).exit_code


def killed_at(step: int, after: bool, work: Callable[[], int]) -> int:
    """Does the work, but is killed by kill -9 just before or after the step-th file takes its place."""
    replace, steps = os.replace, iter(range(1, 10_000))

    def replace_or_die(source: Any, target: Any) -> None:
        last = next(steps) == step
        if last and not after:
            os.kill(os.getpid(), signal.SIGKILL)
        replace(source, target)
        if last:
            os.kill(os.getpid(), signal.SIGKILL)

    os.replace = replace_or_die  # type: ignore[assignment]
    return work()


def kills(folder: Path, before: Path, talk: Path) -> dict[str, Any]:
    """Kills a run at each step, with the lesson of an earlier run (in before) in its place."""
    old, new = files(before), folder / "new"
    shutil.copytree(before, new)
    assert sync(talk, new) == 0
    wanted = files(new)
    told: dict[str, Any] = {"kills": 0, "torn": [], "not repaired": []}
    for step in range(1, 100):
        for after in (False, True):
            out = folder / f"{step}{after}"
            shutil.copytree(before, out)
            code = ended(in_child(lambda: killed_at(step, after, lambda: sync(talk, out))))  # noqa: B023
            if code == 0:
                return told
            told["kills"] += code == -signal.SIGKILL
            found = files(out)
            told["torn"] += [name for name, data in found.items() if data not in (old.get(name), wanted.get(name))]
            if sync(talk, out) != 0 or files(out) != wanted:
                told["not repaired"].append([step, after])
            shutil.rmtree(out)
    raise AssertionError("the run never came to its end")


def pairs(folder: Path, talks: list[Path], rounds: int) -> dict[str, Any]:
    """Two runs at once for one place; the lesson must be wholly that of one of them."""
    told: dict[str, Any] = {"codes": [], "mixed": 0}
    alone = []
    for number, talk in enumerate(talks):
        assert sync(talk, folder / f"alone{number}") == 0
        alone.append(files(folder / f"alone{number}"))
    for number in range(rounds):
        out = folder / f"both{number}"
        children = []
        for talk in talks:
            children.append(in_child(lambda: sync(talk, out)))  # noqa: B023
            time.sleep(0.01 * number)
        told["codes"] += [ended(child) for child in children]
        told["mixed"] += files(out) not in alone
    return told


def rights(folder: Path, talk: Path) -> dict[str, Any]:
    """What a user is told who may read one talk, but nothing else, and may write nowhere but in one folder."""
    free = folder / "free"
    free.mkdir()
    write_media(folder / "mine.wav", tone(1.0, 16_000), 16_000, "pcm_s16le")
    (folder / "mine.pgn").write_text("1. e4 *", encoding="utf-8")
    shutil.copy(talk, free / "talk.vtt")
    for path in (talk, folder / "mine.wav", folder / "mine.pgn"):
        path.chmod(0o600)
    for path in (folder, *folder.parents):
        path.chmod(path.stat().st_mode | 0o055)
    free.chmod(0o777)
    plycue("sync", talk, "--out", folder / "to-load-all")
    os.setuid(NOBODY)
    tries = {
        "talk": ("sync", talk, "--out", free / "out"),
        "game": ("sync", free / "talk.vtt", "--game", folder / "mine.pgn"),
        "recording": ("sync", folder / "mine.wav", "--out", free / "out"),
        "folder": ("sync", free / "talk.vtt", "--out", folder / "out"),
    }
    results = {name: plycue(*arguments) for name, arguments in tries.items()}
    return {name: [result.exit_code, result.stderr.rstrip("\n")] for name, result in results.items()}


if __name__ == "__main__":
    place, what = Path(sys.argv[1]), sys.argv[2]
    given = [place / name for name in sys.argv[3:]]
    works: dict[str, Callable[[], dict[str, Any]]] = {
        "kills": lambda: kills(place, given[0], given[1]),
        "pairs": lambda: pairs(place, given, 6),
        "rights": lambda: rights(place, given[0]),
    }
    print(json.dumps(works[what]()))
