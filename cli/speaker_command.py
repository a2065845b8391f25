"""`plycue speaker`: what was learnt about speakers' words."""

from __future__ import annotations

from typing import Annotated

import typer


def speaker(
    name: Annotated[str | None, typer.Argument(metavar="NAME", help="The speaker; without it all are listed.")] = None,
    forget: Annotated[bool, typer.Option("--forget", help="Delete what was learnt about the speaker.")] = False,
) -> None:
    """Show what was learnt about a speaker's words, or delete it. Without NAME, list the speakers.

    \b
    Examples:
      plycue speaker "Greta"
      plycue speaker "Greta" --forget
    """
    from sync.lesson.speaker import forget_speaker, known_speakers, load_speaker

    if name is None:
        for each in known_speakers():
            typer.echo(each)
        return
    if forget:
        forget_speaker(name)
        return
    for form in load_speaker(name).forms:
        typer.echo(f"{form.heard} -> {form.means}")
