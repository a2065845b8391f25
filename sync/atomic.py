"""Files written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from sync.errors import InputError


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


def _replace(target: Path, data: bytes) -> None:
    # The temporary file stands in the same folder: a rename is one step only within a file system.
    handle, temporary = tempfile.mkstemp(prefix=f".{target.name[:50]}.", suffix=".part", dir=target.parent)
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


def _mode(target: Path) -> int:
    """Permissions of the file that is replaced, else those that a newly opened file would get."""
    if target.exists():
        return target.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def sync_folder(folder: Path) -> None:
    """Names that were made or replaced in the folder are on the disk when it returns."""
    if os.name == "nt":
        return  # Windows cannot open a folder; its rename is journalled
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError:
        pass  # some network file systems refuse; the rename itself is done
    finally:
        os.close(handle)
