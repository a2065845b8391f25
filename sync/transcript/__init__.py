"""What was said: hearing a recording, or reading a transcript that exists.

hear, hear_parts and Scorer bring heavy libraries with them and are imported when first asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from sync.transcript.files import read_transcript, write_transcript
from sync.transcript.json_form import from_json, to_json
from sync.transcript.kept import Part
from sync.transcript.models import DEFAULT_MODEL, Model, find_model
from sync.transcript.words import Transcript, Word

if TYPE_CHECKING:
    from sync.transcript.acoustic import Scorer
    from sync.transcript.hearing import hear, hear_parts

HEAVY = {
    "hear": "sync.transcript.hearing",
    "hear_parts": "sync.transcript.hearing",
    "Scorer": "sync.transcript.acoustic",
}

__all__ = [
    "DEFAULT_MODEL",
    "Model",
    "Part",
    "Scorer",
    "Transcript",
    "Word",
    "find_model",
    "from_json",
    "hear",
    "hear_parts",
    "read_transcript",
    "to_json",
    "write_transcript",
]


def __getattr__(name: str) -> Any:
    if name in HEAVY:
        return getattr(import_module(HEAVY[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
