from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from sync.atomic import alone_in, write_bytes, write_text
from sync.errors import InputError


def test_writes_text_as_utf8_with_its_own_line_ends(tmp_path: Path) -> None:
    target = tmp_path / "new folder" / "talk.txt"
    write_text(target, "één\nzwei\r\n")
    assert target.read_bytes() == "één\nzwei\r\n".encode()


def test_replaces_a_file_and_keeps_its_permissions(tmp_path: Path) -> None:
    target = tmp_path / "talk.txt"
    target.write_text("old")
    target.chmod(0o640)
    write_bytes(target, b"new")
    assert target.read_bytes() == b"new"
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    assert os.listdir(tmp_path) == ["talk.txt"]


def test_a_failed_write_leaves_the_old_file_and_no_rubbish(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "talk.txt"
    target.write_text("old")

    def full_disk(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(InputError, match="No space left on device"):
        write_text(target, "new")
    assert target.read_text() == "old"
    assert os.listdir(tmp_path) == ["talk.txt"]


def test_an_interrupted_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "talk.txt"
    target.write_text("old")

    def interrupt(_handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_text(target, "new")
    assert target.read_text() == "old"
    assert os.listdir(tmp_path) == ["talk.txt"]


def test_follows_a_link(tmp_path: Path) -> None:
    target, link = tmp_path / "talk.txt", tmp_path / "link.txt"
    target.write_text("old")
    link.symlink_to(target)
    write_text(link, "new")
    assert link.is_symlink() and target.read_text() == "new"


def test_a_folder_is_refused_in_one_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a folder") as caught:
        write_text(tmp_path, "text")
    assert "\n" not in str(caught.value)


def test_a_folder_that_cannot_be_made_is_told_before_anything_is_done_in_it(tmp_path: Path) -> None:
    (tmp_path / "talk.txt").write_text("a file")
    with (
        pytest.raises(InputError, match=r"cannot make the folder .*; choose another place"),
        alone_in(tmp_path / "talk.txt" / "folder"),
    ):
        pytest.fail("the folder is not there")


def is_free(folder: Path) -> bool:
    import fcntl

    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    finally:
        os.close(handle)
    return True


@pytest.mark.skipif(os.name == "nt", reason="folders cannot be locked on Windows")
def test_a_folder_is_taken_while_it_is_worked_in_and_free_after_it_even_when_that_failed(tmp_path: Path) -> None:
    with suppress(ZeroDivisionError), alone_in(tmp_path):
        assert not is_free(tmp_path)
        raise ZeroDivisionError
    assert is_free(tmp_path)


def test_where_folders_cannot_be_opened_files_are_written_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on Windows, where os.open refuses a folder (Python's documentation of os.open: the flags are for files)."""
    folder, target = tmp_path / "new", tmp_path / "new" / "talk.txt"
    opened = os.open

    def refuse(path: Any, *arguments: Any, **named: Any) -> int:
        if os.path.isdir(path):
            raise PermissionError(13, "Permission denied")
        return opened(path, *arguments, **named)

    monkeypatch.setattr(os, "open", refuse)
    monkeypatch.setattr("sync.atomic.WINDOWS", True)
    with alone_in(folder):
        write_text(target, "new")
    assert target.read_text() == "new"
    assert os.listdir(folder) == ["talk.txt"]


def test_where_folders_cannot_be_synced_the_file_is_replaced_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on some network file systems."""
    target, fsync = tmp_path / "talk.txt", os.fsync
    target.write_text("old")

    def refuse(handle: int) -> None:
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(22, "Invalid argument")
        fsync(handle)

    monkeypatch.setattr(os, "fsync", refuse)
    write_text(target, "new")
    assert target.read_text() == "new"
    assert os.listdir(tmp_path) == ["talk.txt"]


def test_a_name_is_on_the_disk_when_the_write_returns(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """POSIX fsync(2): that of a file says nothing about the folder that names it."""
    synced: list[tuple[int, bool]] = []

    def note(handle: int) -> None:
        synced.append((os.fstat(handle).st_ino, (tmp_path / "talk.txt").exists()))

    monkeypatch.setattr(os, "fsync", note)
    write_text(tmp_path / "talk.txt", "new")
    assert synced == [((tmp_path / "talk.txt").stat().st_ino, False), (tmp_path.stat().st_ino, True)]


def test_a_new_file_has_the_rights_of_any_new_file(tmp_path: Path) -> None:
    write_text(tmp_path / "written.txt", "text")
    (tmp_path / "opened.txt").write_text("text")
    assert (tmp_path / "written.txt").stat().st_mode == (tmp_path / "opened.txt").stat().st_mode
