"""A small lesson with doubtful readings, as a project in a folder."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import chess

from sync.atomic import write_text
from sync.follow.recover import Reached, unwatched
from sync.lesson import Game, Lesson, Project, RunnerUp, Settings, TranscriptFile, save_lesson
from sync.lesson.lesson import Chapter, Media, Moment, Ply, Quiz
from sync.revise import Task
from sync.transcript import Transcript, to_json
from tests.lesson.lessons import told

TALK = """Welcome. {e4|pawn to e4}, {e5|e5}. Now {Nf3|knight f3}, {Nc6|knight c6}, and {Bc4|bishop sea for=bishop c4}.
[What about {^Bb5|bishop b5}? {a6|a6} is usual.] Black answers {Bc5|bishop c5}. Then he played {d3|before=d3}
with a quiet game, {Nf6|knight f6}. Here think a while. <pause 4> {Nc3|knight sea free=knight c3}, and
{d6|d6}. That is all for today, thank you."""


def small_lesson(name: str = "evening", seconds: float | None = None) -> tuple[Lesson, Transcript]:
    """Ten played plies and a side line; "bishop sea for", "before" and "knight sea free" are doubtful."""
    lesson, transcript = told(TALK)
    (game,) = lesson.games
    plies = tuple(map(_doubtful, game.plies))
    duration = seconds or transcript.duration + 1
    transcript = replace(transcript, duration=duration)
    third = round(duration / 3, 2)
    chapters = (Chapter(0, third, "Start"), Chapter(third, 2 * third, "Middle"), Chapter(2 * third, duration, "End"))
    knight = next(ply for ply in plies if ply.san == "Nf6")
    asked = knight.moments[0].end
    quiz = Quiz(round(asked - 1.6, 2), asked, 0, knight.id, tuple(ply.id for ply in plies if ply.parent == knight.id))
    media = Media(f"{name}.webm", "0f" * 32, duration)
    done = Lesson("A club evening", media, (replace(game, plies=plies, end=duration),), chapters, (quiz,))
    return done, transcript


def _doubtful(ply: Ply) -> Ply:
    board = {"bishop sea for": 0.62, "before": 0.31, "knight sea free": 0.74}
    heard = ply.moments[0].heard.strip(",.")
    if heard not in board:
        return ply
    runners = (RunnerUp("b2b4", "b4", 0.3), RunnerUp("h2h4", "h4", 0.06)) if heard == "before" else ()
    return replace(ply, confidence=board[heard], reason="the square was heard badly", runners_up=runners)


def put_down(folder: Path, lesson: Lesson, transcript: Transcript, name: str = "evening") -> Path:
    """Writes the project and its transcript; returns the project's path."""
    text = to_json(transcript)
    write_text(folder / f"{name}.transcript.json", text)
    reference = TranscriptFile(f"{name}.transcript.json", hashlib.sha256(text.encode()).hexdigest())
    path = folder / f"{name}.plycue.json"
    save_lesson(Project(lesson, reference, Settings()), path)
    return path


def obedient(task: Task, reached: Reached = unwatched) -> tuple[Game, ...]:
    """In the place of the search, where a test is not about it: the small lesson with each fix made by hand."""
    from sync.lesson.graft import grafted

    (game,) = small_lesson()[0].games
    for fix in task.fixes:
        named = [moment for ply in game.plies for moment in ply.moments if fix.start <= moment.start < fix.end]
        moment = named[0] if named else Moment(fix.start, fix.end, 0, 1, 1, "", "")
        game = grafted(game, fix, moment)
    return (game,)


def line(*sans: str) -> tuple[str, ...]:
    """
    >>> line("e4", "e5")
    ('e2e4', 'e7e5')
    """
    board = chess.Board()
    return tuple(board.push_san(san).uci() for san in sans)
