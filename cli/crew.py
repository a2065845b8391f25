"""Several files at once, each in a process of its own with its share of the processors."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing.queues import Queue
from typing import TYPE_CHECKING, Any

from cli.exits import BAD_INPUT, INTERNAL, internal_fault
from cli.progress import Bars, Watch
from sync.errors import InputError
from sync.processors import usable_processors

if TYPE_CHECKING:
    from cli.job import Done, Job

SURE = 0.8
"""Plies with less confidence are counted as unsure."""
MEMORY = 1 << 30
"""Bytes that one process may need."""

Reached = tuple[int, str, float, float]
"""A file's number, the stage that it is in, the seconds of it that are done, and the seconds in all."""


@dataclass(frozen=True, slots=True)
class End:
    """How a job ended: an object for JSON, the exit code that it would have by itself, and lines for standard error."""

    told: dict[str, Any]
    code: int
    complaints: tuple[str, ...]


def attempt(job: Job, watch: Watch) -> End:
    """Does a job; a file that cannot be done is only told, so that others can follow."""
    from cli.job import run

    complaints: list[str] = []
    try:
        done = run(job, watch, lambda warning: complaints.append(f"warning: {warning}"))
    except InputError as error:
        return _failed(job, str(error), BAD_INPUT, complaints)
    except Exception as error:
        return _failed(job, f"{job.file}: {internal_fault(error)}", INTERNAL, complaints)
    return End(summary(job, done), 0, tuple(complaints))


def _failed(job: Job, error: str, code: int, complaints: list[str]) -> End:
    return End({"file": str(job.file), "error": error}, code, (*complaints, error))


def summary(job: Job, done: Done) -> dict[str, Any]:
    plies = [ply for game in done.lesson.games for ply in game.plies]
    return {
        "file": str(job.file),
        "out": str(job.out),
        "played": sum(ply.played for ply in plies),
        "considered": sum(not ply.played for ply in plies),
        "unsure": sum(ply.confidence < SURE for ply in plies),
        "chapters": len(done.lesson.chapters),
        "quizzes": len(done.lesson.quizzes),
        "files": [str(path) for path in done.paths],
    }


def processes(jobs: int, processors: int, memory: int | None) -> int:
    """How many jobs are done at once. memory: of the machine, in bytes, where that is known.

    >>> processes(10, 4, 16 << 30), processes(2, 4, 16 << 30), processes(10, 4, 3 << 30), processes(10, 4, None)
    (4, 2, 3, 4)
    """
    room = processors if memory is None else memory // MEMORY
    return max(1, min(jobs, processors, room))


def machine() -> tuple[int, int | None]:
    """Processors that may be used, and bytes of memory where the system tells."""
    processors = usable_processors()
    try:
        return processors, os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    except (AttributeError, ValueError, OSError):
        return processors, None


def work(jobs: list[Job], bars: Bars) -> Iterator[End]:
    """The end of each job, in their order. More than one are done at once where the machine has room for them."""
    processors, memory = machine()
    count = processes(len(jobs), processors, memory)
    if count == 1:
        for number, job in enumerate(jobs):
            yield attempt(job, bars.watch(number))
            bars.remove(number)
        return
    context = multiprocessing.get_context("spawn")
    with _told(context.Queue(), bars) as reached:
        pool = ProcessPoolExecutor(count, context, _begin, (reached, processors // count))
        with pool, _stopped_with_us():
            futures = [pool.submit(_attempt_here, number, job) for number, job in enumerate(jobs)]
            for number, (job, future) in enumerate(zip(jobs, futures, strict=True)):
                try:
                    yield future.result()
                except BrokenProcessPool:
                    yield _failed(job, f"{job.file}: {ENDED}", INTERNAL, [])
                bars.remove(number)


PATIENCE = 1.0
"""Seconds to wait for what was told last: a process that is killed may leave the queue locked."""
ENDED = "the process that did it was ended by the system (out of memory?); give the command again with fewer files"

_reached: Queue[Reached | None]
"""Where a process of the crew tells how far it is."""


def _begin(reached: Queue[Reached | None], share: int) -> None:
    """The first thing that a process of the crew does. share: processors for it."""
    global _reached
    _reached = reached
    os.environ["OMP_NUM_THREADS"] = str(share)
    # On Ctrl-C it is the first process that tells what is kept.
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def _attempt_here(number: int, job: Job) -> End:
    return attempt(job, Watch(lambda stage, done, length: _reached.put((number, stage, done, length))))


@contextmanager
def _told(reached: Queue[Reached | None], bars: Bars) -> Iterator[Queue[Reached | None]]:
    """Shows what the crew tells."""

    def show() -> None:
        for number, stage, done, length in iter(reached.get, None):
            bars.watch(number).update(stage, done, length)

    thread = threading.Thread(target=show, daemon=True)
    thread.start()
    try:
        yield reached
    finally:
        reached.put(None)
        thread.join(PATIENCE)
        if thread.is_alive():
            reached.cancel_join_thread()
        reached.close()
        reached.join_thread()


@contextmanager
def _stopped_with_us() -> Iterator[None]:
    """The crew is stopped at once where the first process is."""
    try:
        yield
    except BaseException:
        for process in multiprocessing.active_children():
            process.terminate()
        raise
