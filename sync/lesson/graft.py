"""What a fix does to the trees at once, before the talk is followed again; and what else became different by it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import chess

from sync.follow.fixes import Fix
from sync.lesson.edits import Line, is_legal, line_of, lines_of
from sync.lesson.lesson import Game, Moment, Ply


@dataclass(frozen=True, slots=True)
class Reading:
    """What words are read as: a move, from where, and whether it was played."""

    line: Line
    san: str
    label: str
    played: bool


@dataclass(frozen=True, slots=True)
class Change:
    """Words that are read otherwise than before. at: seconds. None: as no move."""

    at: float
    heard: str
    before: Reading | None
    after: Reading | None


@dataclass(frozen=True, slots=True)
class Changes:
    """readings: words that are read as another move or otherwise played; moved: how many moments only stand after other
    moves than before."""

    readings: tuple[Change, ...]
    moved: int


def readings(games: Iterable[Game]) -> dict[float, tuple[str, Reading]]:
    """By the time of each moment its words and how they are read."""
    found: dict[float, tuple[str, Reading]] = {}
    for game in games:
        lines = {ply.id: line for line, ply in lines_of(game).items()}
        labels = labels_of(game)
        for ply in game.plies:
            for moment in ply.moments:
                found[moment.start] = moment.heard, Reading(lines[ply.id], ply.san, labels[ply.id], ply.played)
    return found


def labels_of(game: Game) -> dict[int, str]:
    """Each ply's move with its number: "12.Nf3", "12...Qc7"."""
    labels = {}
    for ply, board in game.boards():
        black = board.turn == chess.WHITE
        labels[ply.id] = f"{board.fullmove_number - black}{'...' if black else '.'}{ply.san}"
    return labels


def changes(before: Sequence[Game], after: Sequence[Game], fix: Fix | None = None) -> Changes:
    """What is read otherwise in the games after than before, besides the words of the fix, in time order."""
    old, new = readings(before), readings(after)
    found = []
    moved = 0
    for at in sorted({*old, *new}):
        if fix is not None and fix.start <= at < fix.end:
            continue
        heard, was = old.get(at, ("", None))
        now_heard, now = new.get(at, ("", None))
        if was == now:
            continue
        if was and now and (was.san, was.played) == (now.san, now.played):
            moved += 1
            continue
        found.append(Change(at, heard or now_heard, was, now))
    return Changes(tuple(found), moved)


def grafted(game: Game, fix: Fix, moment: Moment) -> Game:
    """The game with a fix made by hand: what the fix names stands where it belongs, and what led through the misheard
    move leads through the new one as far as that is legal; the moments of what is not are left out.

    moment: the words of the fix, for a move that was read nowhere so far.
    """
    old = next((ply for ply in game.plies for each in ply.moments if fix.start <= each.start < fix.end), None)
    old_line = line_of(game, old) if old else None
    base = fix.line if fix.line is not None else old_line[:-1] if old_line else None
    new_line = None if fix.uci is None or base is None else (*base, fix.uci)
    if new_line is not None and not is_legal(new_line, game.start_fen):
        new_line = None
    boards: dict[Line, chess.Board] = {(): chess.Board(game.start_fen)}
    for end in range(1, len(new_line or ()) + 1):
        _place((new_line or ())[:end], boards)
    alone = old is not None and len(old.moments) == 1
    lines = {ply.id: line for line, ply in lines_of(game).items()}
    moments: dict[Line, list[Moment]] = {}
    kept: dict[Line, Ply] = {}
    for ply in game.plies:
        line = lines[ply.id]
        if alone and old_line and new_line and line[: len(old_line)] == old_line:
            line = (*new_line, *line[len(old_line) :])
        if not _place(line, boards):
            continue
        kept.setdefault(line, ply)
        moments.setdefault(line, []).extend(
            each for each in ply.moments if not (fix.start <= each.start < fix.end)
        )
    played = {line for line, ply in kept.items() if ply.played}
    if new_line is not None:
        moments.setdefault(new_line, []).append(moment)
        if fix.role == "played":
            played = {line for line in played if line[: len(new_line)] == new_line}
            played |= {new_line[:end] for end in range(1, len(new_line) + 1)}
        elif fix.role == "considered":
            played -= {line for line in played if line[: len(new_line)] == new_line}
    return _tree(game, moments, kept, played, boards)


def _place(line: Line, boards: dict[Line, chess.Board]) -> bool:
    """Adds the position after a line to those that are known; False when it cannot be reached."""
    if line in boards:
        return True
    before = boards.get(line[:-1])
    if before is None or not before.is_legal(move := chess.Move.from_uci(line[-1])):
        return False
    boards[line] = before.copy(stack=False)
    boards[line].push(move)
    return True


def _tree(
    game: Game,
    moments: Mapping[Line, list[Moment]],
    kept: Mapping[Line, Ply],
    played: set[Line],
    boards: Mapping[Line, chess.Board],
) -> Game:
    """The game with plies for all lines that have moments, and for those between that have none."""
    wanted = {line[:end] for line, named in moments.items() if named for end in range(1, len(line) + 1)}
    first = {line: min((each.start for each in moments.get(line, [])), default=game.end) for line in wanted}
    ids: dict[Line, int | None] = {(): None}
    plies: list[Ply] = []
    for line in sorted(wanted, key=lambda line: (len(line), line not in played, first[line], line)):
        known = kept.get(line)
        ply = Ply(
            id=len(plies),
            parent=ids[line[:-1]],
            uci=line[-1],
            san=boards[line[:-1]].san(chess.Move.from_uci(line[-1])),
            played=line in played,
            inferred=not moments.get(line),
            moments=tuple(sorted(moments.get(line, []), key=lambda each: each.start)),
        )
        if known is not None and known.uci == ply.uci:
            ply = replace(ply, confidence=known.confidence, reason=known.reason, runners_up=known.runners_up,
                          nags=known.nags, comment=known.comment)  # fmt: skip
        ids[line] = ply.id
        plies.append(ply)
    return replace(game, plies=tuple(plies))
