"""The journal of edits NAME.plycue.journal: each edit is on the disk before anybody is told that it was made.

One record a line, JSON with a number and a checksum. Records are only ever added at the end. "edit" makes an edit,
"undo" takes the last one back, "redo" makes the last one again that was taken back; a new edit forgets those.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

from sync.atomic import WINDOWS, sync_folder
from sync.errors import InputError
from sync.lesson.decode import FormatError, decode
from sync.lesson.edits import Edit, edit_from_json, edit_to_json

SUFFIX = ".plycue.journal"

EDIT, UNDO, REDO = "edit", "undo", "redo"

LOCKED = 2**30
"""The byte that is locked on Windows, past the end of any journal: what is locked there cannot be read."""


class StaleError(Exception):
    """The journal has grown since the caller read it: somebody else edits the same lesson."""


@dataclass(slots=True)
class History:
    """What the records of a journal come to. number: of the last record, 0 for none.

    made: the edits that hold, in order. undone: those taken back, the next to redo last. ever: all that were made.
    broken: line numbers that hold no record.
    """

    number: int = 0
    made: list[Edit] = field(default_factory=list)
    undone: list[Edit] = field(default_factory=list)
    ever: list[Edit] = field(default_factory=list)
    broken: list[int] = field(default_factory=list)

    def take(self, record: Mapping[str, Any]) -> None:
        """Raises InputError for an edit of a kind that is not known; its number is taken all the same."""
        self.number = record["number"]
        match record["do"]:
            case "edit":
                edit = edit_from_json(record["edit"])
                self.made.append(edit)
                self.ever.append(edit)
                self.undone.clear()
            case "undo" if self.made:
                self.undone.append(self.made.pop())
            case "redo" if self.undone:
                self.made.append(self.undone.pop())


class Journal:
    """The journal at a path; it is made with its first record.

    Several windows and programs may have it open: each addition names the record that it was based on, and is refused
    where another one came between. Every method raises InputError when the file cannot be read or written.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.path = Path(path)
        self.history = History()
        self._size = -1
        self.read()

    def read(self) -> History:
        """What is in the journal now; read again when the file has changed."""
        try:
            size = self.path.stat().st_size if self.path.exists() else 0
            if size != self._size:
                data = self.path.read_bytes() if size else b""
                self.history, self._size = _history(data), len(data)
        except OSError as error:
            raise InputError(f"cannot read {self.path}: {error.strerror or error}; check its rights") from error
        return self.history

    def add(self, edits: Sequence[Edit], based_on: int) -> int:
        """Makes edits, and returns the number of the last record once all are on the disk. Raises StaleError."""
        return self._append([{"do": EDIT, "edit": edit_to_json(edit)} for edit in edits], based_on)

    def undo(self, based_on: int) -> int:
        """Takes the last edit back. Raises StaleError, and InputError when there is none."""
        if not self.read().made:
            raise InputError("there is no edit to undo")
        return self._append([{"do": UNDO}], based_on)

    def redo(self, based_on: int) -> int:
        """Makes the last edit again that was taken back. Raises StaleError, and InputError when there is none."""
        if not self.read().undone:
            raise InputError("there is no edit to redo")
        return self._append([{"do": REDO}], based_on)

    def merge(self, edits: Iterable[Edit]) -> None:
        """Adds the edits of a project file that the journal never saw."""
        unseen = [edit for edit in edits if edit not in self.read().ever]
        if unseen:
            self.add(unseen, self.history.number)

    def _append(self, records: Sequence[Mapping[str, Any]], based_on: int) -> int:
        new = not self.path.exists()
        try:
            with self.path.open("ab", buffering=0) as file, _locked(file):
                if self.read().number != based_on:
                    raise StaleError(f"record {self.history.number} came after {based_on}")
                lines = [_line({"number": number, **record}) for number, record in enumerate(records, based_on + 1)]
                if self._size and not _ends_line(self.path):
                    lines.insert(0, b"\n")  # what was being written when the power went was never acknowledged
                _write_end(file, b"".join(lines), self._size)
            if new:
                sync_folder(self.path.parent)
        except OSError as error:
            reason = error.strerror or error
            raise InputError(f"cannot write {self.path}: {reason}; the edit was not made") from error
        return self.read().number


def _write_end(file: IO[bytes], data: bytes, size: int) -> None:
    """Writes data at the end of a file of that size, to the disk; all of it or none."""
    try:
        if file.write(data) != len(data):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        os.fsync(file.fileno())
    except OSError:
        file.truncate(size)
        raise


def _history(data: bytes) -> History:
    history = History()
    for number, line in enumerate(data.split(b"\n"), start=1):
        if not line.strip():
            continue
        try:
            record = _record(line)
            if record["number"] <= history.number:
                raise FormatError("its number is not higher than the one before")
            history.take(record)
        except (FormatError, InputError):
            history.broken.append(number)
    return history


def _record(line: bytes) -> Mapping[str, Any]:
    """The record in a line. Raises FormatError when it is not whole."""
    try:
        record: dict[str, Any] = decode(dict[str, Any], json.loads(line), "the record")
        if record.pop("sum", None) != _checksum(record):
            raise FormatError("its checksum is another")
    except (ValueError, RecursionError) as error:
        raise FormatError("no record") from error
    if type(record.get("number")) is not int or record.get("do") not in (EDIT, UNDO, REDO):
        raise FormatError("no record")
    if record["do"] == EDIT:
        decode(dict[str, Any], record.get("edit"), "edit")
    return record


def _line(record: Mapping[str, Any]) -> bytes:
    return _text({**record, "sum": _checksum(record)}) + b"\n"


def _checksum(record: Mapping[str, Any]) -> str:
    return hashlib.sha256(_text(record)).hexdigest()[:16]


def _text(record: Mapping[str, Any]) -> bytes:
    return json.dumps(record, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()


def _ends_line(path: Path) -> bool:
    with path.open("rb") as file:
        file.seek(-1, os.SEEK_END)
        return file.read(1) == b"\n"


@contextmanager
def _locked(file: IO[bytes]) -> Iterator[None]:
    """Nobody else adds to the file meanwhile."""
    if WINDOWS:
        import msvcrt

        file.seek(LOCKED)
        msvcrt.locking(file.fileno(), msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined]
        try:
            yield
        finally:
            file.seek(LOCKED)
            msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)  # type: ignore[attr-defined]
        return
    import fcntl

    fcntl.flock(file, fcntl.LOCK_EX)
    try:
        yield
    finally:
        fcntl.flock(file, fcntl.LOCK_UN)
