"""What the settings of the hearing were chosen by: beam, length of chunks, batch and threads.

    python -m tests.benchmarks.settings [--audio FOLDER] [--lessons a5 b5 ...]

For each beam and length of chunks: word error and mentions of moves that are heard, as the model alone hears them, and
processor time for 10 min of sound. For each batch and number of threads: that time, and what passed. FOLDER keeps
spoken lessons for the next time.
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from ctranslate2 import StorageView

from sync.recording import chunks, decode
from sync.transcript import find_model, recogniser
from sync.transcript.listen import PROMPT, _piece
from sync.transcript.recogniser import MOST_TOKENS, Recogniser, Sound
from tests.benchmarks.children import Spent, told
from tests.benchmarks.lessons import Heard, heard, script, spoken

LESSONS = ("a5", "b5", "b6", "c5", "c6", "d5", "e5", "f5", "f6", "g5", "g6", "k5", "m1")
BEAMS = (1, 2, 3, 5)
LIMITS = ((18_000, 28_000), (22_000, 29_500))
BATCHES = (1, 2, 4, 8)
THREADS = (1, 2)
TEN_MINUTES = 600.0


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--audio", type=Path, metavar="FOLDER", help="where spoken lessons are kept")
    parser.add_argument("--lessons", nargs="+", default=LESSONS)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        paths = {name: spoken(name, given.audio or Path(temporary)) for name in given.lessons}
        beams_and_chunks(paths)
        batches_and_threads(list(paths.values()))


def beams_and_chunks(paths: dict[str, Path]) -> None:
    model = loaded(threads=1)
    found: dict[tuple[int, int], Heard] = defaultdict(lambda: Heard(0, 0, 0, 0))
    spent: dict[tuple[int, int], float] = defaultdict(float)
    seconds = 0.0
    for name, path in paths.items():
        for limits in LIMITS:
            sounds = pieces(path, limits)
            begun = clock()
            encoded = model.encode(sounds)
            encoding = since(begun).processor
            for beam in BEAMS:
                begun = clock()
                texts = list(searched(model, encoded, beam, 4))
                spent[limits[1], beam] += encoding + since(begun).processor
                found[limits[1], beam] += heard([script(name)], " ".join(texts).split())
        seconds += sum(map(len, pieces(path, LIMITS[0]))) / 16_000
    for (longest, beam), each in found.items():
        used = spent[longest, beam] * TEN_MINUTES / seconds
        print(f"chunks of up to {longest / 1000} s, beam {beam}: {each}, {used:.1f} s for 10 min without alignment")


def batches_and_threads(paths: Sequence[Path]) -> None:
    sounds = [sound for path in paths for sound in pieces(path, LIMITS[0])][:16]
    scale = TEN_MINUTES / (sum(map(len, sounds)) / 16_000)
    for threads in THREADS:
        model = loaded(threads)
        encoded = model.encode(sounds)
        for batch in BATCHES:
            begun = clock()
            list(searched(model, encoded, 5, batch))
            took = since(begun)
            print(f"search, {threads} threads, batch {batch}, for 10 min: {told(scaled(took, scale))}")


def loaded(threads: int) -> Recogniser:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(recogniser, "_threads", lambda: threads)
        patch.setattr(recogniser, "MOST_WORKERS", 1)
        return Recogniser(find_model("tiny.en"))


def pieces(path: Path, limits: tuple[int, int]) -> list[Sound]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(chunks, "SHORTEST_MS", limits[0])
        patch.setattr(chunks, "LONGEST_MS", limits[1])
        return [piece.sound for piece in map(_piece, chunks.cut_chunks(decode(path))) if piece]


def searched(model: Recogniser, encoded: Sound, beam: int, batch: int) -> Iterator[str]:
    start: list[int] = [*model._start(PROMPT), model.tokenizer.no_timestamps]
    for first in range(0, len(encoded), batch):
        some = encoded[first : first + batch]
        results: list[Any] = model._whisper.model.generate(
            StorageView.from_array(some),
            [start] * len(some),
            beam_size=beam,
            max_length=len(start) + MOST_TOKENS,
            return_scores=True,
            return_no_speech_prob=True,
        )
        for result in results:
            yield model.tokenizer.decode([token for token in result.sequences_ids[0] if token < model.tokenizer.eot])


def clock() -> Spent:
    usage = resource.getrusage(resource.RUSAGE_SELF)
    return Spent(time.perf_counter(), usage.ru_utime + usage.ru_stime)


def since(begun: Spent) -> Spent:
    now = clock()
    return Spent(now.wall - begun.wall, now.processor - begun.processor)


def scaled(spent: Spent, by: float) -> Spent:
    return Spent(spent.wall * by, spent.processor * by)


if __name__ == "__main__":
    main()
