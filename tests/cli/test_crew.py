"""Several files at once: what comes of each is what comes of it alone."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from cli import crew
from cli.crew import processes, work
from cli.exits import INTERNAL, RESUME
from cli.job import Given, Job
from cli.progress import stage_bars
from sync.transcript import recogniser
from tests.cli.conftest import PROJECT, plycue

TALKS = {
    "one": "White plays pawn to e4 and black answers pawn to e5. Knight to f3. Knight to c6.",
    "two": "We begin with pawn to d4. Pawn to d5. Then pawn to c4, and black takes on c4.",
    "three": "Pawn to c4, and knight to f6.",
}


@pytest.fixture
def talks(tmp_path: Path) -> list[Path]:
    files = [tmp_path / f"{name}.txt" for name in TALKS]
    for file, text in zip(files, TALKS.values(), strict=True):
        file.write_text(f"[0:00] {text}", encoding="utf-8")
    return files


@pytest.fixture
def two_processors(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew, "machine", lambda: (2, None))


def written(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.usefixtures("two_processors")
def test_at_once_and_one_by_one_give_the_same(
    talks: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    together = plycue("sync", *talks, "--out", tmp_path / "together")
    monkeypatch.setattr(crew, "machine", lambda: (1, None))
    alone = plycue("sync", *talks, "--out", tmp_path / "alone")
    assert together.exit_code == alone.exit_code == 0, together.output
    assert together.stdout.replace("together", "alone") == alone.stdout
    assert alone.stdout.splitlines()[0].endswith("one.txt: 4 plies played, 0 only considered, 0 unsure")
    assert written(tmp_path / "together") == written(tmp_path / "alone") != {}


@pytest.mark.usefixtures("two_processors")
def test_a_bad_file_is_told_in_its_place_and_passed_over(talks: list[Path], tmp_path: Path) -> None:
    broken = tmp_path / "broken.wav"
    broken.write_bytes(b"no sound")
    result = plycue("sync", talks[0], broken, *talks[1:], "--out", tmp_path / "out", "--json")
    assert result.exit_code == 1
    told = json.loads(result.stdout)
    assert [Path(each["file"]).name for each in told] == ["one.txt", "broken.wav", "two.txt", "three.txt"]
    assert [each.get("played") for each in told] == [4, None, 4, 2]
    assert told[1]["error"] in result.stderr.replace("\n", "")


@pytest.mark.usefixtures("two_processors")
@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs that signal")
def test_a_process_that_is_killed_is_told(talks: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew, "_attempt_here", killed)
    jobs = [Job(file, tmp_path / file.stem, "tiny.en", None, Given(), None, False) for file in talks]
    with stage_bars([file.name for file in talks]) as bars:
        ends = list(work(jobs, bars))
    assert [end.code for end in ends] == [INTERNAL] * 3
    assert [end.complaints for end in ends] == [(f"{file}: {crew.ENDED}",) for file in talks]


def killed(number: int, job: Job) -> crew.End:
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError


@pytest.mark.skipif(not hasattr(os, "setsid"), reason="needs groups of processes")
@pytest.mark.parametrize("to_all", [True, False], ids=["as a terminal does it", "the first process alone"])
def test_stopping_stops_all(talks: list[Path], tmp_path: Path, to_all: bool) -> None:
    """The long talk is still being followed when the short one is done."""
    long = tmp_path / "long.txt"
    long.write_text("\n\n".join(f"[{n}:00] {talk}" for n, talk in enumerate([*TALKS.values()] * 500)), encoding="utf-8")
    code = "from cli import crew; crew.machine = lambda: (2, None); from cli.main import main; main()"
    start = [sys.executable, "-c", code, "sync", str(long), str(talks[0]), "--out", str(tmp_path / "out")]
    with subprocess.Popen(
        start, cwd=PROJECT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    ) as process:
        made = wait_until((tmp_path / "out" / "one" / "one.pgn").exists)
        assert process.poll() is None
        (os.killpg if to_all else os.kill)(process.pid, signal.SIGINT)
        told = process.communicate(timeout=60)[1]
    assert made, told
    assert process.returncode == 130
    assert told.strip() == f"plycue: {RESUME}"
    assert wait_until(lambda: not group_is_there(process.pid))


def group_is_there(number: int) -> bool:
    """A process of that group is still there."""
    try:
        os.killpg(number, 0)
    except ProcessLookupError:
        return False
    return True


def wait_until(so: Callable[[], bool]) -> bool:
    deadline = time.monotonic() + 60.0
    while time.monotonic() < deadline:
        if so():
            return True
        time.sleep(0.05)
    return False


def test_there_are_never_more_processes_than_jobs_processors_or_room() -> None:
    gigabyte = 1 << 30
    assert [processes(*each) for each in ((1, 8, None), (9, 8, None), (9, 1, 64 * gigabyte))] == [1, 8, 1]
    assert [processes(9, 8, memory * gigabyte) for memory in (0, 1, 5, 100)] == [1, 1, 5, 8]


def test_what_the_machine_has(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {1, 4, 5}, raising=False)
    sizes = {"SC_PHYS_PAGES": 3000, "SC_PAGE_SIZE": 4096}
    monkeypatch.setattr(os, "sysconf", sizes.__getitem__, raising=False)
    assert crew.machine() == (3, 3000 * 4096)
    monkeypatch.delattr(os, "sched_getaffinity")
    monkeypatch.setattr(os, "cpu_count", lambda: 7)
    monkeypatch.delattr(os, "sysconf")
    assert crew.machine() == (7, None)


@pytest.mark.parametrize(("wanted", "used"), [("1", 1), ("2", 2), ("0", 1), ("64", 3), ("", 3), ("-1", 3), ("2,1", 3)])
def test_a_share_of_the_processors(monkeypatch: pytest.MonkeyPatch, wanted: str, used: int) -> None:
    monkeypatch.setenv("OMP_NUM_THREADS", wanted)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1, 2}, raising=False)
    assert recogniser._threads() == used
