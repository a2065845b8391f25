"""Who watches sees the first moves while the rest is still being heard."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from cli import job
from cli.progress import Watch
from sync.recording import Recording
from sync.transcript import Part
from tests.follow.talk import talk

SENTENCES = (
    "White starts with pawn to e4. Black answers pawn to e5.",
    "Knight to f3, knight to c6.",
    "Bishop to b5. And pawn to a6.",
    "Bishop takes c6. Black takes back, d takes c6.",
)
LENGTH = 80.0
"""Seconds of a part."""


NOTHING = job.Given()


@pytest.fixture
def events(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Grows with each part that is heard, and can grow with what is told."""
    found: list[str] = []

    def parts(*_: Any, **__: Any) -> Iterator[Part]:
        for number, text in enumerate(SENTENCES):
            begin = LENGTH * number
            words = [replace(word, start=word.start + begin, end=word.end + begin) for word in talk(text).words]
            found.append("heard")
            yield Part(begin, begin + LENGTH, -3.0, tuple(words))

    monkeypatch.setattr(job, "hear_parts", parts)
    monkeypatch.setattr(job, "PATIENCE", -1.0)
    return found


def hear(watch: Watch, given: job.Given = NOTHING) -> str:
    recording = Recording(Path("talk.wav"), "talk.wav", "0", LENGTH * len(SENTENCES), False)
    heard = job.hear_watched(recording, "tiny.en", job.know(given), watch, print)
    assert heard.duration == recording.duration
    return " ".join(word.text for word in heard.words)


def test_moves_are_told_each_time_that_twice_as_much_is_heard(events: list[str]) -> None:
    assert hear(Watch(lambda *_: None, events.append)) == " ".join(SENTENCES)
    assert events == [
        "heard",
        "1:20  1. e4 e5",
        "heard",
        "2:40  1. e4 e5 2. Nf3 Nc6",
        "heard",
        "heard",  # the whole is told by the files that are written
    ]


def test_of_a_given_game_only_what_was_named_is_told(events: list[str], tmp_path: Path) -> None:
    game = tmp_path / "game.pgn"
    game.write_text("1. e4 e5 2. Nf3 Nc6 3. Bb5 a6 4. Bxc6 dxc6 5. O-O *", encoding="utf-8")
    hear(Watch(lambda *_: None, events.append), job.Given(game=game))
    assert events[:4] == ["heard", "1:20  1. e4 e5", "heard", "2:40  1. e4 e5 2. Nf3 Nc6"]


def test_only_the_last_moves_are_told(events: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(job, "MOVES_SHOWN", 3)
    hear(Watch(lambda *_: None, events.append))
    assert events[3] == "2:40  1...e5 2. Nf3 Nc6"


def test_nothing_is_followed_early_when_nobody_watches(events: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(job, "make_lesson", None)
    hear(Watch(lambda *_: None))
    assert events == ["heard"] * len(SENTENCES)


def test_nothing_is_followed_early_when_all_was_heard_before(
    events: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(job, "PATIENCE", 60.0)
    monkeypatch.setattr(job, "make_lesson", None)
    hear(Watch(lambda *_: None, events.append))
    assert events == ["heard"] * len(SENTENCES)
