"""A game's plies by what follows what, with the numbers a reader knows them by."""

from __future__ import annotations

from dataclasses import dataclass

import chess

from sync.lesson.lesson import Game, Ply


@dataclass(frozen=True, slots=True)
class Numbered:
    """number: the move's number; white: white moves; before: the position it is made in."""

    number: int
    white: bool
    before: chess.Board

    def __str__(self) -> str:
        return f"{self.number}." if self.white else f"{self.number}..."


def children_of(game: Game) -> dict[int | None, list[Ply]]:
    """The plies that follow each ply (None: the start position), in the game's order."""
    children: dict[int | None, list[Ply]] = {}
    for ply in game.plies:
        children.setdefault(ply.parent, []).append(ply)
    return children


def numbered(game: Game) -> dict[int, Numbered]:
    """By ply id."""
    boards: dict[int | None, chess.Board] = {None: chess.Board(game.start_fen)}
    boards |= {ply.id: board for ply, board in game.boards()}
    return {
        ply.id: Numbered(boards[ply.parent].fullmove_number, boards[ply.parent].turn, boards[ply.parent])
        for ply in game.plies
    }


def continuation(ply: Ply | None, following: list[Ply]) -> Ply | None:
    """The ply among following that goes on in the same line as ply: after a played ply only a played one."""
    if not following or (ply is not None and ply.played and not following[0].played):
        return None
    return following[0]
