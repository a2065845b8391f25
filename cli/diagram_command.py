"""`plycue diagram`: a position as a picture."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated

import typer

from cli import options

PNG = ".png"


def diagram(
    project: options.Project,
    position: Annotated[
        str,
        typer.Argument(metavar="POSITION", help='After a move ("12...Qc7"), after a ply ("24") or at a time ("1:23").'),
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="A .svg or (with pip install 'plycue[png]') a .png; by default NAME-POSITION.svg."
        ),
    ] = None,
    flipped: Annotated[bool, typer.Option("--flipped", help="Seen from black's side.")] = False,
    for_print: Annotated[bool, typer.Option("--print", help="Black on white, as in a book.")] = False,
    width: Annotated[int, typer.Option(min=64, max=4096, metavar="PIXELS", help="Width of the picture.")] = 480,
) -> None:
    """Draw a position of a lesson.

    \b
    Examples:
      plycue diagram lesson.plycue.json "15.dxe5"
      plycue diagram lesson.plycue.json 1:23 --flipped --out position.png --width 960
    """
    from cli.job import lesson_name, load
    from cli.targets import check_file
    from sync.atomic import write_bytes
    from sync.files.diagram import PRINT, SCREEN, choose_position, diagram_png, diagram_svg

    lesson, _ = load(project)
    chosen = choose_position(lesson, position)
    palette = PRINT if for_print else SCREEN
    svg = diagram_svg(chosen.board, last_move=chosen.move, flipped=flipped, palette=palette, size=width)
    plain = re.sub(r"[^\w]+", "-", position).strip("-")
    target = out or project.with_name(f"{lesson_name(project)}-{plain}.svg")
    check_file(target, project)
    write_bytes(target, diagram_png(svg, width) if target.suffix.lower() == PNG else svg.encode())
    typer.echo(target)
