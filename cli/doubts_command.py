"""`plycue doubts`: the doubtful places of a lesson."""

from __future__ import annotations

import json

import typer

from cli import options


def doubts(project: options.Project, as_json: options.Json = False) -> None:
    """List the doubtful places of a lesson, the least sure first.

    \b
    Examples:
      plycue doubts lesson.plycue.json
      plycue doubts lesson.plycue.json --json

    Each line tells the time, how sure the reading is, the words that were heard, the move they are read as, why it is
    not surer, and which other moves they may name.
    """
    from cli.desk.shown import doubts_shown
    from sync.lesson.doubts import doubts as find_doubts
    from sync.revise import open_project, revise

    opened = open_project(project)
    revision = revise(opened)
    ends = [word.end for word in revision.transcript.words]
    games = revision.lesson.games
    shown = doubts_shown(find_doubts(games, opened.edits, ends), games)
    if as_json:
        typer.echo(json.dumps(shown, indent=1, ensure_ascii=False))
        return
    for doubt in shown:
        others = ", ".join(san for _, san, _ in doubt["options"])
        clock = f"{int(doubt['at'] // 60)}:{doubt['at'] % 60:04.1f}"
        typer.echo(
            f"{clock:>8}  {doubt['confidence']:4.0%}  {doubt['label']:<10} {doubt['heard']!r}"
            + (f"  {doubt['reason']}" if doubt["reason"] else "")
            + (f"  (or {others})" if others else "")
        )
