"""The stages put together: from a transcript to a lesson, and from a lesson to all its files."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypedDict

import chess
import chess.pgn

from sync.atomic import write_text
from sync.errors import InputError
from sync.files.captions import captions_srt, captions_vtt
from sync.files.chapters import chapter_list, chapters_vtt
from sync.files.page import single_page, write_page
from sync.files.pgn import pgn_text
from sync.follow import Fix
from sync.lesson import Lesson, Media, find_chapters, find_quizzes
from sync.lesson.project import SUFFIX, Project, Settings, TranscriptFile, checked_text, load_lesson
from sync.lesson.speaker import Speaker
from sync.revise import Follow, Task, follow_anew
from sync.transcript import Transcript, to_json

NOBODY = Speaker("")
"""A speaker of whom nothing is known."""

TRANSCRIPT_SUFFIX = ".transcript.json"

PUBLISHED = (".pgn", ".vtt", ".srt", ".chapters.vtt", ".chapters.txt")
"""Suffixes of the files of a lesson besides its page."""


@dataclass(frozen=True, slots=True)
class Page:
    """How the page is written.

    media_file: the recording that it plays; link: address of a recording hosted elsewhere with {seconds} for the time,
    instead. single: one HTML file in place of a folder.
    """

    media_file: Path | None = None
    link: str | None = None
    single: bool = False


def make_lesson(
    transcript: Transcript,
    *,
    title: str = "",
    media: Media | None = None,
    game: chess.pgn.Game | None = None,
    start_fen: str = chess.STARTING_FEN,
    fixes: Sequence[Fix] = (),
    speaker: Speaker = NOBODY,
    follow_task: Follow = follow_anew,
) -> Lesson:
    """The lesson that a talk is: its moves spotted and followed, its quizzes and chapters found.

    game: the game that the talk is about, where it is known; its start position goes before start_fen.
    speaker: whose misheard words are known from earlier lessons. follow_task: sync.revise.followed reads from the cache
    what was followed before.
    """
    moves = None
    if game is not None:
        start_fen, moves = game.board().fen(), tuple(move.uci() for move in game.mainline_moves())
    games = follow_task(Task(transcript, start_fen, moves, tuple(fixes), speaker.forms))
    if game is not None:
        games = tuple(replace(each, tags=dict(game.headers)) for each in games)
    quizzes = find_quizzes(transcript, games)
    return Lesson(title, media, games, find_chapters(transcript, games, quizzes), quizzes)


def checked_position(fen: str) -> str:
    """The FEN as python-chess writes it. Raises InputError for one that cannot stand on a board."""
    try:
        board = chess.Board(fen)
    except ValueError as error:
        raise InputError(f"start position {fen!r}: {error}; give a FEN in quotes") from error
    if not board.is_valid():
        raise InputError(f"start position {fen!r} cannot arise ({board.status()!r}); check the FEN")
    return board.fen()


def write_project(lesson: Lesson, transcript: Transcript, settings: Settings, folder: Path, name: str) -> list[Path]:
    """Writes NAME.transcript.json and NAME.plycue.json; edits of a project that is there already stay in it."""
    transcript_path, project_path = folder / f"{name}{TRANSCRIPT_SUFFIX}", folder / f"{name}{SUFFIX}"
    edits = load_lesson(project_path).edits if project_path.exists() else ()
    words = to_json(transcript)
    reference = TranscriptFile(transcript_path.name, hashlib.sha256(words.encode()).hexdigest())
    text = checked_text(Project(lesson, reference, settings, edits), project_path)
    write_text(transcript_path, words)
    write_text(project_path, text)
    return [project_path, transcript_path]


def write_lesson(lesson: Lesson, transcript: Transcript, folder: Path, name: str, page: Page = Page()) -> list[Path]:
    """Writes all that is published, each file whole or not at all, and returns their paths.

    NAME.pgn, NAME.vtt, NAME.srt, NAME.chapters.vtt, NAME.chapters.txt, and the page. Raises InputError.
    """
    texts = (
        pgn_text(lesson, transcript),
        captions_vtt(lesson, transcript),
        captions_srt(lesson, transcript),
        chapters_vtt(lesson),
        chapter_list(lesson),
    )
    paths = [folder / f"{name}{suffix}" for suffix in PUBLISHED]
    for path, text in zip(paths, texts, strict=True):
        write_text(path, text)
    return [*paths, write_lesson_page(lesson, transcript, folder, name, page)]


def write_lesson_page(lesson: Lesson, transcript: Transcript, folder: Path, name: str, page: Page) -> Path:
    """Writes page/index.html with the files that it needs beside it, or NAME.html, and returns its path."""
    told = _Told(
        pgn=pgn_text(lesson, transcript),
        captions=captions_vtt(lesson, transcript),
        media_file=None if page.link else page.media_file,
        media_link=page.link,
        name=name,
    )
    if not page.single:
        return write_page(lesson, transcript, folder / "page", **told)
    write_text(folder / f"{name}.html", single_page(lesson, transcript, **told))
    return folder / f"{name}.html"


class _Told(TypedDict):
    """What the page is told besides the lesson and its transcript."""

    pgn: str
    captions: str
    media_file: Path | None
    media_link: str | None
    name: str
