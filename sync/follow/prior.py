"""What stands en prise in a position, and what a move brings about, without searching ahead."""

from __future__ import annotations

import chess

VALUES = (0, 1, 3, 3, 5, 9, 10)
"""Piece values in pawns by piece type (common practice, no source); the king's only orders captures by it last."""


def worth(board: chess.Board, square: chess.Square) -> int:
    """Of the piece on a square, 0 where there is none."""
    return VALUES[board.piece_type_at(square) or 0]


def en_prise(board: chess.Board) -> int:
    """Pawns' worth that the side to move wins at least by its best plain capture; 0 when it is in check.

    A capture is plain where the piece taken is not defended, or by one that is worth less.
    """
    if board.is_check():
        return 0
    mover = board.turn
    pins: dict[chess.Square, chess.Bitboard] = {}
    most = 0
    for square in chess.scan_forward(board.occupied_co[not mover] & ~board.kings):
        at_stake = worth(board, square)
        attackers = board.attackers_mask(mover, square) if at_stake > most else 0
        if not attackers:
            continue
        guarded = board.attackers_mask(not mover, square)
        if guarded and at_stake == 1:
            continue  # nothing is worth less
        least = VALUES[chess.KING] + 1
        for each in chess.scan_forward(attackers):
            if each not in pins:
                pins[each] = board.pin_mask(mover, each)
            if pins[each] & chess.BB_SQUARES[square]:
                least = min(least, worth(board, each))
        if least <= VALUES[chess.KING]:
            most = max(most, at_stake - least if guarded else at_stake)
    return most


LOSSES = tuple(f"loses={worth}{takes}" for worth in (0, 1, 3, 8) for takes in ("", "-takes"))
CHECKS = ("check", "mate")
"""The names of effects: one of the first, and any of the second."""


def effects(board: chess.Board, move: chess.Move, after: chess.Board) -> tuple[str, ...]:
    """Names of what a legal move brings about. after: the position that it leads to."""
    loss = en_prise(after)
    named = "loses=0" if loss < 1 else "loses=1" if loss < 3 else "loses=3" if loss < 8 else "loses=8"
    found = [named + "-takes" if board.is_capture(move) else named]
    if after.is_check():
        found.append("check")
        if after.is_checkmate():
            found.append("mate")
    return tuple(found)
