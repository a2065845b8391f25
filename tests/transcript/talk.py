"""A spoken clip of 21 s, what is said in it and when."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from sync.transcript import Word

DATA = Path(__file__).parent / "data"
TALK = DATA / "talk.ogg"
TRUTH: dict[str, Any] = json.loads((DATA / "talk.json").read_text(encoding="utf-8"))
TEXT: str = TRUTH["text"]


def plain(text: str) -> list[str]:
    """The words without punctuation and capitals."""
    return [word.strip(".,!?'\"").lower() for word in text.replace("-", " ").split()]


def onset_errors(words: tuple[Word, ...]) -> list[float]:
    """Seconds between the true onset of each named move and the nearest word that reads like its first one."""
    errors = []
    for said in TRUTH["said"]:
        first = plain(said["words"])[0]
        same = [word.start for word in words if plain(word.text)[:1] == [first]]
        errors.append(min(abs(start - said["start"]) for start in same))
    return errors
