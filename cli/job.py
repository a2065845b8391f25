"""What the commands do with recordings, transcripts and projects: stages of the library put together."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import chess
import chess.pgn

from cli.progress import FOLLOWING, HEARING, Watch, clock
from cli.targets import check_lesson
from sync.atomic import alone_in
from sync.errors import InputError
from sync.files.game_input import read_game
from sync.files.page.links import Links
from sync.lesson import Lesson, Media
from sync.lesson.project import SUFFIX, Settings
from sync.lesson.speaker import Speaker, load_speaker
from sync.mentions.second_hearing import hear_again
from sync.publish import (
    NOBODY,
    TRANSCRIPT_SUFFIX,
    Page,
    checked_position,
    make_lesson,
    write_lesson,
    write_project,
)
from sync.recording import Recording, probe
from sync.revise import followed, open_project, revise
from sync.transcript import Transcript, Word, hear_parts, read_transcript

FIRST_SHOWN = 60.0
"""Seconds that are heard when moves are shown for the first time."""
PATIENCE = 2.0
"""Seconds that pass before; what is kept from an earlier run comes sooner, and there is nothing to wait for."""
MOVES_SHOWN = 8
"""Plies that are shown."""

TRANSCRIPT_KINDS = (".vtt", ".srt", ".json", ".txt")
"""Suffixes of files that are read instead of heard."""

Warn = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Given:
    """What is known about a talk besides its words: a file with the game, a FEN, a title, the speaker's name."""

    game: Path | None = None
    start: str | None = None
    title: str | None = None
    speaker: str = ""


@dataclass(frozen=True, slots=True)
class Known:
    """Given, read and found to be right."""

    game: chess.pgn.Game | None
    start_fen: str
    title: str | None
    speaker: Speaker

    @property
    def settings(self) -> Settings:
        start = "" if self.start_fen == chess.STARTING_FEN else self.start_fen
        return Settings(game=str(self.game) if self.game else "", start=start, speaker=self.speaker.name)


@dataclass(frozen=True, slots=True)
class Job:
    """What to do with one file; fields as the options of `plycue sync`."""

    file: Path
    out: Path
    model: str
    transcript: Path | None
    given: Given
    link: str | None
    single_page: bool


@dataclass(frozen=True, slots=True)
class Done:
    lesson: Lesson
    paths: list[Path]


def run(job: Job, watch: Watch, warn: Warn) -> Done:
    """Does the whole job. Raises InputError; what a user gave is looked at before anything long begins."""
    known = know(job.given)
    Links(job.link)
    name = lesson_name(job.file)
    check_lesson(job.out, name, [each for each in (job.file, job.transcript, job.given.game) if each is not None])
    recording = None if is_transcript(job.file) else probe(job.file)
    if recording is None:
        transcript = read_transcript(job.file)
    elif job.transcript is None:
        transcript = hear_again(hear_watched(recording, job.model, known, watch, warn), recording, job.model)
    else:
        transcript = read_transcript(job.transcript)
    page = Page(recording.path if recording else None, job.link, job.single_page)
    lesson, transcript = follow_talk(transcript, recording, known, name, watch)
    with alone_in(job.out):
        paths = write_project(lesson, transcript, known.settings, job.out, name)
        lesson, transcript = load(paths[0])  # with the edits of a lesson that was there before
        written = write_lesson(lesson, transcript, job.out, name, page)
    return Done(lesson, [*paths, *written])


def hear_watched(recording: Recording, model: str, known: Known, watch: Watch, warn: Warn) -> Transcript:
    """Hears a recording, and tells the moves of what is heard so far to who watches, while the rest is being heard.

    They are told each time that twice as much is heard as the last time, up to half of the recording: all these
    together are followed in no more time than the whole.
    """
    words: list[Word] = []
    due, end = FIRST_SHOWN, 0.0
    begun = time.monotonic()
    for part in hear_parts(recording, model, partial(watch.update, HEARING), warn=warn):
        words += part.words
        end = part.end
        if watch.tell and due <= end <= recording.duration / 2 and time.monotonic() - begun > PATIENCE:
            watch.tell(f"{clock(end)}  {moves_so_far(Transcript(tuple(words), end, model), known)}")
            due = 2 * end
    return Transcript(tuple(words), end, model)


def moves_so_far(transcript: Transcript, known: Known) -> str:
    """The last moves of the game up to the last one that is named, with their numbers."""
    lesson = make_lesson(transcript, game=known.game, start_fen=known.start_fen, speaker=known.speaker)
    game = lesson.games[-1]
    played = [ply for ply in game.plies if ply.played]
    while played and not played[-1].moments:
        played.pop()
    moves = [chess.Move.from_uci(ply.uci) for ply in played]
    board = chess.Board(game.start_fen)
    for move in moves[:-MOVES_SHOWN]:
        board.push(move)
    return board.variation_san(moves[-MOVES_SHOWN:]) if moves else "no moves yet"


def follow_talk(
    transcript: Transcript, recording: Recording | None, known: Known, name: str, watch: Watch
) -> tuple[Lesson, Transcript]:
    """Follows a talk through its game."""
    media = None
    if recording:
        media = Media(recording.name, recording.sha256, recording.duration)
        transcript = replace(transcript, duration=max(transcript.duration, recording.duration))

    def reached(word: int) -> None:
        watch.update(FOLLOWING, transcript.words[word].start, transcript.duration)

    title = title_of(name) if known.title is None else known.title
    lesson = make_lesson(
        transcript,
        title=title,
        media=media,
        game=known.game,
        start_fen=known.start_fen,
        speaker=known.speaker,
        follow_task=partial(followed, reached=reached),
    )
    return lesson, transcript


def load(project_path: Path) -> tuple[Lesson, Transcript]:
    """The lesson of a project with an editor's edits, and its transcript, which lies beside it. Raises InputError."""
    revision = revise(open_project(project_path))
    return revision.lesson, revision.transcript


def know(given: Given) -> Known:
    """Raises InputError."""
    if given.title is not None and not _is_text(given.title):
        raise InputError(f"--title {given.title!r:.60} is not UTF-8 text: write it otherwise")
    speaker = load_speaker(given.speaker) if given.speaker else NOBODY
    if given.game is None:
        return Known(None, checked_position(given.start) if given.start else chess.STARTING_FEN, given.title, speaker)
    if given.start is not None:
        raise InputError("--start and --game cannot be given together: the game tells its own start position")
    games = read_game(given.game)
    if len(games) > 1:
        raise InputError(f"{given.game} holds {len(games)} games: give a file with the one that the talk is about")
    return Known(games[0], chess.STARTING_FEN, given.title, speaker)


def _is_text(argument: str) -> bool:
    try:
        argument.encode()
    except UnicodeEncodeError:
        return False  # bytes of another encoding, which Python holds as halves of characters
    return True


def is_transcript(file: Path) -> bool:
    return file.suffix.lower() in TRANSCRIPT_KINDS


def lesson_name(file: Path) -> str:
    """
    >>> lesson_name(Path("talks/evening.webm")), lesson_name(Path("evening.transcript.json"))
    ('evening', 'evening')
    """
    for suffix in (TRANSCRIPT_SUFFIX, SUFFIX):
        if file.name.endswith(suffix) and file.name != suffix:
            return file.name.removesuffix(suffix)
    return file.stem


def title_of(name: str) -> str:
    """
    >>> title_of("the-open_centre")
    'The open centre'
    """
    text = " ".join(name.replace("_", " ").replace("-", " ").split())
    return text[:1].upper() + text[1:]
