"""Project files, journals and caches that somebody changed by hand: the commands do their work or say one line."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sync.errors import InputError
from sync.lesson.edits import edit_from_json
from sync.lesson.journal import Journal
from sync.lesson.speaker import load_speaker
from sync.revise import kept_games, open_project, prepare, revise
from tests.cli.conftest import plycue

TALK = """WEBVTT

00:00.000 --> 00:40.000
Welcome. Pawn to e4, pawn to e5. Knight f3, knight c6. Bishop b5. What about bishop c4 here? Knight f6. In the game
he played bishop b5, a6. Pause the video and find the move. Bishop takes c6, d takes c6. Castles kingside. Thank you.
"""
VALUES: list[Any] = [
    *(0, -1, 1, 5, 41, 10**9, 10**30, 0.5, 1e300, 359_999.0, True, None, "", "e2e4", "e4", "../x", "x\0", "\ud800"),
    *([], {}, [0], ["e2e4"], {"a": 1}, "8/8/8/8/8/8/8/8 w - - 0 1", "1. e4 e5 2. Ke9 *", "(" * 300, "k" * 5000),
]
EDITS: list[dict[str, Any]] = [
    {"kind": "title", "at": 0, "text": "x"},
    {"kind": "move", "at": 1.0, "end": 6.0, "uci": "e2e4", "role": None, "line": None, "was": None},
    {"kind": "move", "at": 3.0, "end": 8.0, "uci": None, "role": "played", "line": ["e2e4"], "was": None},
    {"kind": "words", "at": 1.0, "end": 6.0, "text": "שחמט {b"},
    {"kind": "comment", "at": 1, "game": 0, "line": ["e2e4"], "text": "{[%x\n"},
    {"kind": "nags", "at": 1, "game": 0, "line": ["e2e4"], "nags": [255, 0]},
    {"kind": "moment", "at": 1, "game": 0, "line": ["e2e4"], "start": 30, "end": 39},
    {"kind": "played", "at": 1, "game": 0, "line": ["e2e4", "e7e5"], "played": False},
    {"kind": "order", "at": 1, "game": 0, "line": ["e2e4"], "order": ["e7e5", "b"]},
    {"kind": "tags", "at": 1, "game": 0, "tags": {"White": '"\\', "X": None}},
    {"kind": "chapter", "at": 0, "start": 5, "title": "\n"},
    {"kind": "chapter-added", "at": 9, "title": ""},
    {"kind": "chapter-removed", "at": 0},
    {"kind": "quiz", "at": 10, "start": 0, "stop": 0},
    {"kind": "quiz-added", "at": 1, "stop": 2, "game": 0, "line": []},
    {"kind": "quiz-removed", "at": 0},
    {"kind": "of a later release", "at": "x"},
]


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("evening")
    (folder / "evening.vtt").write_text(TALK, encoding="utf-8")
    assert plycue("sync", folder / "evening.vtt").exit_code == 0
    return folder / "evening" / "evening.plycue.json"


@pytest.fixture(scope="module")
def content(project: Path) -> Any:
    return json.loads(project.read_text(encoding="utf-8"))


def places(value: Any, way: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The ways to all members of a JSON value."""
    members = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, member in members:
        yield (*way, name)
        yield from places(member, (*way, name))


def put(content: Any, way: tuple[Any, ...], value: Any) -> None:
    for name in way[:-1]:
        content = content[name]
    content[way[-1]] = value


@st.composite
def changed(draw: st.DrawFn, content: Any) -> str:
    """The project with some members replaced, and with edits that may not fit."""
    copy = json.loads(json.dumps(content))
    for _ in range(draw(st.integers(0, 2))):
        way = draw(st.sampled_from(list(places(copy))))
        put(copy, way, draw(st.sampled_from(VALUES)))
    edits = json.loads(json.dumps(draw(st.lists(st.sampled_from(EDITS), max_size=3))))
    for edit in edits:
        if draw(st.booleans()):
            edit[draw(st.sampled_from(sorted(edit)))] = draw(st.sampled_from([*VALUES, 2.5, 33, 40]))
    return json.dumps(copy | {"edits": edits} if isinstance(copy, dict) else copy)


COMMANDS = [
    ("write",),
    ("doubts", "--json"),
    ("page", "--single-page"),
    ("diagram", "2.Nf3"),
    ("diagram", "9" * 400),
    ("fix", "--at", "0:05", "--words", "a b"),
    ("fix", "--at", "1e9s", "--move", "Nf3"),
    ("fix", "--undo"),
]


@given(st.data())
@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_commands_on_a_project_changed_by_hand(project: Path, content: Any, data: st.DataObject) -> None:
    for leftover in ("evening.plycue.journal",):
        project.with_name(leftover).unlink(missing_ok=True)
    project.write_text(data.draw(changed(content)), encoding="utf-8")
    name, *options = data.draw(st.sampled_from(COMMANDS))
    result = plycue(name, project, *options)
    assert result.exit_code in (0, 2), result.stderr
    assert len(result.stderr.splitlines()) == (result.exit_code != 0)


@pytest.mark.parametrize(
    ("way", "value", "message"),
    [
        (("computed", "games", 0, "plies", 0, "moments", 0, "named_end"), 9999, "points to words that are not there"),
        (("computed", "games", 0, "end_word"), 9999, "points to words that are not there"),
        (("computed", "games", 0, "end"), 1e300, "1e+300 s is not a time in a recording"),
        (("computed", "chapters", 0, "end"), 1e9, "1e+09 s is not a time in a recording"),
        (("settings", "game"), "1. e4 e5 2. Ke9 *", "settings.game: line 1: 'Ke9' is no move"),
        (("computed", "title"), "\ud800", "half of a character"),
        (("computed", "games", 0, "plies", 0, "uci"), "e4e4", "'e4e4' is not legal there"),
        (("settings", "star\rt"), 1, r"settings.'star\rt' is not known"),
    ],
)
def test_what_points_nowhere_is_told(
    project: Path, content: Any, way: tuple[Any, ...], value: Any, message: str
) -> None:
    copy = json.loads(json.dumps(content))
    put(copy, way, value)
    project.write_text(json.dumps(copy), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        open_project(project)
    assert message in str(caught.value) and str(project) in str(caught.value)


@pytest.mark.parametrize("edit", EDITS[:-1], ids=lambda edit: edit["kind"])
def test_times_that_no_recording_has_are_refused_in_edits(edit: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        edit_from_json(edit | {"at": 1e9, "end": 1e9} if "end" in edit else edit | {"at": 1e9})


@pytest.mark.parametrize("uci", ["e4e4", "zz", "", "0000", "P@e4", "e7e8k", "e2e4\n"])
@pytest.mark.parametrize("member", ["uci", "was", "line"])
def test_what_is_no_move_is_refused_in_edits(uci: str, member: str) -> None:
    """Once in the journal it would be in the way of every command."""
    with pytest.raises(InputError, match="is no move"):
        edit_from_json(EDITS[1] | {member: [uci] if member == "line" else uci})


@pytest.mark.parametrize("edit", EDITS[:-1], ids=lambda edit: edit["kind"])
def test_half_a_character_is_refused_in_edits(edit: dict[str, Any]) -> None:
    texts = [name for name, value in edit.items() if isinstance(value, str) and name != "kind"]
    for name in texts:
        with pytest.raises(InputError, match="half of a character"):
            edit_from_json(edit | {name: "\ud800"})


@pytest.mark.parametrize(
    "line",
    [
        b'{"a":NaN}',
        b"[" * 100_000,
        b'{"number":"1","do":"edit"}',
        b"\xff",
        b'{"number":1,"do":"x"}',
        b'"\\ud800"',
        b"1",
    ],
)
def test_any_line_of_a_journal_is_passed_over(tmp_path: Path, line: bytes) -> None:
    from sync.lesson.edits import TitleEdit
    from sync.lesson.journal import _line

    signed = []
    if line.startswith(b'{"number'):
        signed = [_line(json.loads(line)).rstrip()]  # with its right checksum
    path = tmp_path / "evening.plycue.journal"
    path.write_bytes(b"\n".join([line, *signed]) + b"\n")
    journal = Journal(path)
    assert journal.history.broken == list(range(1, 2 + len(signed)))
    journal.add([TitleEdit(0, "kept")], 0)
    assert Journal(path).history.made == [TitleEdit(0, "kept")]


def test_an_edit_of_a_later_release_in_the_journal_is_passed_over(tmp_path: Path) -> None:
    from sync.lesson.journal import _line

    path = tmp_path / "evening.plycue.journal"
    path.write_bytes(_line({"number": 1, "do": "edit", "edit": {"kind": "of a later release", "at": 1}}))
    assert (Journal(path).history.number, Journal(path).history.broken) == (1, [1])


@pytest.mark.parametrize(
    "profile",
    [
        "",
        "[",
        "[" * 100_000,
        "[]",
        '{"forms": 1}',
        '{"forms": [{"heard": "", "means": "e4"}]}',
        '{"forms": [{"heard": "\\ud800", "means": "e4"}]}',
        '{"forms": [{"heard": 1, "means": 2}]}',
    ],
)
def test_a_damaged_speaker_s_profile_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, profile: str) -> None:
    monkeypatch.setenv("PLYCUE_SPEAKERS", str(tmp_path))
    (tmp_path / "Greta.json").write_text(profile, encoding="utf-8")
    with pytest.raises(InputError, match="no speaker's profile"):
        load_speaker("Greta")


def test_what_is_kept_of_following_counts_only_when_it_is_whole(
    project: Path, content: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLYCUE_CACHE", str(tmp_path))
    project.write_text(json.dumps(content | {"edits": [EDITS[1]]}), encoding="utf-8")
    project.with_name("evening.plycue.journal").unlink(missing_ok=True)
    opened = open_project(project)
    wanted = revise(opened)
    _, task = prepare(opened, opened.edits)
    assert task is not None and kept_games(task) is not None
    for kept in tmp_path.glob("followed/*"):
        data = kept.read_bytes()
        for damaged in (b"", data[:20], data[: len(data) // 2], data[:30] + b"\xff\xff\xff" + data[33:], b"x" * 50):
            kept.write_bytes(damaged)
            assert kept_games(task) is None
    assert revise(opened) == wanted
