"""Files written whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sync.errors import InputError

PART = ".plycue-part"
"""Ends the names of files and folders that are being written."""
LEFT_OVER = 3600.0
"""Seconds after which nobody writes to a part any more: its writer was killed."""
WINDOWS = os.name == "nt"


def write_bytes(path: str | os.PathLike[str], data: bytes) -> None:
    """Replaces the file at path by data in one step; missing folders above it are made.

    A reader, a crash or a full disk sees the old file or the new one, never a part. A symbolic link is followed, so
    that the file it points to is replaced. Raises InputError when the place cannot be written.
    """
    target = Path(os.path.realpath(path))
    try:
        if target.is_dir():
            raise InputError(f"{path} is a folder: name a file to write")
        target.parent.mkdir(parents=True, exist_ok=True)
        _replace(target, data)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(f"cannot write {path}: {reason}; choose another place or free some room") from error


def write_text(path: str | os.PathLike[str], text: str) -> None:
    """As write_bytes, in UTF-8 with the line ends that text has, on every system."""
    write_bytes(path, text.encode("utf-8"))


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Nobody else who asks for the folder has it meanwhile; others wait. It is made where it is missing.

    For files that belong together. Where the system cannot lock folders (Windows, some network file systems) each file
    is whole all the same. Raises InputError when the folder cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"cannot make the folder {folder}: {error.strerror}; choose another place") from error
    if WINDOWS:
        yield
        return
    import fcntl

    handle = os.open(folder, os.O_RDONLY)
    try:
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _replace(target: Path, data: bytes) -> None:
    clear_parts(target.parent)
    # The temporary file stands in the same folder: a rename is one step only within a file system.
    handle, temporary = tempfile.mkstemp(prefix=f".{target.name[:50]}.", suffix=PART, dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, _mode(target))
        os.replace(temporary, target)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    sync_folder(target.parent)


def clear_parts(folder: Path) -> None:
    """Removes the parts that killed programs have left in the folder."""
    for part in folder.glob(f".*{PART}"):
        with suppress(OSError):  # another program may be quicker
            if time.time() - part.stat().st_mtime < LEFT_OVER:
                continue
            shutil.rmtree(part) if part.is_dir() else part.unlink()


def _mode(target: Path) -> int:
    """Permissions of the file that is replaced, else those that a newly opened file would get."""
    if target.exists():
        return target.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def sync_folder(folder: Path) -> None:
    """Names that were made or replaced in the folder are on the disk when it returns."""
    if WINDOWS:
        return  # Windows cannot open a folder; its rename is journalled
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError:
        pass  # some network file systems refuse; the rename itself is done
    finally:
        os.close(handle)
