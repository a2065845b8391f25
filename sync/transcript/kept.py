"""Heard parts of a recording, kept on disk batch by batch, so that nothing is heard twice."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from sync.atomic import write_text
from sync.errors import InputError
from sync.transcript.words import Word

# Raised whenever the same recording and model would give other words.
HEARING_VERSION = 6
END = "end.json"

Kept = TypeVar("Kept")


@dataclass(frozen=True, slots=True)
class Part:
    """What was said from start to end, in seconds of the recording. loudest: peak in dB, full scale = 0."""

    start: float
    end: float
    loudest: float
    words: tuple[Word, ...]


@dataclass(frozen=True, slots=True)
class End:
    """Written when all has been heard. batches: how many there are; warnings: what the person should know."""

    batches: int
    warnings: tuple[str, ...]


class KeptParts:
    """The parts of one recording as one model hears them: a file a batch, each whole or not there.

    problem: why nothing can be kept, empty when all is well. Hearing goes on then, only the next run starts anew.
    """

    def __init__(self, cache: Path, media_sha256: str, model_sha256: str) -> None:
        self._folder = cache / "heard" / f"{media_sha256[:32]}-{model_sha256[:16]}-{HEARING_VERSION}"
        self.problem = ""

    def batches(self) -> list[list[Part]]:
        """What is kept, in order, up to the first batch that is missing or damaged."""
        kept: list[list[Part]] = []
        while batch := _read(self._batch(len(kept)), _parts):
            kept.append(batch)
        return kept

    def end(self) -> End | None:
        return _read(self._folder / END, lambda data: End(int(data["batches"]), tuple(map(str, data["warnings"]))))

    def keep(self, index: int, parts: Sequence[Part]) -> None:
        data = [
            {
                "start": part.start,
                "end": part.end,
                "loudest": part.loudest,
                "words": [[word.text, word.start, word.end, word.probability] for word in part.words],
            }
            for part in parts
        ]
        self._write(self._batch(index), data)

    def keep_end(self, end: End) -> None:
        """To be called after the last batch."""
        self._write(self._folder / END, {"batches": end.batches, "warnings": end.warnings})

    def _write(self, path: Path, data: Any) -> None:
        if self.problem:
            return
        try:
            write_text(path, json.dumps(data, ensure_ascii=False) + "\n")
        except InputError as error:
            self.problem = f"{error}; what was heard is not kept for the next run"

    def _batch(self, index: int) -> Path:
        return self._folder / f"{index:05d}.json"


def _parts(data: Any) -> list[Part]:
    return [
        Part(
            float(part["start"]),
            float(part["end"]),
            float(part["loudest"]),
            tuple(
                Word(str(text), float(start), float(end), float(probability))
                for text, start, end, probability in part["words"]
            ),
        )
        for part in data
    ]


def _read(path: Path, parse: Callable[[Any], Kept]) -> Kept | None:
    """None when the file is missing or damaged: then it is heard again."""
    try:
        return parse(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError, KeyError, OverflowError, RecursionError):
        return None
