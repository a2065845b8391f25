"""Hearing a recording from start to end; what has been heard is kept."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import chain, islice
from pathlib import Path
from typing import TypeVar

from sync.recording import Recording, decode, log_warning
from sync.recording.chunks import Chunk, cut_chunks
from sync.transcript.cache import cache_folder
from sync.transcript.kept import End, KeptParts, Part
from sync.transcript.listen import SILENCE, listen
from sync.transcript.models import DEFAULT_MODEL, Model, find_model
from sync.transcript.recogniser import give_back_memory, load_recogniser
from sync.transcript.words import Transcript

Progress = Callable[[float, float], None]
Warn = Callable[[str], None]
Item = TypeVar("Item")
Result = TypeVar("Result")

BATCH = 4  # chunks heard together; more gain nothing
NEARLY_SILENT = -50.0  # dB at the loudest moment


def hear(
    recording: Recording,
    model: str = DEFAULT_MODEL,
    progress: Progress | None = None,
    cache: Path | None = None,
    warn: Warn = log_warning,
) -> Transcript:
    """The words of a recording (as probe gives it), each from its onset.

    model: a name that find_model knows. progress: called with the seconds heard and the seconds in all. cache: where
    heard parts are kept, by default cache_folder(); hearing the same again costs nothing, and an interrupted run goes
    on where it was. warn: called with one line for what the person should know. Raises InputError.
    """
    parts = list(hear_parts(recording, model, progress, cache, warn))
    return Transcript(tuple(chain.from_iterable(part.words for part in parts)), parts[-1].end, model)


def hear_parts(
    recording: Recording,
    model: str = DEFAULT_MODEL,
    progress: Progress | None = None,
    cache: Path | None = None,
    warn: Warn = log_warning,
) -> Iterator[Part]:
    """As hear, part by part in the order of time, as soon as they are heard. Parts follow on each other."""
    cache = cache or cache_folder()
    found = find_model(model, cache)
    kept = KeptParts(cache, recording.sha256, found.sha256)
    batches = kept.batches()
    end = kept.end()
    complete = end is not None and end.batches == len(batches)
    warnings = list(end.warnings) if end and complete else []
    rest = () if complete else _hear_rest(recording, found, kept, len(batches), warnings)
    words, loudest = 0, SILENCE
    for parts in chain(batches, rest):
        if progress:
            progress(parts[-1].end, recording.duration)
        yield from parts
        words += sum(len(part.words) for part in parts)
        loudest = max(loudest, *(part.loudest for part in parts))
    for warning in [*warnings, *_level_warnings(recording, words, loudest)]:
        warn(warning)


def _hear_rest(
    recording: Recording, model: Model, kept: KeptParts, done: int, warnings: list[str]
) -> Iterator[list[Part]]:
    """Hears and keeps the batches after the first done ones."""
    recogniser = load_recogniser(model)

    def hear_batch(numbered: tuple[int, list[Chunk]]) -> list[Part]:
        index, batch = numbered
        parts = listen(batch, recogniser)
        kept.keep(index, parts)
        return parts

    chunks = cut_chunks(decode(recording.path, warnings.append))
    batches = enumerate(iter(lambda: list(islice(chunks, BATCH)), []))
    count = sum(1 for _ in islice(batches, done))  # decoding them again takes next to no time
    for parts in _ahead(hear_batch, batches, recogniser.workers):
        count += 1
        yield parts
    give_back_memory()
    kept.keep_end(End(count, tuple(warnings)))
    if kept.problem:
        warnings.append(kept.problem)


def _ahead(work: Callable[[Item], Result], items: Iterable[Item], workers: int) -> Iterator[Result]:
    """What work makes of each item, in order; some items at once, and the next ones while the caller is busy.

    When the caller stops, what is begun is finished, and it is always the first items that are.
    """
    waiting: deque[Future[Result]] = deque()
    with ThreadPoolExecutor(workers) as pool:
        try:
            for item in items:
                waiting.append(pool.submit(work, item))
                if len(waiting) > 2 * workers:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for future in waiting:
                future.cancel()


def _level_warnings(recording: Recording, words: int, loudest: float) -> Iterator[str]:
    if loudest < NEARLY_SILENT:
        yield (
            f"{recording.name} is nearly silent: its loudest moment is {-loudest:.0f} dB below full scale; "
            "check which microphone was recorded"
        )
    elif not words:
        yield f"{recording.name}: no speech was heard; check that it is the right recording"
