"""The lesson: a talk and its game trees, with chapters and quizzes: all that is published."""

from __future__ import annotations

from dataclasses import dataclass

from sync.follow.tree import Game, Moment, Ply, RunnerUp

__all__ = ["Chapter", "Game", "Lesson", "Media", "Moment", "Ply", "Quiz", "RunnerUp"]


@dataclass(frozen=True, slots=True)
class Chapter:
    """start, end in seconds."""

    start: float
    end: float
    title: str


@dataclass(frozen=True, slots=True)
class Quiz:
    """A place where the teacher asks and waits.

    start: where the question begins; stop: where a viewer should be stopped (end of the question, before the answer).
    game: index of the game; ply: id of the ply whose position the question is about, None for the start position.
    answers: ids of the plies that follow from there, the right one (played) first where it is known.
    """

    start: float
    stop: float
    game: int
    ply: int | None
    answers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Media:
    """The recording. name: file name without folders; sha256: of its bytes; duration: seconds."""

    name: str
    sha256: str
    duration: float


@dataclass(frozen=True, slots=True)
class Lesson:
    """All that is published. media is None when only a transcript was given."""

    title: str
    media: Media | None
    games: tuple[Game, ...]
    chapters: tuple[Chapter, ...] = ()
    quizzes: tuple[Quiz, ...] = ()
