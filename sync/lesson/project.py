"""The project file NAME.plycue.json: what was computed from a recording, and apart from it what an editor changed.

docs/lesson-file.md tells what stands in it; docs/lesson.schema.json is the same as a JSON Schema.
"""

from __future__ import annotations

import json
import os
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

import chess

from sync.atomic import write_text
from sync.errors import InputError
from sync.lesson.decode import FormatError, decode
from sync.lesson.edits import UCI
from sync.lesson.lesson import Chapter, Game, Lesson, Media, Ply, Quiz
from sync.recording import LONGEST

VERSION = 1
SUFFIX = ".plycue.json"

LARGEST_FILE = 100_000_000
"""Bytes. A talk of three hours has about 4 000 000."""

SHA256 = re.compile(r"[0-9a-f]{64}")
NOT_IN_NAMES = ("Cc", "Cs", "Zl", "Zp")
"""Unicode categories: control characters, halves of characters, line ends."""


@dataclass(frozen=True, slots=True)
class TranscriptFile:
    """The transcript that all word indices point into. name: file name without folders; sha256: of its bytes."""

    name: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Settings:
    """What the user told before the lesson was computed.

    game: PGN text of the game or games, empty when none was given; start: FEN, empty for the usual position.
    speaker: name under which spellings learnt from this speaker are kept, empty when none was given.
    """

    game: str = ""
    start: str = ""
    speaker: str = ""


@dataclass(frozen=True, slots=True)
class Project:
    """A lesson as it was computed, and the edits that an editor made, in their order.

    Each edit is a JSON object with a text "kind" and a place "at" (a text or a number).
    """

    computed: Lesson
    transcript: TranscriptFile
    settings: Settings = Settings()
    edits: tuple[Mapping[str, Any], ...] = ()


def save_lesson(project: Project, path: str | os.PathLike[str]) -> None:
    """Writes the project file, whole or not at all.

    Raises InputError for a place that cannot be written, and for a project that load_lesson would refuse.
    """
    write_text(path, checked_text(project, path))


def checked_text(project: Project, path: str | os.PathLike[str]) -> str:
    """The text of the file at that path. Raises InputError for a project that load_lesson would refuse."""
    try:
        text = project_text(project)
        _project(_parsed(text.encode("utf-8")), os.fspath(path))
    except (FormatError, ValueError) as fault:
        raise InputError(f"cannot write {path}: {fault}") from fault
    return text


def load_lesson(path: str | os.PathLike[str]) -> Project:
    """The project that save_lesson wrote.

    Raises InputError for a file that is missing, cut off, of another version or changed by hand so that something in it
    does not fit, and for references that lead out of the file's folder.
    """
    name = os.fspath(path)
    try:
        return _project(_parsed(_read(name)), name)
    except FormatError as fault:
        raise InputError(f"{name}: {fault}; restore the file or compute the lesson anew") from fault


def project_text(project: Project) -> str:
    """The project as it stands in its file: JSON with one value a line, keys always in one order."""
    lesson = project.computed
    data = {
        "plycue": VERSION,
        "media": asdict(lesson.media) if lesson.media else None,
        "transcript": asdict(project.transcript),
        "settings": asdict(project.settings),
        "computed": {
            "title": lesson.title,
            "games": [asdict(game) for game in lesson.games],
            "chapters": [asdict(chapter) for chapter in lesson.chapters],
            "quizzes": [asdict(quiz) for quiz in lesson.quizzes],
        },
        "edits": list(project.edits),
    }
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


@dataclass(frozen=True, slots=True)
class _Computed:
    title: str
    games: tuple[Game, ...]
    chapters: tuple[Chapter, ...]
    quizzes: tuple[Quiz, ...]


@dataclass(frozen=True, slots=True)
class _File:
    """The file's top level."""

    plycue: int
    media: Media | None
    transcript: TranscriptFile
    settings: Settings
    computed: _Computed
    edits: tuple[dict[str, Any], ...]


def _read(name: str) -> bytes:
    try:
        with Path(name).open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise InputError(f"cannot read {name}: {error.strerror or error}; choose a {SUFFIX} file") from error
    if len(data) > LARGEST_FILE:
        raise FormatError(f"larger than {LARGEST_FILE // 1_000_000} MB")
    return data


def _parsed(data: bytes) -> Any:
    try:
        text = data.decode("utf-8-sig")
        value = json.loads(text, parse_constant=_no_constant, object_pairs_hook=_no_doubles)
        json.dumps(value, ensure_ascii=False).encode("utf-8")
    except json.JSONDecodeError as error:
        raise FormatError(f"broken or cut off at line {error.lineno}, column {error.colno} ({error.msg})") from error
    except UnicodeDecodeError as error:
        raise FormatError("not UTF-8 text") from error
    except UnicodeEncodeError as error:
        raise FormatError("it has half of a character (a lone surrogate)") from error
    except RecursionError as error:
        raise FormatError("nested too deep") from error
    except ValueError as error:  # a number with thousands of digits
        raise FormatError(str(error).partition(";")[0]) from error
    return value


def _no_constant(name: str) -> Any:
    raise FormatError(f"{name} is no number")


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    members: dict[str, Any] = {}
    for name, value in pairs:
        if name in members:
            raise FormatError(f"{name[:40]!r} stands twice in one object")
        members[name] = value
    return members


def _project(value: Any, name: str) -> Project:
    """Raises FormatError for whatever does not fit, InputError for another version."""
    _check_version(value, name)
    file: _File = decode(_File, value, "")
    _check_references(file)
    for number, game in enumerate(file.computed.games):
        _check_game(game, f"computed.games[{number}]")
    _check_times(file.computed)
    _check_quizzes(file.computed)
    for number, edit in enumerate(file.edits):
        _check_edit(edit, f"edits[{number}]")
    computed = file.computed
    lesson = Lesson(computed.title, file.media, computed.games, computed.chapters, computed.quizzes)
    return Project(lesson, file.transcript, file.settings, file.edits)


def _check_version(value: Any, name: str) -> None:
    version = value.get("plycue") if isinstance(value, dict) else None
    if type(version) is not int:
        raise InputError(f"{name}: no version in it; choose a {SUFFIX} file")
    if version > VERSION:
        raise InputError(f"{name}: file version {version}, this release reads {VERSION}; update plycue")
    if version < VERSION:
        raise InputError(f"{name}: file version {version} is not known, only {VERSION}; compute the lesson anew")


def _check_references(file: _File) -> None:
    references = {"transcript": file.transcript} | ({"media": file.media} if file.media else {})
    for where, reference in references.items():
        if not _is_plain_name(reference.name):
            raise FormatError(f"{where}.name must be a file name without folders, not {reference.name[:40]!r}")
        if not SHA256.fullmatch(reference.sha256):
            raise FormatError(f"{where}.sha256 must be 64 hexadecimal digits, not {reference.sha256[:20]!r}")
    if file.media and not 0 <= file.media.duration <= LONGEST:
        raise FormatError(f"media.duration: {file.media.duration:g} s is not the length of a recording")
    if file.settings.start:
        _board(file.settings.start, "settings.start")


def _is_plain_name(name: str) -> bool:
    """Neither here nor on another system does the name lead to another folder."""
    if name in ("", ".", "..") or any(unicodedata.category(character) in NOT_IN_NAMES for character in name):
        return False
    return PurePosixPath(name).name == name and PureWindowsPath(name).name == name


def _board(fen: str, where: str) -> chess.Board:
    try:
        return chess.Board(fen)
    except ValueError as error:
        raise FormatError(f"{where} is no FEN: {fen[:80]!r}") from error


def _check_game(game: Game, where: str) -> None:
    boards: dict[int | None, chess.Board] = {None: _board(game.start_fen, f"{where}.start_fen")}
    played: set[int | None] = {None}
    parents: set[int | None] = set()
    taken: set[tuple[int | None, str]] = set()
    for number, ply in enumerate(game.plies):
        place = f"{where}.plies[{number}]"
        if ply.id in boards:
            raise FormatError(f"{place}.id {ply.id} is taken")
        if ply.parent not in boards:
            raise FormatError(f"{place}.parent {ply.parent} is no ply before it")
        if (ply.parent, ply.uci) in taken:
            raise FormatError(f"{place}.uci {ply.uci} is played from its position twice")
        if ply.played and (ply.parent not in played or ply.parent in parents):
            raise FormatError(f"{place} is played, but does not stand first after a played ply")
        boards[ply.id] = _after(boards[ply.parent], ply, place)
        _check_ranges(ply, place)
        taken.add((ply.parent, ply.uci))
        parents.add(ply.parent)
        played |= {ply.id} if ply.played else set()


def _after(board: chess.Board, ply: Ply, where: str) -> chess.Board:
    move = chess.Move.from_uci(ply.uci) if UCI.fullmatch(ply.uci) else chess.Move.null()
    if not board.is_legal(move):
        raise FormatError(f"{where}.uci {ply.uci[:10]!r} is not legal there")
    if board.san(move) != ply.san:
        raise FormatError(f"{where}.san must be {board.san(move)!r}, not {ply.san[:10]!r}")
    after = board.copy(stack=False)
    after.push(move)
    return after


def _check_ranges(ply: Ply, where: str) -> None:
    if not all(0 <= share <= 1 for share in (ply.confidence, *(runner.probability for runner in ply.runners_up))):
        raise FormatError(f"{where}: confidence and probability must be from 0 to 1")
    if not all(0 <= nag <= 255 for nag in ply.nags):
        raise FormatError(f"{where}.nags must be from 0 to 255")
    for moment in ply.moments:
        _check_numbers(
            (moment.start, moment.end), (moment.first_word, moment.named_end, moment.end_word), f"{where}.moments"
        )


def _check_times(computed: _Computed) -> None:
    for game in computed.games:
        _check_numbers((game.start, game.end), (game.first_word, game.end_word), "computed.games")
    for chapter in computed.chapters:
        _check_numbers((chapter.start, chapter.end), (), "computed.chapters")
    for quiz in computed.quizzes:
        _check_numbers((quiz.start, quiz.stop), (), "computed.quizzes")


def _check_numbers(times: Sequence[float], indices: Sequence[int], where: str) -> None:
    if min((*times, *indices)) < 0:
        raise FormatError(f"{where}: times and word indices must not be negative")
    if max(times) > LONGEST:
        raise FormatError(f"{where}: {max(times):g} s is not a time in a recording")


def _check_quizzes(computed: _Computed) -> None:
    for number, quiz in enumerate(computed.quizzes):
        if not 0 <= quiz.game < len(computed.games):
            raise FormatError(f"computed.quizzes[{number}].game {quiz.game} is no game")
        known = {ply.id for ply in computed.games[quiz.game].plies}
        if quiz.ply is not None and quiz.ply not in known:
            raise FormatError(f"computed.quizzes[{number}].ply {quiz.ply} is no ply of its game")
        if not known.issuperset(quiz.answers):
            raise FormatError(f"computed.quizzes[{number}].answers has what is no ply of its game")


def _check_edit(edit: Mapping[str, Any], where: str) -> None:
    if type(edit.get("kind")) is not str:
        raise FormatError(f"{where}.kind must be a text")
    if type(edit.get("at")) not in (str, int, float):
        raise FormatError(f"{where}.at must be a text or a number")
