"""Where a command's files go: looked at before anything long begins, so that nobody's own file is written over."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from sync.errors import InputError
from sync.files.page.write import check_name
from sync.lesson.project import SUFFIX
from sync.publish import PUBLISHED, TRANSCRIPT_SUFFIX
from sync.transcript.json_form import FORMAT

HEAD = 200
"""Bytes within which a transcript of this program's own form says so."""


def check_lesson(folder: Path, name: str, given: Sequence[Path]) -> None:
    """Raises InputError where a lesson cannot be written to a folder, or its files would replace others.

    given: the files that the lesson is made from. Files that stand in the folder under the lesson's names are taken
    for those of an earlier run where its project stands there too.
    """
    check_name(name)
    for path in given:
        check_name(path.name)
    check_folder(folder)
    published = [folder / f"{name}{suffix}" for suffix in (*PUBLISHED, ".html")]
    project = folder / f"{name}{SUFFIX}"
    for path in (*published, project):
        check_file(path, *given)
    check_transcript(folder / f"{name}{TRANSCRIPT_SUFFIX}", *given)
    there = next(filter(os.path.exists, published), None)
    if there is not None and not os.path.exists(project):
        raise InputError(f"{there} is there already, and of no lesson: move it, or choose another --out")


def check_file(path: Path, *given: Path) -> None:
    """Raises InputError for a folder, and for a file that is one of those given."""
    if os.path.isdir(path):
        raise InputError(f"{path} is a folder: move it, or choose another --out")
    for each in given:
        if os.path.exists(path) and os.path.exists(each) and os.path.samefile(path, each):
            raise InputError(f"{each} would be written over: choose another --out")


def check_transcript(path: Path, *given: Path) -> None:
    """As check_file, but a transcript that this program wrote is only written anew."""
    if not _is_own(path):
        check_file(path, *given)


def check_folder(folder: Path) -> None:
    """Raises InputError for a folder that cannot be written into, or cannot be made."""
    there = next(each for each in (folder, *folder.absolute().parents) if os.path.exists(each))
    if not there.is_dir():
        raise InputError(f"{there} is a file, no folder to write into: choose another --out")
    if not os.access(there, os.W_OK | os.X_OK):
        raise InputError(f"{there} may not be written into: change its rights, or choose another --out")


def _is_own(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return f'"{FORMAT}"'.encode() in file.read(HEAD)
    except OSError:
        return False
