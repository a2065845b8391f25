"""Spoken lessons for benchmarks: made from the project's own scripts by its own voice, and how well they were heard."""

from __future__ import annotations

import argparse
import os
import re
import sys
import wave
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import cycle
from pathlib import Path

import chess
import jiwer

from sync.mentions.match import named_moves
from sync.mentions.spot import spot
from sync.transcript.words import Transcript, Word
from tests.speech.script import Mark, Paragraph, Script, build_tree, read_script
from tests.speech.speak import OUTPUT_RATE, piper_voice, spoken_lesson, write_wav

SCRIPTS = Path(__file__).parents[1] / "lessons"
READING = 2.0
"""A reading that costs less (nats) names the move."""
PACE = 0.4
"""Seconds from word to word where only the words count."""

NOT_SPOKEN = re.compile(r"[^\w]+")


def options(about: str | None) -> argparse.Namespace:
    """What the benchmarks of hearing are told: audio (a folder or None) and rounds; the processors are set already."""
    parser = argparse.ArgumentParser(description=about, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--audio", type=Path, metavar="FOLDER", help="where spoken lessons are kept")
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--processors", type=int, help="how many may be used; by default all")
    given = parser.parse_args()
    if given.processors:
        os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[: given.processors])
    return given


def spoken(name: str, folder: Path) -> Path:
    """folder/NAME.wav with the lesson spoken; made only where it is not there yet."""
    path = folder / f"{name}.wav"
    if not path.exists():
        samples, _ = spoken_lesson(script(name), piper_voice(1.0))
        folder.mkdir(parents=True, exist_ok=True)
        write_wav(path, samples)
    return path


def script(name: str) -> Script:
    return read_script(SCRIPTS / f"{name}.lesson.txt")


def all_names() -> list[str]:
    return sorted(path.name.removesuffix(".lesson.txt") for path in SCRIPTS.glob("*.lesson.txt"))


def joined(names: Sequence[str], folder: Path, out: Path, seconds: float | None = None) -> Path:
    """The lessons one after the other, a second apart; cut at a length, over and over again until then."""
    with wave.open(str(out), "wb") as whole:
        whole.setparams((1, 2, OUTPUT_RATE, 0, "NONE", ""))
        left = sys.maxsize if seconds is None else round(seconds * OUTPUT_RATE)
        for name in names if seconds is None else cycle(names):
            if not left:
                break
            with wave.open(str(spoken(name, folder))) as lesson:
                data = lesson.readframes(lesson.getnframes()) + bytes(2 * OUTPUT_RATE)
            whole.writeframes(data[: 2 * left])
            left = max(0, left - len(data) // 2)
    return out


@dataclass(frozen=True)
class Heard:
    """How well lessons were heard. words, mentions: how many were said; wrong: words (edits); named: mentions."""

    words: int
    wrong: int
    mentions: int
    named: int

    def __add__(self, other: Heard) -> Heard:
        return Heard(
            self.words + other.words,
            self.wrong + other.wrong,
            self.mentions + other.mentions,
            self.named + other.named,
        )

    def __str__(self) -> str:
        return (
            f"word error {self.wrong / self.words:.2%}, "
            f"mentions {self.named} of {self.mentions} ({self.named / self.mentions:.1%})"
        )


def heard(scripts: Sequence[Script], texts: Sequence[str]) -> Heard:
    """texts: the words that were heard of the scripts read one after the other.

    The words are laid beside those of the scripts (jiwer), so that times play no part: a marked mention is heard when
    words in its place are spotted as a name of its move.
    """
    said = [plain(text) for each in scripts for text in each.text.split()]
    written = [plain(text) for text in texts]
    kept = [index for index, text in enumerate(written) if text]
    aligned = jiwer.process_words(" ".join(filter(None, said)), " ".join(written[index] for index in kept))
    place = _places(said, kept, aligned)
    words = tuple(Word(text, PACE * index, PACE * (index + 1)) for index, text in enumerate(texts))
    mentions = spot(Transcript(words, PACE * len(words), "heard"))
    named = total = 0
    for first, last, board, move in _named(scripts):
        begin, end = place[first], max(place[first] + 1, place[last])
        near = (each for each in mentions if each.first < end and each.last > begin)
        total += 1
        named += any(n.move == move and n.cost < READING for each in near for n in named_moves(each, board))
    wrong = aligned.substitutions + aligned.deletions + aligned.insertions
    return Heard(len([text for text in said if text]), wrong, total, named)


def plain(text: str) -> str:
    return NOT_SPOKEN.sub("", text).lower()


def _places(said: Sequence[str], kept: Sequence[int], aligned: jiwer.WordOutput) -> list[int]:
    """For each word that was said, and the end, the heard word in its place."""
    of_spoken = []
    for chunk in aligned.alignments[0]:
        for offset in range(chunk.ref_end_idx - chunk.ref_start_idx):
            of_spoken.append(min(chunk.hyp_start_idx + offset, max(chunk.hyp_start_idx, chunk.hyp_end_idx - 1)))
    ends = [*kept, kept[-1] + 1 if kept else 0]
    spoken_places = iter(of_spoken)
    places: list[int] = []
    for text in said:
        if text:
            places.append(ends[min(next(spoken_places), len(kept))])
        else:
            places.append(places[-1] if places else 0)
    return [*places, ends[-1]]


def _named(scripts: Sequence[Script]) -> Iterator[tuple[int, int, chess.Board, chess.Move]]:
    """Each mark that names a move of the tree: its first word and the one after its last, the position, the move."""
    before = 0
    for each in scripts:
        _, nodes = build_tree(each)
        for paragraph in each.paragraphs:
            for mark, first, last in _marks(paragraph):
                if mark.place != "X":
                    node = nodes[mark.place]
                    yield before + first, before + last, node.parent.board(), node.move
            before += len(paragraph.text.split())


def _marks(paragraph: Paragraph) -> Iterator[tuple[Mark, int, int]]:
    for mark in paragraph.marks:
        first = len(paragraph.text[: mark.start].split())
        if mark.start and not paragraph.text[mark.start - 1].isspace():
            first -= 1  # a quote mark or a dash that hangs on its first word
        yield mark, first, len(paragraph.text[: mark.end].split())
