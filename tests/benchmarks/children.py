"""Programs measured in processes of their own, turn by turn, so that neither is warm, tired or disturbed alone."""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

PROJECT = Path(__file__).parents[2]

WATCHED = """
import json, os, resource, sys, time

def spent():
    usage = resource.getrusage(resource.RUSAGE_SELF)
    return time.perf_counter(), usage.ru_utime + usage.ru_stime

def peak():
    # ru_maxrss would count what the process had that started this one.
    with open("/proc/self/status") as status:
        return next(1024 * int(line.split()[1]) for line in status if line.startswith("VmHWM"))

def timed(name, work):
    begun = spent()
    result = work()
    wall, processor = (after - before for after, before in zip(spent(), begun))
    told = {"name": name, "wall": wall, "processor": processor, "peak": peak()}
    print("measured", json.dumps(told), flush=True)
    return result
"""
"""Begins a measured program: timed("name", work) calls work and tells what it took."""


@dataclass(frozen=True)
class Spent:
    """wall: seconds that passed; processor: seconds of all processors together, in the program and in the system."""

    wall: float
    processor: float


@dataclass(frozen=True)
class Run:
    """A whole process. parts: what its calls of timed took, by name; told: its other output; peaks: the most bytes of
    memory up to the end of each part."""

    whole: Spent
    parts: dict[str, Spent]
    told: list[str]
    peaks: dict[str, int]

    @property
    def peak(self) -> int:
        return max(self.peaks.values())


def run(arguments: Sequence[str | Path], cache: Path | None = None, expected: int = 0) -> Run:
    """Runs a program with its own cache, by default an empty one. Raises RuntimeError for another exit code than
    expected."""
    with tempfile.TemporaryDirectory() as empty, tempfile.TemporaryFile() as out:
        environment = os.environ | {"PLYCUE_CACHE": str(cache or empty), "PYTHONPATH": str(PROJECT)}
        begun = time.perf_counter()
        process = subprocess.Popen(list(map(str, arguments)), env=environment, stdout=out)
        _, status, usage = os.wait4(process.pid, 0)
        wall = time.perf_counter() - begun
        process.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        lines = out.read().decode().splitlines()
    if process.returncode != expected:
        raise RuntimeError(f"{arguments} ended with {process.returncode}")
    marked = [json.loads(line.removeprefix("measured ")) for line in lines if line.startswith("measured ")]
    return Run(
        Spent(wall, usage.ru_utime + usage.ru_stime),
        {each["name"]: Spent(each["wall"], each["processor"]) for each in marked},
        [line for line in lines if not line.startswith("measured ")],
        {each["name"]: each["peak"] for each in marked},
    )


def python(code: str, *arguments: str | Path) -> list[str | Path]:
    """A command line that runs code after WATCHED."""
    return [sys.executable, "-c", WATCHED + code, *arguments]


def plycue(*arguments: str | Path) -> list[str | Path]:
    return [sys.executable, "-c", "from cli.main import main; main()", *arguments]


def in_turn(programs: Mapping[str, Callable[[], Run]], rounds: int) -> dict[str, list[Run]]:
    """Each program once a round: A B A B."""
    runs: dict[str, list[Run]] = {name: [] for name in programs}
    for _ in range(rounds):
        for name, program in programs.items():
            runs[name].append(program())
    return runs


def median(spent: Sequence[Spent]) -> Spent:
    return Spent(statistics.median(each.wall for each in spent), statistics.median(each.processor for each in spent))


def told(spent: Spent) -> str:
    return f"{spent.wall:.2f} s, {spent.processor:.2f} s of processors"


def ratios(over: Sequence[Spent], under: Sequence[Spent]) -> str:
    """How many times as long the first took, round by round: the middle one, and all."""
    processor = [a.processor / b.processor for a, b in zip(over, under, strict=True)]
    wall = [a.wall / b.wall for a, b in zip(over, under, strict=True)]
    return (
        f"{statistics.median(processor):.2f} in processor time ({_all(processor)}), "
        f"{statistics.median(wall):.2f} in time passed ({_all(wall)})"
    )


def _all(values: Sequence[float]) -> str:
    return " ".join(f"{value:.2f}" for value in values)


def json_told(run: Run) -> Any:
    return json.loads("\n".join(run.told))
