"""`plycue fix`: what the desk does, for scripts."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from cli import options
from sync.errors import InputError

if TYPE_CHECKING:
    from sync.lesson.edits import Edit
    from sync.revise import Opened, Revision


def fix(
    project: options.Project,
    at: Annotated[str | None, typer.Option(metavar="TIME", help="Where the words are said, such as 3:12.")] = None,
    move: Annotated[str | None, typer.Option(metavar="SAN", help="The move that they name.")] = None,
    not_a_move: Annotated[bool, typer.Option("--not-a-move", help="They name no move.")] = False,
    played: Annotated[bool, typer.Option("--played", help="The move was played in the game.")] = False,
    considered: Annotated[bool, typer.Option("--considered", help="The move was only considered.")] = False,
    same_as_before: Annotated[
        bool, typer.Option("--same-as-before", help="The move was named before, and is only named again.")
    ] = False,
    from_move: Annotated[
        str | None,
        typer.Option("--from", metavar="MOVE", help="The move that it follows, such as 14...Qc7, or start."),
    ] = None,
    words: Annotated[str | None, typer.Option(metavar="TEXT", help="What was said there.")] = None,
    comment: Annotated[str | None, typer.Option(metavar="TEXT", help="Comment to the move named there.")] = None,
    nag: Annotated[
        list[int] | None, typer.Option(metavar="NUMBER", help="Numeric annotation glyph of the move named there.")
    ] = None,
    edits: Annotated[
        Path | None,
        typer.Option(metavar="FILE", readable=False, help="Edits as JSON, one a line, as the project file has them."),
    ] = None,
    undo: Annotated[bool, typer.Option("--undo", help="Take the last edit back.")] = False,
    redo: Annotated[bool, typer.Option("--redo", help="Make the last undone edit again.")] = False,
    as_json: options.Json = False,
) -> None:
    """Put right what was misheard, without the desk. Tells what else is read otherwise because of it.

    \b
    Examples:
      plycue fix lesson.plycue.json --at 3:12 --move Nf3
      plycue fix lesson.plycue.json --at 3:12 --not-a-move
      plycue fix lesson.plycue.json --at 5:40 --move c5 --considered --from 1.e4
      plycue fix lesson.plycue.json --at 7:05 --words "the bishop, not the knight"
      plycue fix lesson.plycue.json --undo

    The files of the lesson are written anew by plycue write.
    """
    from sync.lesson.edits import MoveEdit
    from sync.revise import open_project, revise

    opened = open_project(project)
    before = revise(opened)
    number = opened.journal.history.number
    if undo or redo:
        opened.journal.undo(number) if undo else opened.journal.redo(number)
        made: list[Edit] = []
    else:
        roles = [name for name, chosen in (("played", played), ("considered", considered), ("repeat", same_as_before))
                 if chosen]  # fmt: skip
        if len(roles) > 1:
            raise InputError("--played, --considered and --same-as-before exclude each other: give one of them")
        role = roles[0] if roles else None
        made = _from_file(edits) if edits else []
        made += _asked(before, at, move, not_a_move, role, from_move, words, comment, nag)
        if not made:
            raise InputError("nothing to do: give --at TIME with what is right there, --edits, --undo or --redo")
        opened.journal.add(made, number)
    after = revise(opened)
    opened.save()
    mark = next((edit for edit in made if isinstance(edit, MoveEdit)), None)
    _tell(opened, before, after, mark, as_json)


def _asked(
    before: Revision,
    at: str | None,
    move: str | None,
    not_a_move: bool,
    role: str | None,
    from_move: str | None,
    words: str | None,
    comment: str | None,
    nag: list[int] | None,
) -> list[Edit]:
    """The edits that the options ask for."""
    from cli.desk.place import line_after, move_in, place_at, seconds_of
    from sync.lesson.edits import CommentEdit, MoveEdit, NagsEdit, WordsEdit

    told = move or not_a_move or role or words or comment is not None or nag
    if not told:
        return []
    if at is None:
        raise InputError("--at TIME is missing: tell where the words are said")
    if move and not_a_move:
        raise InputError("--move and --not-a-move exclude each other: give one of them")
    place = place_at(before, seconds_of(at))
    games = before.lesson.games
    found: list[Edit] = []
    was = place.ply.uci if place.ply else None
    if not_a_move:
        found.append(MoveEdit(place.at, place.end, None, None, None, was))
    elif move or role:
        if move is None and place.ply is None:
            raise InputError(f"no move is read at {at}: tell with --move which it is")
        game, line = line_after(before.lesson, from_move) if from_move else (place.game, place.line)
        uci = move_in(games[game], line, move or (place.ply.san if place.ply else "")).uci()
        found.append(MoveEdit(place.at, place.end, uci, role, line, was))
    if words:
        found.append(WordsEdit(place.at, place.end, words))
    if place.ply is None and (comment is not None or nag):
        raise InputError(f"no move is read at {at}: a comment or NAG needs one")
    if place.ply is not None:
        line = (*place.line, place.ply.uci)
        found += [CommentEdit(place.at, place.game, line, comment)] if comment is not None else []
        found += [NagsEdit(place.at, place.game, line, tuple(nag))] if nag else []
    return found


def _from_file(path: Path) -> list[Edit]:
    from sync.lesson.edits import edit_from_json

    try:
        lines = path.read_text(encoding="utf-8").splitlines()
        values = [json.loads(line) for line in lines if line.strip()]
    except (OSError, ValueError) as error:
        raise InputError(f"{path}: cannot be read as one JSON object a line ({error}); correct it") from error
    if not all(isinstance(value, dict) for value in values):
        raise InputError(f"{path}: every line must be a JSON object; correct it")
    return [edit_from_json(value) for value in values]


def _tell(opened: Opened, before: Revision, after: Revision, mark: Any, as_json: bool) -> None:
    from cli.desk.shown import changes_shown
    from sync.follow import Fix
    from sync.lesson.edits import edit_to_json
    from sync.lesson.graft import changes

    changed = changes(before.lesson.games, after.lesson.games, Fix(mark.at, mark.end) if mark else None)
    if as_json:
        told = {
            "edits": len(opened.edits),
            "changes": changes_shown(changed),
            "unfit": [{"edit": edit_to_json(unfit.edit), "why": unfit.why} for unfit in after.unfit],
        }
        typer.echo(json.dumps(told, indent=1, ensure_ascii=False))
        return
    typer.echo(f"{len(opened.edits)} edits; {len(changed.readings)} other places are read otherwise")
    for each in changed.readings:
        was, now = (reading.label if reading else "no move" for reading in (each.before, each.after))
        typer.echo(f"  {_clock(each.at)}  {each.heard!r}: {was} -> {now}")
    for unfit in after.unfit:
        typer.echo(f"  does not fit: {edit_to_json(unfit.edit)['kind']} at {_clock(unfit.edit.at)}: {unfit.why}")


def _clock(seconds: float) -> str:
    return f"{int(seconds // 60)}:{seconds % 60:04.1f}"
