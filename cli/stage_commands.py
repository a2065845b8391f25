"""The stages one by one: `plycue hear`, `spot`, `follow` and `write`. Each leaves a file that can be looked at."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cli import options
from cli.exits import complain

Transcript = Annotated[
    Path,
    typer.Argument(
        metavar="TRANSCRIPT", readable=False, help="NAME.transcript.json, or captions (.vtt .srt .json .txt)."
    ),
]
Result = Annotated[
    Path | None, typer.Option("--out", metavar="FILE", help="The file to write; by default beside the input.")
]


def hear(
    file: Annotated[Path, typer.Argument(metavar="FILE", readable=False, help="The recording, sound or video.")],
    model: options.Model = "tiny.en",
    out: Result = None,
) -> None:
    """Stage 1: hear a recording. Writes NAME.transcript.json, every word with its time.

    \b
    Examples:
      plycue hear lesson.webm
      plycue hear lesson.webm --model base --out base.transcript.json
    """
    from functools import partial

    from cli.job import lesson_name
    from cli.progress import HEARING, stage_bars
    from cli.targets import check_file, check_folder
    from sync.mentions.second_hearing import hear_again
    from sync.publish import TRANSCRIPT_SUFFIX
    from sync.recording import probe
    from sync.transcript import hear as hear_recording
    from sync.transcript import write_transcript

    recording = probe(file)
    target = out or file.with_name(f"{lesson_name(file)}{TRANSCRIPT_SUFFIX}")
    check_file(target, file)
    check_folder(target.parent)
    with stage_bars([file.name]) as bars:
        update = partial(bars.watch(0).update, HEARING)
        heard = hear_recording(recording, model, update, warn=lambda warning: complain(f"warning: {warning}"))
    transcript = hear_again(heard, recording, model)
    write_transcript(transcript, target)
    typer.echo(target)


def spot(transcript: Transcript, out: Result = None) -> None:
    """Stage 2: spot the words that may name a move. Writes NAME.mentions.json.

    \b
    Example:
      plycue spot lesson.transcript.json
    """
    from cli.job import lesson_name
    from cli.mentions import mentions_json
    from cli.targets import check_file
    from sync.atomic import write_text
    from sync.mentions import spot as spot_mentions
    from sync.transcript import read_transcript

    target = out or transcript.with_name(f"{lesson_name(transcript)}.mentions.json")
    check_file(target, transcript)
    mentions = spot_mentions(read_transcript(transcript))
    write_text(target, mentions_json(mentions))
    typer.echo(target)


def follow(
    transcript: Transcript,
    game: options.Game = None,
    start: options.Start = None,
    recording: options.Recording = None,
    title: options.Title = None,
    speaker: options.Speaker = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Folder to write to; by default the transcript's.")
    ] = None,
) -> None:
    """Stage 3: follow the talk through the game tree. Writes the project NAME.plycue.json and NAME.transcript.json.

    \b
    Examples:
      plycue follow lesson.transcript.json --recording lesson.webm
      plycue follow captions.vtt --game game.pgn --out lesson
    """
    from cli.job import Given, follow_talk, know, lesson_name
    from cli.progress import stage_bars
    from cli.targets import check_transcript
    from sync.atomic import alone_in
    from sync.files.page.write import check_name
    from sync.publish import TRANSCRIPT_SUFFIX, write_project
    from sync.recording import probe
    from sync.transcript import read_transcript

    known = know(Given(game, start, title, speaker or ""))
    read = read_transcript(transcript)
    heard_from = probe(recording) if recording else None
    folder, name = out or transcript.parent, lesson_name(transcript)
    check_name(name)
    check_transcript(folder / f"{name}{TRANSCRIPT_SUFFIX}", transcript)
    with stage_bars([transcript.name]) as bars:
        lesson, followed = follow_talk(read, heard_from, known, name, bars.watch(0))
    with alone_in(folder):
        paths = write_project(lesson, followed, known.settings, folder, name)
    for path in paths:
        typer.echo(path)


def write(
    project: options.Project,
    recording: options.Recording = None,
    single_page: options.SinglePage = False,
    link: options.Link = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Folder to write to; by default the project's.")
    ] = None,
) -> None:
    """Stage 4: write PGN, captions, chapters and the page of a project.

    \b
    Examples:
      plycue write lesson.plycue.json --recording lesson.webm
      plycue write lesson.plycue.json --link "https://videos.example/watch?id=12&t={seconds}" --out public
    """
    from cli.job import lesson_name, load
    from sync.publish import Page, write_lesson

    lesson, transcript = load(project)
    page = Page(recording, link, single_page)
    for path in write_lesson(lesson, transcript, out or project.parent, lesson_name(project), page):
        typer.echo(path)
