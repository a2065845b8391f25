"""`plycue page`: the viewer's page alone."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cli import options


def page(
    project: options.Project,
    recording: options.Recording = None,
    single_page: options.SinglePage = False,
    link: options.Link = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="Folder to write to; by default the project's."),
    ] = None,
) -> None:
    """Write the page of a project alone: page/index.html with what it needs, or NAME.html.

    \b
    Examples:
      plycue page lesson.plycue.json --recording lesson.webm
      plycue page lesson.plycue.json --recording lesson.mp3 --single-page
    """
    from cli.job import lesson_name, load
    from sync.publish import Page, write_lesson_page

    lesson, transcript = load(project)
    folder = out or project.parent
    page = Page(recording, link, single_page)
    typer.echo(write_lesson_page(lesson, transcript, folder, lesson_name(project), page))
