"""The examples in the documents are what they say they are."""

from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema  # type: ignore[import-untyped]
import srt  # type: ignore[import-untyped]
import webvtt

from sync.files.game_input import read_game
from sync.files.pgn import ONLY_CONSIDERED, pgn_text
from sync.files.score import Score
from sync.lesson.project import load_lesson
from sync.transcript.json_form import from_json
from tests.lesson.lessons import told

DOCS = Path(__file__).parents[2] / "docs"


def examples(document: str, kind: str) -> list[str]:
    text = (DOCS / document).read_text(encoding="utf-8")
    return re.findall(rf"```{kind}\n(.*?)```", text, re.DOTALL)


def test_the_pgn_is_what_this_talk_gives(tmp_path: Path) -> None:
    (example,) = examples("formats.md", "pgn")
    lesson, transcript = told(
        "Hello and welcome. {e4|Pawn to e4}, {e5|e5}. [What about {^c5|c5} here? Then {Nf3|Night F3=knight f3} as "
        "usual.] In the game it was {Nf3|knight to F3=knight to f3}, and she could answer [{Nc6|knight c6}, protecting "
        "the pawn] [or {d6|d6}.] Thank you for watching."
    )
    lesson.games[0].tags.update(White="Greta", Black="Hugo")
    assert example == pgn_text(lesson, transcript)
    assert ONLY_CONSIDERED in example
    file = tmp_path / "example.pgn"
    file.write_text(example, encoding="utf-8")
    assert len(read_game(file)) == 1


def test_the_captions_and_chapters_are_read() -> None:
    captions, chapters = examples("formats.md", "vtt")
    assert len(webvtt.from_string(captions).captions) == len(webvtt.from_string(chapters).captions) == 3
    (subrip,) = examples("formats.md", "srt")
    assert len(list(srt.parse(subrip))) == 1


def test_the_transcript_and_the_scores_are_read() -> None:
    transcript, scores = examples("formats.md", "json")
    assert [word.text for word in from_json(transcript, "example").words] == ["Hello", "and"]
    assert Score(**json.loads(scores)[0]).mainline_exact


def test_the_project_file_is_loaded_and_fits_its_schema(tmp_path: Path) -> None:
    (example,) = examples("lesson-file.md", "json")
    file = tmp_path / "example.plycue.json"
    file.write_text(example, encoding="utf-8")
    assert load_lesson(file).computed.title == "A club evening"
    schema = json.loads((DOCS / "lesson.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(json.loads(example))


def test_every_member_of_the_project_file_is_explained() -> None:
    schema = json.loads((DOCS / "lesson.schema.json").read_text(encoding="utf-8"))
    (example,) = examples("lesson-file.md", "json")
    members = {name for part in (schema, *schema["$defs"].values()) for name in part.get("properties", {})}
    assert {name for name in members if f'"{name}"' not in example} == set()
