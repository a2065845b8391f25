"""The command `plycue`.

Modules of the commands import what is heavy only when they run, so that help is there at once.
"""

from __future__ import annotations

import os
import sys
from io import TextIOWrapper
from typing import Annotated

import typer

from cli.diagram_command import diagram
from cli.doubts_command import doubts
from cli.exits import Commands, refused
from cli.fix_command import fix
from cli.page_command import page
from cli.review_command import review
from cli.score_command import score
from cli.speaker_command import speaker
from cli.stage_commands import follow, hear, spot, write
from cli.sync_command import sync

# Several lessons are followed at once: numpy's threads would wait for each other, and one is quick enough.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

HELP = """Turn a recording of a narrated chess lesson into PGN, captions, chapters and a page that follows the talk.

\b
  plycue sync lesson.webm
  plycue COMMAND --help

Everything runs on this machine; nothing is sent or fetched.

\b
Exit codes:
  0    done
  1    some of several files could not be done, all others are
  2    a file or an option cannot be used
  3    a fault of this program
  130  stopped by Ctrl-C; what was heard is kept
"""

app = typer.Typer(
    name="plycue",
    cls=Commands,
    help=HELP,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["--help", "-h"]},
)
for command in (sync, hear, spot, follow, write, page, diagram, score, review, doubts, fix, speaker):
    app.command()(command)


def show_version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        typer.echo(f"plycue {version('plycue')}")
        raise typer.Exit


@app.callback()
def plycue(
    version: Annotated[
        bool, typer.Option("--version", callback=show_version, is_eager=True, help="Tell the version and stop.")
    ] = False,
) -> None:
    pass


def main() -> None:
    for stream in (sys.stdout, sys.stderr):
        # A name that the terminal's encoding does not have must not end a job that is done.
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        app()
    except OSError as error:  # help that cannot be written
        sys.exit(refused(error))
