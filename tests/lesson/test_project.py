"""The project file: round trip, its JSON Schema (Draft 2020-12, by the library jsonschema), and broken files."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sync.errors import InputError
from sync.lesson.lesson import Lesson, Media
from sync.lesson.project import Project, Settings, TranscriptFile, load_lesson, project_text, save_lesson
from sync.transcript.words import Transcript
from tests.lesson.lessons import LAW, lessons, told

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "lesson.schema.json").read_text(encoding="utf-8"))
VALID = jsonschema.Draft202012Validator(SCHEMA)
TRANSCRIPT = TranscriptFile("club evening.words.json", "1a" * 32)
EDITS: tuple[dict[str, Any], ...] = (
    {"kind": "title", "at": 0, "text": "Zoë's evening"},
    {"kind": "x", "at": "later", "n": [1, None]},
)


def project_of(lesson: Lesson) -> Project:
    return Project(lesson, TRANSCRIPT, Settings("1. e4 *", "", "Marlis"), EDITS)


def sample() -> Project:
    return project_of(told("{e4|Pawn e4}, {e5|e5}. [What about {^c5|c5}?] {Nf3|Knight f3}.")[0])


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "evening.plycue.json"
    save_lesson(sample(), path)
    return path


@LAW
@given(lessons(), st.text(), st.lists(st.fixed_dictionaries({"kind": st.text(), "at": st.integers() | st.text()})))
def test_what_is_saved_is_loaded(
    tmp_path_factory: pytest.TempPathFactory,
    drawn: tuple[Lesson, Transcript],
    speaker: str,
    edits: list[dict[str, Any]],
) -> None:
    lesson, _ = drawn
    path = tmp_path_factory.getbasetemp() / "drawn.plycue.json"
    project = Project(lesson, TRANSCRIPT, Settings(speaker=speaker), tuple(edits))
    try:
        project_text(project).encode()
    except UnicodeEncodeError:
        with pytest.raises(InputError):
            save_lesson(project, path)
        return
    save_lesson(project, path)
    assert load_lesson(path) == project


@LAW
@given(lessons())
def test_what_is_saved_is_what_the_schema_says(drawn: tuple[Lesson, Transcript]) -> None:
    VALID.validate(json.loads(project_text(project_of(drawn[0]))))


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_same_project_same_bytes(file: Path) -> None:
    before = file.read_bytes()
    save_lesson(load_lesson(file), file)
    assert file.read_bytes() == before


def test_edits_stand_apart_from_what_was_computed(file: Path) -> None:
    data = json.loads(file.read_text(encoding="utf-8"))
    assert list(data) == ["plycue", "media", "transcript", "settings", "computed", "edits"]
    assert data["edits"] == list(EDITS)


def test_a_byte_order_mark_is_no_fault(file: Path) -> None:
    file.write_bytes(b"\xef\xbb\xbf" + file.read_bytes())
    assert load_lesson(file) == sample()


def changed(change: Callable[[Any], Any], file: Path) -> str:
    """The message for a file in which change was made."""
    data = json.loads(file.read_text(encoding="utf-8"))
    change(data)
    file.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_lesson(file)
    assert "\n" not in str(caught.value)
    assert str(caught.value).startswith(str(file))
    return str(caught.value).removeprefix(f"{file}: ")


def put(*path: Any) -> Callable[[Any], None]:
    """A change that puts the last of path where the others lead."""
    *way, last, value = path

    def change(data: Any) -> None:
        for step in way:
            data = data[step]
        data[last] = value

    return change


PLY = ("computed", "games", 0, "plies", 1)
BOTH_REFUSE = [
    (put("plycue", 2), "file version 2, this release reads 1; update plycue"),
    (put("plycue", 0), "file version 0 is not known"),
    (put("plycue", "1"), "no version in it"),
    (put("plycue", True), "no version in it"),
    (put("media", []), "media must be an object, not []"),
    (put("media", "duration", "long"), "media.duration must be a number, not 'long'"),
    (put("media", "sha256", "abc"), "media.sha256 must be 64 hexadecimal digits, not 'abc'"),
    (put("media", "name", "/etc/passwd"), "media.name must be a file name without folders, not '/etc/passwd'"),
    (put("media", "name", "../evening.mp4"), "media.name must be a file name without folders"),
    (put("media", "name", ".."), "media.name must be a file name without folders"),
    (put("media", "name", ""), "media.name must be a file name without folders"),
    (put("media", "name", "..\\evening.mp4"), "media.name must be a file name without folders"),
    (put("transcript", "name", "C:\\evening.json"), "transcript.name must be a file name without folders"),
    (put("transcript", "name", "a/b.json"), "transcript.name must be a file name without folders"),
    (put("transcript", None), "transcript must be an object, not None"),
    (put("settings", {}), "settings.game is missing"),
    (put("settings", "sped", 1), "settings.sped is not known"),
    (put("computed", "games", 0, "plies", {}), "computed.games[0].plies must be a list, not {}"),
    (put(*PLY, "id", 1.5), "computed.games[0].plies[1].id must be a whole number, not 1.5"),
    (put(*PLY, "uci", "e9e4"), "computed.games[0].plies[1].uci 'e9e4' is not legal there"),
    (put(*PLY, "uci", "0000"), "computed.games[0].plies[1].uci '0000' is not legal there"),
    (put(*PLY, "played", 1), "computed.games[0].plies[1].played must be true or false, not 1"),
    (put(*PLY, "confidence", 1.5), "computed.games[0].plies[1]: confidence and probability must be from 0 to 1"),
    (put(*PLY, "nags", [256]), "computed.games[0].plies[1].nags must be from 0 to 255"),
    (put(*PLY, "moments", 0, "start", -1), "times and word indices must not be negative"),
    (put("computed", "chapters", [{"start": -1, "end": 0, "title": ""}]), "must not be negative"),
    (put("edits", [{"at": 1}]), "edits[0].kind must be a text"),
    (put("edits", [{"kind": "x"}]), "edits[0].at must be a text or a number"),
    (put("edits", ["x"]), "edits[0] must be an object, not 'x'"),
]
ONLY_LOADING_REFUSES = [
    (put("media", "name", "C:evening.mp4"), "media.name must be a file name without folders"),
    (put("media", "name", "a\nb.mp4"), "media.name must be a file name without folders"),
    (put("settings", "start", "8/8"), "settings.start is no FEN: '8/8'"),
    (put("computed", "games", 0, "start_fen", "x"), "computed.games[0].start_fen is no FEN: 'x'"),
    (put(*PLY, "id", 0), "computed.games[0].plies[1].id 0 is taken"),
    (put(*PLY, "parent", 2), "computed.games[0].plies[1].parent 2 is no ply before it"),
    (put(*PLY, "uci", "e2e4"), "computed.games[0].plies[1].uci 'e2e4' is not legal there"),
    (put(*PLY, "san", "e6"), "computed.games[0].plies[1].san must be 'e5', not 'e6'"),
    (put(*PLY, "played", False), "computed.games[0].plies[2] is played, but does not stand first after a played ply"),
    (put("computed", "games", 0, "plies", 3, "played", True), "plies[3] is played, but does not stand first"),
    (put("computed", "quizzes", [{"start": 0, "stop": 1, "game": 1, "ply": None, "answers": []}]), "game 1 is no game"),
    (put("computed", "quizzes", [{"start": 0, "stop": 1, "game": 0, "ply": 9, "answers": []}]), "ply 9 is no ply"),
    (put("computed", "quizzes", [{"start": 0, "stop": 1, "game": 0, "ply": 0, "answers": [9]}]), "no ply of its game"),
]


@pytest.mark.parametrize(("change", "message"), BOTH_REFUSE)
def test_broken_by_hand(change: Callable[[Any], None], message: str, file: Path) -> None:
    assert message in changed(change, file)
    assert not VALID.is_valid(json.loads(file.read_text(encoding="utf-8")))


@pytest.mark.parametrize(("change", "message"), ONLY_LOADING_REFUSES)
def test_broken_by_hand_in_ways_that_a_schema_does_not_see(
    change: Callable[[Any], None], message: str, file: Path
) -> None:
    assert message in changed(change, file)


@pytest.mark.parametrize("part", [0.1, 0.5, 0.9, 0.999])
def test_cut_off(part: float, file: Path) -> None:
    data = file.read_bytes()
    file.write_bytes(data[: int(len(data) * part)])
    with pytest.raises(InputError, match="broken or cut off at line"):
        load_lesson(file)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "broken or cut off at line 1, column 1"),
        (b"[]", "no version in it"),
        (b"\xff\xfe", "not UTF-8 text"),
        (b'{"plycue": 1, "media": NaN}', "NaN is no number"),
        (b'{"plycue": 1, "plycue": 1}', "'plycue' stands twice"),
        (b'{"plycue": 1, "media": "\\ud800"}', "lone surrogate"),
        (b'{"plycue": 1' + b"0" * 5000 + b"}", "Exceeds the limit"),
        (b'{"plycue": ' + b"[" * 200_000, "nested too deep"),
        (b'{"plycue": 1, "edits": ' + b'{"a":' * 200_000, "nested too deep"),
    ],
    ids=lambda value: str(value)[:30],
)
def test_odd_files(content: bytes, message: str, tmp_path: Path) -> None:
    path = tmp_path / "odd.plycue.json"
    path.write_bytes(content)
    with pytest.raises(InputError, match=message) as caught:
        load_lesson(path)
    assert "\n" not in str(caught.value)


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"cannot read .*missing.plycue.json: No such file"):
        load_lesson(tmp_path / "missing.plycue.json")


def test_a_project_that_could_not_be_loaded_is_not_saved(file: Path) -> None:
    before = file.read_bytes()
    project = sample()
    lesson = replace(project.computed, media=Media("../evening.mp4", "0f" * 32, 1.0))
    with pytest.raises(InputError, match=r"cannot write .*media.name must be a file name without folders"):
        save_lesson(replace(project, computed=lesson), file)
    assert file.read_bytes() == before


def test_times_that_are_no_numbers_are_not_saved(file: Path) -> None:
    lesson = replace(sample().computed, media=Media("evening.mp4", "0f" * 32, float("nan")))
    with pytest.raises(InputError, match="cannot write"):
        save_lesson(project_of(lesson), file)


@LAW
@given(st.data())
def test_any_change_of_a_byte_gives_a_project_or_an_input_error(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    content = bytearray(project_text(sample()).encode())
    content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    path = tmp_path_factory.getbasetemp() / "changed.plycue.json"
    path.write_bytes(content)
    try:
        project = load_lesson(path)
    except InputError as error:
        assert "\n" not in str(error)
    else:
        VALID.validate(json.loads(project_text(project)))
