from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from sync.atomic import write_bytes, write_text
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
