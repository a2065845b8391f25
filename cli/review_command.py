"""`plycue review`: the editor's desk."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli import options
from sync.errors import InputError

if TYPE_CHECKING:
    from sync.lesson import Media


def review(
    project: options.Project,
    recording: options.Recording = None,
    link: options.Link = None,
    port: Annotated[int, typer.Option(min=0, max=65535, metavar="PORT", help="By default one that is free.")] = 0,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Only tell the address.")] = False,
) -> None:
    """Open the editor's desk: go through the doubtful places of a lesson, and edit all that is published.

    \b
    Examples:
      plycue review lesson.plycue.json
      plycue review lesson.plycue.json --recording ../lesson.webm

    The desk is a page that this command serves to this machine alone. Each edit is on the disk when the page says so.
    Ctrl-C ends it.
    """
    import webbrowser
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    from cli.desk.desk import Desk
    from cli.desk.run import begin_worker, listening, serve
    from cli.desk.server import new_token
    from sync.nearby import Vicinity
    from sync.publish import Page
    from sync.revise import follow_anew, open_project

    opened = open_project(project)
    media = recording or find_recording(project.parent, opened.project.computed.media)
    if media is not None and not media.is_file():
        raise InputError(f"no recording at {media}: check the path")
    socket = listening(port)
    token = new_token()
    # Two: a preview that nobody waits for any more does not hold up what was taken. Ctrl-C ends both at once.
    executor = ProcessPoolExecutor(2, get_context("spawn"), initializer=begin_worker)
    desk = Desk(opened, executor, follow_anew, Vicinity(), Page(None if link else media, link))
    address = f"http://127.0.0.1:{socket.getsockname()[1]}/{token}/"
    typer.echo(address)
    if not no_browser:
        webbrowser.open(address)
    try:
        serve(desk, media, token, socket)
    except KeyboardInterrupt:
        pass  # the way in which a desk is left
    finally:
        desk.close()
        executor.shutdown(wait=False, cancel_futures=True)


def find_recording(folder: Path, media: Media | None) -> Path | None:
    """The recording in the lesson's folder, where plycue sync puts it; None when it is not there."""
    if media is None:
        return None
    inside = folder.resolve()
    for place in (folder / media.name, folder / "page" / media.name):
        if place.is_file() and place.resolve().is_relative_to(inside):
            return place
    return None
