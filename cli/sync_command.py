"""`plycue sync`: the whole job."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli import options
from cli.exits import SOME_FAILED, complain
from sync.errors import InputError

if TYPE_CHECKING:
    from cli.crew import End
    from cli.job import Job


def sync(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE", readable=False, help="Recordings (sound or video), or transcripts (.vtt .srt .json .txt)."
        ),
    ],
    game: options.Game = None,
    start: options.Start = None,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Folder for the files; with several FILEs a folder NAME in it for each. By default a folder NAME "
            "beside each FILE.",
        ),
    ] = None,
    model: options.Model = "tiny.en",
    transcript: Annotated[
        Path | None,
        typer.Option(
            metavar="TRANSCRIPT",
            readable=False,
            help="Captions or a transcript of FILE, to be read instead of hearing it.",
        ),
    ] = None,
    title: options.Title = None,
    speaker: options.Speaker = None,
    single_page: options.SinglePage = False,
    link: options.Link = None,
    as_json: options.Json = False,
) -> None:
    """Hear recordings, follow their games, and write all files.

    \b
    For each FILE named NAME.* it writes into DIR:
      NAME.pgn                     the game with side lines, comments and times
      NAME.vtt, NAME.srt           captions
      NAME.chapters.vtt, .txt      chapters
      page/index.html              the page, with all that it needs: upload this folder (or NAME.html)
      NAME.plycue.json             the project, for corrections and for writing the files again
      NAME.transcript.json         what was heard, word by word

    \b
    Examples:
      plycue sync lesson.webm
      plycue sync lesson.mp4 --game game.pgn --out public
      plycue sync endgame.wav --start "8/8/4k3/8/8/4K3/4P3/8 w - - 0 1"
      plycue sync lesson.mp3 --link "https://videos.example/watch?id=12&t={seconds}"
      plycue sync lesson.mp4 --transcript captions.srt
      plycue sync *.webm --out lessons

    What was heard is kept: the same again costs nothing, and a run stopped by Ctrl-C goes on where it was. A FILE that
    cannot be used is told and passed over; the exit code is then 1, or 2 when none could be done.
    """
    from cli.crew import work
    from cli.job import Given, Job
    from cli.progress import stage_bars

    of_one = {"--game": game, "--start": start, "--transcript": transcript, "--title": title, "--link": link}
    if len(files) > 1 and (told := [name for name, value in of_one.items() if value is not None]):
        raise InputError(f"{told[0]} is about one recording: give one FILE with it")
    given = Given(game, start, title, speaker or "")
    jobs = [
        Job(file, place, model, transcript, given, link, single_page)
        for file, place in zip(files, folders(files, out), strict=True)
    ]
    ends = []
    with stage_bars([job.file.name for job in jobs]) as bars:
        for job, end in zip(jobs, work(jobs, bars), strict=True):
            with bars.aside():
                tell(job, end, quiet=as_json)
            ends.append(end)
    done = sum(end.code == 0 for end in ends)
    if as_json:
        typer.echo(json.dumps([end.told for end in ends], indent=1, ensure_ascii=False))
    elif len(jobs) > 1:
        typer.echo(f"{done} of {len(jobs)} files done")
    if done < len(jobs):
        raise typer.Exit(SOME_FAILED if done else max(end.code for end in ends))


def folders(files: list[Path], out: Path | None) -> list[Path]:
    """Where the files of each FILE go. Raises InputError when two would go to one place."""
    from cli.job import lesson_name

    if out is None:
        places = [file.parent / lesson_name(file) for file in files]
    elif len(files) == 1:
        places = [out]
    else:
        places = [out / lesson_name(file) for file in files]
    twice = [place for place, count in Counter(place.resolve() for place in places).items() if count > 1]
    if twice:
        raise InputError(f"two of the files would both be written to {twice[0]}: rename one, or give them one by one")
    return places


def tell(job: Job, end: End, *, quiet: bool) -> None:
    for line in end.complaints:
        complain(line)
    if end.code or quiet:
        return
    told = end.told
    typer.echo(
        f"{job.file}: {told['played']} plies played, {told['considered']} only considered, {told['unsure']} unsure"
    )
    typer.echo(f"  {job.out}")
