"""A project with an editor's edits made: the lesson that is published.

Moves that an editor put right bind the search, and the talk is followed anew under them; what that gave is kept in the
cache, so that it need not be followed twice. All other edits are then made in what was followed.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cache
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from typing import Any

import chess

from sync.atomic import alone_in, write_bytes
from sync.errors import InputError
from sync.files.game_input import parse_games
from sync.follow import Fix, follow
from sync.follow.recover import Reached, unwatched
from sync.lesson import Game, Lesson, find_chapters, find_quizzes
from sync.lesson.decode import FormatError, decode
from sync.lesson.edits import (
    Edit,
    Reworded,
    Unfit,
    edit_from_json,
    edit_to_json,
    edited,
    fixes_of,
    moved_words,
    reworded,
    unfit_fixes,
    words_between,
)
from sync.lesson.journal import SUFFIX as JOURNAL_SUFFIX
from sync.lesson.journal import Journal
from sync.lesson.project import SUFFIX, Project, load_lesson, save_lesson
from sync.lesson.speaker import Form, Speaker, form_of, load_speaker, spot_as
from sync.mentions import Mention, spot
from sync.recording import file_sha256
from sync.transcript import Transcript, read_transcript
from sync.transcript.cache import cache_folder

FOLLOWING = ("sync.follow", "sync.mentions")
"""Packages in which a change may have a talk followed otherwise."""


@dataclass(frozen=True, slots=True)
class Task:
    """What is followed, and under which fixes. moves: of the game, in UCI, where it is known."""

    transcript: Transcript
    start_fen: str = chess.STARTING_FEN
    moves: tuple[str, ...] | None = None
    fixes: tuple[Fix, ...] = ()
    forms: tuple[Form, ...] = ()


Follow = Callable[[Task], tuple[Game, ...]]


@dataclass(frozen=True, slots=True)
class Revision:
    """A lesson with its edits. followed: its games before all edits but those of words and of what moves they name."""

    lesson: Lesson
    transcript: Transcript
    followed: tuple[Game, ...]
    unfit: tuple[Unfit, ...]


@dataclass(slots=True)
class Opened:
    """A project that is open for editing.

    path: of NAME.plycue.json. transcript: as it was heard. foreign: edits of the project file that this release does
    not know; they stay in the file.
    """

    path: Path
    project: Project
    transcript: Transcript
    journal: Journal
    foreign: tuple[Mapping[str, Any], ...]

    @property
    def name(self) -> str:
        return self.path.name.removesuffix(SUFFIX)

    @property
    def edits(self) -> tuple[Edit, ...]:
        """Those that hold, in the order in which they were made."""
        return tuple(self.journal.history.made)

    @property
    def is_outdated(self) -> bool:
        """The lesson was followed anew since it was opened: another one stands in the file now."""
        now = self._on_disk()
        return (now.computed, now.transcript) != (self.project.computed, self.project.transcript)

    def save(self) -> None:
        """Writes the edits into the project file as well."""
        edits = (*self.foreign, *map(edit_to_json, self.edits))
        if edits != self.project.edits:
            self.project = replace(self.project, edits=edits)
            with alone_in(self.path.parent):
                save_lesson(replace(self._on_disk(), edits=edits), self.path)

    def name_speaker(self, name: str) -> None:
        """Writes into the project file under which name the speaker's forms are kept, empty for none."""
        self.project = replace(self.project, settings=replace(self.project.settings, speaker=name))
        with alone_in(self.path.parent):
            now = self._on_disk()
            save_lesson(replace(now, settings=replace(now.settings, speaker=name)), self.path)

    def _on_disk(self) -> Project:
        return load_lesson(self.path) if self.path.exists() else self.project


def open_project(path: Path) -> Opened:
    """The project, its transcript and its journal. Raises InputError."""
    project = load_lesson(path)
    transcript_path = path.with_name(project.transcript.name)
    transcript = read_transcript(transcript_path)
    if file_sha256(transcript_path) != project.transcript.sha256:
        raise InputError(f"{transcript_path} is not the transcript that {path.name} was made from: follow it anew")
    _check_words(path, project.computed, len(transcript.words))
    if project.settings.game:
        parse_games(project.settings.game, f"{path}: settings.game")
    known, foreign = _sorted_out(project.edits)
    journal = Journal(path.with_name(path.name.removesuffix(SUFFIX) + JOURNAL_SUFFIX))
    journal.merge(known)
    return Opened(path, project, transcript, journal, foreign)


def _check_words(path: Path, computed: Lesson, words: int) -> None:
    """Raises InputError where the lesson points to words that its transcript does not have."""
    for number, game in enumerate(computed.games):
        moments = [moment for ply in game.plies for moment in ply.moments]
        ends = [game.end_word, *(moment.end_word for moment in moments)]
        named = [(moment.first_word, moment.named_end) for moment in moments]
        if max((game.first_word, *ends)) > words or any(not first < end <= words for first, end in named):
            raise InputError(f"{path}: computed.games[{number}] points to words that are not there; follow it anew")


def _sorted_out(edits: Sequence[Mapping[str, Any]]) -> tuple[list[Edit], tuple[Mapping[str, Any], ...]]:
    """Edits that are known, and those that are not."""
    known: list[Edit] = []
    foreign: list[Mapping[str, Any]] = []
    for edit in edits:
        try:
            known.append(edit_from_json(edit))
        except InputError:
            foreign.append(edit)
    return known, tuple(foreign)


def revise(opened: Opened, follow_task: Follow | None = None) -> Revision:
    """The lesson with all edits made. follow_task: follows the talk where an edit asks for it; followed if None."""
    words, task = prepare(opened, opened.edits)
    games = None if task is None else (follow_task or followed)(task)
    return finish(opened, opened.edits, words, task, games)


def prepare(opened: Opened, edits: Sequence[Edit]) -> tuple[Reworded, Task | None]:
    """The words with their edits; and what has to be followed anew, None where no edit asks for it."""
    words = reworded(opened.transcript, edits)
    settings = opened.project.settings
    start_fen, moves = settings.start or chess.STARTING_FEN, None
    if settings.game:
        game = parse_games(settings.game, "settings.game")[0]
        start_fen, moves = game.board().fen(), tuple(move.uci() for move in game.mainline_moves())
    fixes = fixes_of(edits, start_fen)
    if not fixes and (not words.touched or _same_mentions(opened.transcript, words)):
        return words, None
    forms = load_speaker(settings.speaker).forms if settings.speaker else ()
    return words, Task(words.transcript, start_fen, moves, fixes, forms)


def _same_mentions(before: Transcript, words: Reworded) -> bool:
    """Other words, but nothing in them names a move, and nothing did before."""
    return _said(spot(before)) == _said(spot(words.transcript))


def _said(mentions: Sequence[Mention]) -> list[tuple[str, str, float]]:
    return [(mention.heard, mention.form, mention.start) for mention in mentions]


def finish(
    opened: Opened, edits: Sequence[Edit], words: Reworded, task: Task | None, games: tuple[Game, ...] | None
) -> Revision:
    """The revision of what was followed; of what stands in the project where games is None."""
    computed = opened.project.computed
    if games is None:
        games = moved_words(computed.games, words)
        lesson = replace(computed, games=games)
    else:
        games = tuple(
            replace(game, tags=computed.games[number].tags if number < len(computed.games) else {})
            for number, game in enumerate(games)
        )
        quizzes = find_quizzes(words.transcript, games)
        chapters = find_chapters(words.transcript, games, quizzes)
        lesson = Lesson(computed.title, computed.media, games, chapters, quizzes)
    broken = unfit_fixes(edits, games, task.fixes) if task else ()
    done = edited(lesson, edits)
    return Revision(done.lesson, words.transcript, games, (*words.unfit, *broken, *done.unfit))


def learnt_forms(opened: Opened, games: Sequence[Game]) -> set[Form]:
    """What the edits teach about the speaker's words."""
    found = set()
    boards = {number: _boards(game) for number, game in enumerate(games)}
    for fix in fixes_of(opened.edits, games[0].start_fen if games else chess.STARTING_FEN):
        first, end = words_between(opened.transcript.words, fix.start, fix.end)
        heard = " ".join(word.text for word in opened.transcript.words[first:end])
        for number, game in enumerate(games):
            for ply in game.plies:
                if ply.uci == fix.uci and any(fix.start <= moment.start < fix.end for moment in ply.moments):
                    form = form_of(heard, boards[number][ply.parent], chess.Move.from_uci(ply.uci))
                    found |= {form} if form else set()
    return found


def _boards(game: Game) -> dict[int | None, chess.Board]:
    return {None: chess.Board(game.start_fen), **{ply.id: board for ply, board in game.boards()}}


def follow_anew(task: Task, reached: Reached = unwatched) -> tuple[Game, ...]:
    """Follows the talk. Takes a second for each minute of it or so."""
    moves = None if task.moves is None else [chess.Move.from_uci(uci) for uci in task.moves]
    mentions = spot_as(task.transcript, Speaker("", task.forms))
    return follow(task.transcript, mentions, start_fen=task.start_fen, moves=moves, fixes=task.fixes, reached=reached)


def followed(task: Task, reached: Reached = unwatched) -> tuple[Game, ...]:
    """As follow_anew, but what was followed before is read from the cache."""
    kept = kept_games(task)
    if kept is None:
        kept = follow_anew(task, reached)
        keep_games(task, kept)
    return kept


def kept_games(task: Task) -> tuple[Game, ...] | None:
    """What following the task gave before, None when it was not followed yet."""
    try:
        text = gzip.decompress(_kept_path(task).read_bytes())
        games: tuple[Game, ...] = decode(tuple[Game, ...], json.loads(text), "")
    except (OSError, EOFError, zlib.error, ValueError, RecursionError, FormatError):
        return None
    return games


def keep_games(task: Task, games: Sequence[Game]) -> None:
    text = json.dumps([asdict(game) for game in games], separators=(",", ":"))
    try:
        write_bytes(_kept_path(task), gzip.compress(text.encode(), mtime=0))
    except InputError:
        pass  # a full disk costs time, not work


def _kept_path(task: Task) -> Path:
    key = hashlib.sha256(_code() + repr(task).encode()).hexdigest()
    return cache_folder() / "followed" / f"{key}.json.gz"


@cache
def _code() -> bytes:
    """What following depends on besides its task: its code and data, and that of spotting."""
    digest = hashlib.sha256(version("chess").encode())
    for package in FOLLOWING:
        for file in sorted(files(package).iterdir(), key=lambda each: each.name):
            if file.name.endswith((".py", ".json")):
                digest.update(file.read_bytes())
    return digest.digest()
