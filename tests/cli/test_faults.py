"""When the disk is full, a run is killed or two runs meet: files are whole, and nothing of anybody's is lost."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from sync.atomic import LEFT_OVER, PART, clear_parts, write_text
from tests.cli.conftest import PROJECT, plycue
from tests.cli.faults import files
from tests.recording.media import tone, write_media

TALK = "WEBVTT\n\n00:00:01.000 --> 00:00:06.000\n{}\n"
FIRST = TALK.format("White plays pawn to e4 and black plays pawn to e5.")
SECOND = TALK.format("White plays pawn to d4 and black plays knight f6, then pawn to c4.")
EDIT = {"kind": "title", "at": 0.0, "text": "By an editor"}


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "evening.vtt"
    path.write_text(SECOND, encoding="utf-8")
    return path


@pytest.fixture
def before(tmp_path: Path) -> Path:
    """The lesson of another talk under the same name, with an editor's edit."""
    talk = tmp_path / "before.talk" / "evening.vtt"
    write_text(talk, FIRST)
    assert plycue("sync", talk, "--out", tmp_path / "before").exit_code == 0
    project = tmp_path / "before" / "evening.plycue.json"
    write_text(project, project.read_text(encoding="utf-8").replace('"edits": []', f'"edits": [{json.dumps(EDIT)}]'))
    assert plycue("write", project).exit_code == 0
    return tmp_path / "before"


def in_a_process_of_its_own(folder: Path, *arguments: str) -> dict[str, Any]:
    command = [sys.executable, "-m", "tests.cli.faults", str(folder), *arguments]
    run = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, timeout=300)
    assert run.returncode == 0, run.stderr
    told: dict[str, Any] = json.loads(run.stdout)
    return told


@pytest.mark.skipif(os.name == "nt", reason="no kill -9 on Windows")
def test_kill_9_at_every_step_leaves_whole_files_and_the_next_run_repairs_all(
    tmp_path: Path, talk: Path, before: Path
) -> None:
    told = in_a_process_of_its_own(tmp_path, "kills", before.name, talk.name)
    assert told["kills"] >= 2 * 12  # project, transcript, five files, five of the page: before and after each
    assert told["torn"] == [] == told["not repaired"]


@pytest.mark.skipif(os.name == "nt", reason="folders cannot be locked on Windows")
def test_two_runs_at_once_leave_the_lesson_of_one_of_them(tmp_path: Path, talk: Path) -> None:
    other = tmp_path / "other" / "evening.vtt"
    write_text(other, FIRST)
    told = in_a_process_of_its_own(tmp_path, "pairs", talk.name, "other/evening.vtt")
    assert set(told["codes"]) == {0} and len(told["codes"]) == 12
    assert told["mixed"] == 0


class FullDisk:
    """In the place of os.fsync: the disk is full from the nth time on."""

    def __init__(self, number: int) -> None:
        self.left = number
        self.sync = os.fsync

    def __call__(self, handle: int) -> None:
        self.left -= 1
        if self.left < 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        self.sync(handle)


def test_a_disk_that_is_full_at_any_step_is_told_and_files_are_whole(
    tmp_path: Path, before: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a recording, which is copied into the page."""
    recording = write_media(tmp_path / "evening.wav", tone(7.0, 8_000), 8_000, "pcm_s16le")
    captions = tmp_path / "captions.vtt"
    captions.write_text(SECOND, encoding="utf-8")
    monkeypatch.setattr(os, "link", lambda *_: (_ for _ in ()).throw(OSError(errno.EXDEV, "another disk")))
    arguments = ("sync", recording, "--transcript", captions, "--out", before)
    old = files(before)
    states = []
    for number in range(100):
        with monkeypatch.context() as patch:
            patch.setattr(os, "fsync", FullDisk(number))
            result = plycue(*arguments)
        states.append(files(before))
        if result.exit_code == 0:
            break
        assert result.exit_code == 2
        assert len(result.stderr.splitlines()) == 1
        assert "No space left on device" in result.stderr and str(before) in result.stderr
    assert len(states) > 12
    new = states[-1]
    for state in states:
        assert all(data in (old.get(name), new.get(name)) for name, data in state.items())
    assert list(before.rglob(f"*{PART}")) == []
    assert json.loads(new["evening.plycue.json"])["edits"] == [EDIT]


@pytest.mark.skipif(os.name == "nt", reason="no limits on Windows")
@pytest.mark.parametrize("limit", [0, 600, 5_000])
def test_the_system_s_own_limit_is_told(tmp_path: Path, talk: Path, limit: int) -> None:
    """A real refusal of write(2), some bytes into a file (setrlimit, POSIX.1-2008)."""
    code = (
        f"import resource; resource.setrlimit(resource.RLIMIT_FSIZE, ({limit}, {limit})); "
        "from cli.main import main; main()"
    )
    command = [sys.executable, "-c", code, "sync", str(talk), "--out", str(tmp_path / "out")]
    run = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True)
    assert (run.returncode, len(run.stderr.splitlines())) == (2, 1)
    assert "File too large" in run.stderr and str(tmp_path / "out") in run.stderr
    assert plycue("sync", talk, "--out", tmp_path / "whole").exit_code == 0
    assert files(tmp_path / "out").items() <= files(tmp_path / "whole").items()
    assert list((tmp_path / "out").rglob(f"*{PART}")) == []


@pytest.mark.skipif(os.name == "nt" or os.geteuid() != 0, reason="only root can act as another user")
def test_files_and_folders_of_somebody_else_are_told_in_one_line(tmp_path: Path, talk: Path) -> None:
    """Rights hold back everybody but root, who steps down to nobody in a child."""
    told = in_a_process_of_its_own(tmp_path, "rights", talk.name)
    assert told == {
        "talk": [2, f"plycue: {talk}: cannot be read (Permission denied); give a transcript file"],
        "game": [2, f"plycue: cannot read {tmp_path}/mine.pgn: Permission denied; give a PGN file"],
        "recording": [2, f"plycue: {tmp_path}/mine.wav: may not be read; change its permissions"],
        "folder": [2, f"plycue: {tmp_path} may not be written into: change its rights, or choose another --out"],
    }


def test_a_disk_that_is_read_only_after_all_is_told(
    tmp_path: Path, talk: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    monkeypatch.setattr("tempfile.mkstemp", refuse)
    result = plycue("sync", talk)
    assert result.exit_code == 2
    assert "evening.transcript.json: Read-only file system; choose another place" in result.stderr
    assert len(result.stderr.splitlines()) == 1


def test_what_killed_programs_left_is_removed_later(tmp_path: Path) -> None:
    """Not at once: it may be another program's, at work."""
    old, fresh, own = tmp_path / f".x.abc{PART}", tmp_path / f".y.abc{PART}", tmp_path / ".mine.part"
    folder = tmp_path / f".media.abc{PART}"
    folder.mkdir()
    for path in (old, fresh, own, folder / "media"):
        path.touch()
    past = time.time() - LEFT_OVER - 10
    for path in (old, own, folder):
        os.utime(path, (past, past))
    clear_parts(tmp_path)
    assert sorted(tmp_path.iterdir()) == sorted([fresh, own])


def test_an_edit_of_which_a_part_was_written_is_taken_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from sync.errors import InputError
    from sync.lesson.edits import TitleEdit
    from sync.lesson.journal import Journal

    journal = Journal(tmp_path / "evening.plycue.journal")
    journal.add([TitleEdit(0, "kept")], 0)
    whole = journal.path.read_bytes()
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", FullDisk(0))
        with pytest.raises(InputError, match="the edit was not made"):
            journal.add([TitleEdit(0, "one"), TitleEdit(0, "two")], 1)
    assert journal.path.read_bytes() == whole
    assert journal.read().number == 1
    journal.add([TitleEdit(0, "three")], 1)
    made = Journal(journal.path).history.made
    assert made == [TitleEdit(0, "kept"), TitleEdit(0, "three")]


@pytest.mark.parametrize(
    ("arguments", "overwritten"),
    [
        (["sync", "{0}/evening.vtt", "--out", "{0}"], "evening.vtt"),
        (["sync", "{0}/evening.wav", "--transcript", "{0}/evening.srt", "--out", "{0}"], "evening.srt"),
        (["sync", "{0}/talk.vtt", "--game", "{0}/talk.pgn", "--out", "{0}"], "talk.pgn"),
        (["hear", "{0}/evening.wav", "--out", "{0}/evening.wav"], "evening.wav"),
        (["spot", "{0}/evening.vtt", "--out", "{0}/evening.vtt"], "evening.vtt"),
        (["follow", "{0}/heard.transcript.json"], "heard.transcript.json"),
    ],
    ids=" ".join,
)  # fmt: skip
def test_what_was_given_is_never_written_over(tmp_path: Path, arguments: list[str], overwritten: str) -> None:
    for name in ("evening.vtt", "evening.srt", "talk.vtt"):
        (tmp_path / name).write_text(FIRST, encoding="utf-8")
    (tmp_path / "talk.pgn").write_text("1. e4 e5 *", encoding="utf-8")
    (tmp_path / "heard.transcript.json").write_text('[{"word": "e4", "start": 1, "end": 2}]', encoding="utf-8")
    write_media(tmp_path / "evening.wav", tone(7.0, 8_000), 8_000, "pcm_s16le")
    before = files(tmp_path)
    result = plycue(*(argument.format(tmp_path) for argument in arguments))
    assert result.exit_code == 2
    assert f"{tmp_path / overwritten} would be written over" in result.stderr
    assert files(tmp_path) == before


def test_files_of_no_lesson_are_not_replaced(tmp_path: Path, talk: Path) -> None:
    mine = tmp_path / "out" / "evening.pgn"
    write_text(mine, "1. e4 {mine} *")
    result = plycue("sync", talk, "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert f"{mine} is there already, and of no lesson" in result.stderr
    assert files(tmp_path / "out") == {"evening.pgn": b"1. e4 {mine} *"}


def test_a_lesson_followed_anew_while_the_desk_is_open_is_kept(tmp_path: Path, before: Path, talk: Path) -> None:
    from sync.lesson.edits import TitleEdit
    from sync.revise import open_project

    opened = open_project(before / "evening.plycue.json")
    assert not opened.is_outdated
    assert plycue("sync", talk, "--out", before).exit_code == 0
    assert opened.is_outdated
    opened.journal.add([TitleEdit(0, "Later")], opened.journal.read().number)
    opened.save()
    assert plycue("write", before / "evening.plycue.json").exit_code == 0
    written = (before / "evening.pgn").read_text(encoding="utf-8")
    assert '[Event "Later"]' in written and "1. d4" in written
