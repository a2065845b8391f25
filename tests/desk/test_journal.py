"""Nothing that was acknowledged is ever lost."""

from __future__ import annotations

import hashlib
import io
import json
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sync.errors import InputError
from sync.lesson.edits import TitleEdit
from sync.lesson.journal import Journal, StaleError
from tests.cli.conftest import PROJECT
from tests.lesson.lessons import LAW

WRITER = """
import sys
from sync.lesson.edits import TitleEdit
from sync.lesson.journal import Journal
journal = Journal(sys.argv[1])
while True:
    number = journal.add([TitleEdit(0.0, f"title {journal.history.number + 1}")], journal.history.number)
    sys.stdout.write(f"{number}\\n")
    sys.stdout.flush()
"""
"""Makes edits as fast as it can, and acknowledges each on its standard output."""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "evening.plycue.journal"


def titles(journal: Journal) -> list[str]:
    return [edit.text for edit in journal.read().made if isinstance(edit, TitleEdit)]


def add(journal: Journal, *texts: str) -> None:
    for text in texts:
        journal.add([TitleEdit(0, text)], journal.history.number)


@pytest.mark.parametrize("acknowledged", [1, 7, 40])
def test_kill_9_loses_no_acknowledged_edit(path: Path, acknowledged: int) -> None:
    process = subprocess.Popen([sys.executable, "-c", WRITER, path], stdout=subprocess.PIPE, text=True, cwd=PROJECT)
    assert process.stdout is not None
    last = 0
    while last < acknowledged:
        last = int(process.stdout.readline())
    os.kill(process.pid, signal.SIGKILL)
    rest = process.stdout.read().split("\n")[:-1]  # a line that was cut off was not acknowledged
    process.wait()
    last = max([last, *map(int, filter(None, rest))])
    found = titles(Journal(path))
    assert found[:last] == [f"title {number}" for number in range(1, last + 1)]
    assert len(found) <= last + 1


def test_what_was_cut_off_is_passed_over_and_the_next_edit_is_kept(path: Path) -> None:
    add(Journal(path), "one", "two")
    whole = path.read_bytes()
    for length in range(len(whole.splitlines(keepends=True)[0]) + 1, len(whole) - 1):
        path.write_bytes(whole[:length])
        journal = Journal(path)
        assert titles(journal) == ["one"]
        add(journal, "three")
        assert titles(Journal(path)) == ["one", "three"]


def test_a_changed_line_is_told_and_the_others_hold(path: Path) -> None:
    add(Journal(path), "one", "two", "three")
    path.write_bytes(path.read_bytes().replace(b"two", b"2 0"))
    history = Journal(path).history
    assert [edit.text for edit in history.made if isinstance(edit, TitleEdit)] == ["one", "three"]
    assert history.broken == [2]


def test_only_the_end_is_ever_written(path: Path) -> None:
    journal = Journal(path)
    before = b""
    for step in (lambda: add(journal, "one"), lambda: journal.undo(journal.history.number),
                 lambda: journal.redo(journal.history.number)):  # fmt: skip
        step()
        assert path.read_bytes().startswith(before)
        before = path.read_bytes()
    assert all(json.loads(line)["number"] == number for number, line in enumerate(before.splitlines(), start=1))


@LAW
@given(st.lists(st.sampled_from(["add", "undo", "redo"]), max_size=30))
def test_undo_and_redo_go_all_the_way(steps: list[str]) -> None:
    """Law: as a list of what was done with a place in it, also after it is opened again."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        journal = Journal(Path(folder) / "x.plycue.journal")
        done: list[str] = []
        undone: list[str] = []
        for number, step in enumerate(steps):
            if step == "add":
                add(journal, str(number))
                done, undone = [*done, str(number)], []
            elif step == "undo":
                if not done:
                    with pytest.raises(InputError):
                        journal.undo(journal.history.number)
                    continue
                journal.undo(journal.history.number)
                undone.append(done.pop())
            else:
                if not undone:
                    with pytest.raises(InputError):
                        journal.redo(journal.history.number)
                    continue
                journal.redo(journal.history.number)
                done.append(undone.pop())
            assert titles(journal) == titles(Journal(journal.path)) == done


def test_two_windows_do_not_overwrite_each_other(path: Path) -> None:
    here, there = Journal(path), Journal(path)
    add(there, "theirs")
    with pytest.raises(StaleError):
        here.add([TitleEdit(0, "mine")], 0)
    assert titles(here) == ["theirs"]
    add(here, "mine")
    assert titles(there) == ["theirs", "mine"]


def test_many_writers_at_once_lose_nothing(path: Path) -> None:
    def write(name: str) -> None:
        journal = Journal(path)
        for number in range(10):
            while True:
                try:
                    journal.add([TitleEdit(0, f"{name}{number}")], journal.read().number)
                    break
                except StaleError:
                    continue

    threads = [threading.Thread(target=write, args=(name,)) for name in "abc"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(titles(Journal(path))) == sorted(f"{name}{number}" for name in "abc" for number in range(10))


def test_edits_of_the_project_file_come_in_once(path: Path) -> None:
    journal = Journal(path)
    add(journal, "one", "two")
    journal.undo(journal.history.number)
    for _ in range(2):
        journal.merge([TitleEdit(0, "one"), TitleEdit(0, "two"), TitleEdit(0, "from elsewhere")])
        assert titles(Journal(path)) == ["one", "from elsewhere"]


def test_a_journal_that_cannot_be_written_says_so(tmp_path: Path) -> None:
    journal = Journal(tmp_path / "gone" / "evening.plycue.journal")
    with pytest.raises(InputError, match="the edit was not made"):
        add(journal, "one")


def test_the_journal_in_the_documentation_is_read(path: Path) -> None:
    text = (PROJECT / "docs" / "lesson-file.md").read_text(encoding="utf-8")
    lines = [line.strip() for line in text.splitlines() if line.startswith('    {"number"')]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    history = Journal(path).history
    assert (history.number, history.made, history.undone) == (2, [], [TitleEdit(0.0, "Open files")])
    assert history.broken == []


def test_a_journal_that_cannot_be_read_says_so(path: Path) -> None:
    path.mkdir()
    with pytest.raises(InputError, match=r"cannot read .*; check its rights"):
        Journal(path)


def test_undo_and_redo_are_refused_too_where_another_record_came_between(path: Path) -> None:
    here, there = Journal(path), Journal(path)
    add(there, "one", "two")
    there.undo(2)
    with pytest.raises(StaleError):
        here.undo(2)
    with pytest.raises(StaleError):
        here.redo(2)
    assert titles(here) == ["one"]


def test_an_edit_that_the_disk_has_no_room_for_is_taken_back(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """POSIX write(2): where there is room for a part only, that part is written and its length returned."""
    add(Journal(path), "one")
    before = path.read_bytes()
    opened = Path.open

    class Full(io.FileIO):
        def write(self, data: Any) -> int:
            return super().write(bytes(data)[:10])

    def no_room(self: Path, mode: str = "r", *arguments: Any, **named: Any) -> Any:
        return Full(self, mode) if mode == "ab" else opened(self, mode, *arguments, **named)

    journal = Journal(path)
    with monkeypatch.context() as patch:
        patch.setattr(Path, "open", no_room)
        with pytest.raises(InputError, match="No space left on device; the edit was not made"):
            add(journal, "two")
    assert path.read_bytes() == before
    add(journal, "three")
    assert titles(Journal(path)) == ["one", "three"]


def record(**members: Any) -> bytes:
    """A line of a journal with the sum that docs/lesson-file.md asks for."""
    text = json.dumps(members, separators=(",", ":"))
    return json.dumps({**members, "sum": hashlib.sha256(text.encode()).hexdigest()[:16]}).encode() + b"\n"


def title(text: str) -> dict[str, Any]:
    return {"kind": "title", "at": 0.0, "text": text}


@pytest.mark.parametrize(
    "line",
    [
        b"[]\n",
        b"7\n",
        b"\xff\n",
        b"[" * 100_000 + b"\n",
        b'{"number":2,"do":"undo"}\n',
        record(number=2),
        record(do="undo"),
        record(number="2", do="undo"),
        record(number=True, do="undo"),
        record(number=2.0, do="undo"),
        record(number=2, do="forget"),
        record(number=2, do=["undo"]),
        record(number=2, do="edit"),
        record(number=2, do="edit", edit="title"),
        record(number=2, do="edit", edit={"kind": "colour", "at": 0.0}),
        record(number=2, do="edit", edit=title("two") | {"at": -1.0}),
        record(number=1, do="edit", edit=title("again")),
        record(number=0, do="undo"),
    ],
)
def test_a_line_that_is_no_record_is_told_and_the_others_hold(path: Path, line: bytes) -> None:
    path.write_bytes(record(number=1, do="edit", edit=title("one")) + line + b"\n  \n")
    journal = Journal(path)
    assert (titles(journal), journal.history.broken) == (["one"], [2])
    add(journal, "more")
    assert titles(Journal(path)) == ["one", "more"]


def test_an_edit_of_a_kind_that_is_not_known_keeps_its_number(path: Path) -> None:
    """Another version made it; a program that numbers on from there does not take its number again."""
    path.write_bytes(record(number=1, do="edit", edit={"kind": "colour", "at": 0.0}))
    journal = Journal(path)
    assert journal.history.number == 1
    assert journal.add([TitleEdit(0.0, "one")], 1) == 2


def test_taking_back_nothing_takes_back_nothing(path: Path) -> None:
    path.write_bytes(
        b"".join([record(number=1, do="undo"), record(number=2, do="redo"),
                  record(number=3, do="edit", edit=title("one")), record(number=4, do="redo")])
    )  # fmt: skip
    history = Journal(path).history
    assert (history.number, history.made, history.undone) == (4, [TitleEdit(0.0, "one")], [])
    assert history.broken == []


def test_on_windows_a_byte_past_the_end_is_locked_while_an_edit_is_made(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Python's documentation of msvcrt.locking: from where the file stands; Windows lets nobody read what is locked."""
    held: list[tuple[int, int]] = []
    calls = []

    def locking(handle: int, mode: str, count: int) -> None:
        calls.append(mode)
        region = os.lseek(handle, 0, os.SEEK_CUR), count
        assert region[0] > os.fstat(handle).st_size
        held.append(region) if mode == "lock" else held.remove(region)

    monkeypatch.setitem(sys.modules, "msvcrt", SimpleNamespace(locking=locking, LK_LOCK="lock", LK_UNLCK="unlock"))
    monkeypatch.setattr("sync.lesson.journal.WINDOWS", True)
    journal = Journal(path)
    add(journal, "one", "two")
    with pytest.raises(StaleError):
        journal.add([TitleEdit(0, "late")], 1)
    assert calls == ["lock", "unlock"] * 3
    assert held == []
    assert titles(Journal(path)) == ["one", "two"]
