"""`plycue score`: how far a produced game is from the true one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cli import options


def score(
    produced: Annotated[
        Path, typer.Argument(metavar="PRODUCED", readable=False, help="PGN with side lines and [%cue] times.")
    ],
    truth: Annotated[
        Path, typer.Argument(metavar="TRUTH", readable=False, help="PGN of the true game, in the same form.")
    ],
    as_json: options.Json = False,
) -> None:
    """Tell how far a produced game is from the true one: moves, side lines, times.

    \b
    Examples:
      plycue score lesson/lesson.pgn truth.pgn
      plycue score lesson/lesson.pgn truth.pgn --json

    In TRUTH each move may have the time at which it is first named: {[%cue 0:01:23.450]}. The moves after the last one
    that was played open with the comment "Only considered:".
    """
    from sync.files.score import score_files, score_json, score_table

    scores = score_files(produced, truth)
    typer.echo(score_json(scores) if as_json else score_table(scores), nl=False)
