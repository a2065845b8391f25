"""How natural a move is in a position before anything is said about it, without searching ahead."""

from __future__ import annotations

from collections.abc import Callable

import chess

VALUES = (0, 1, 3, 3, 5, 9, 10)
"""Piece values in pawns by piece type (common practice, no source); the king's only orders captures by it last."""
PIECES = ("", *(f"piece={chess.piece_name(piece)}" for piece in chess.PIECE_TYPES))
"""The trait of each piece type."""
CENTRE = chess.BB_D4 | chess.BB_E4 | chess.BB_D5 | chess.BB_E5
HOME_MINORS = (
    chess.BB_B1 | chess.BB_C1 | chess.BB_F1 | chess.BB_G1 | chess.BB_B8 | chess.BB_C8 | chess.BB_F8 | chess.BB_G8
)


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
        worth = VALUES[board.piece_type_at(square) or 0]
        attackers = board.attackers_mask(mover, square) if worth > most else 0
        if not attackers:
            continue
        guarded = board.attackers_mask(not mover, square)
        if guarded and worth == 1:
            continue  # nothing is worth less
        least = VALUES[chess.KING] + 1
        for each in chess.scan_forward(attackers):
            if each not in pins:
                pins[each] = board.pin_mask(mover, each)
            if pins[each] & chess.BB_SQUARES[square]:
                least = min(least, VALUES[board.piece_type_at(each) or 0])
        if least <= VALUES[chess.KING]:
            most = max(most, worth - least if guarded else worth)
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


Attackers = Callable[[chess.Color, chess.Square], chess.Bitboard]
"""As Board.attackers_mask: the pieces of a side that attack a square."""


def traits(
    board: chess.Board,
    move: chess.Move,
    last: chess.Move | None,
    own_last: chess.Move | None,
    attackers_of: Attackers | None = None,
) -> list[str]:
    """Names of what is so about a legal move; last and own_last are the two moves before it, where they are known.

    attackers_of: the position's attackers_mask where it is asked about many moves, with its answers kept.
    """
    attackers_of = attackers_of or board.attackers_mask
    piece = board.piece_type_at(move.from_square) or chess.PAWN
    found = [PIECES[piece]]
    target = move.to_square
    enemy = not board.turn
    victim = board.piece_type_at(target)
    attackers = attackers_of(enemy, target)
    if target == board.ep_square and board.is_en_passant(move):
        victim = chess.PAWN
    if victim:
        found.append("takes")
        if last and last.to_square == target:
            found.append("takes-back")
        gain = VALUES[victim] - (VALUES[piece] if attackers else 0)
        found.append("wins" if gain > 0 else "trades" if gain == 0 else "gives")
    elif attackers:
        pawns = attackers & board.pawns
        if piece != chess.PAWN and pawns:
            found.append("onto-pawn")
        elif piece != chess.PAWN and not attackers_of(board.turn, target) & ~chess.BB_SQUARES[move.from_square]:
            found.append("hangs")
    attacked = attackers_of(enemy, move.from_square)
    if attacked and piece != chess.PAWN:
        lower = any(VALUES[board.piece_type_at(square) or 0] < VALUES[piece] for square in chess.scan_forward(attacked))
        if lower or not attackers_of(board.turn, move.from_square):
            found.append("leaves-attack")
    if piece == chess.KING:
        if board.is_castling(move):
            found.append("castles")
        elif board.fullmove_number < 15 and not board.is_check():
            found.append("early-king")
    if move.promotion:
        found.append("queens" if move.promotion == chess.QUEEN else "underpromotes")
    if piece == chess.PAWN and chess.BB_SQUARES[target] & CENTRE:
        found.append("centre-pawn")
    if piece in (chess.KNIGHT, chess.BISHOP) and chess.BB_SQUARES[move.from_square] & HOME_MINORS:
        found.append("develops")
    if own_last and own_last.to_square == move.from_square:
        found.append("same-piece")
        if own_last.from_square == target:
            found.append("undoes")
    if piece in (chess.KNIGHT, chess.ROOK):
        others = board.pieces_mask(piece, board.turn) & ~chess.BB_SQUARES[move.from_square]
        if others and others & attackers_of(board.turn, target):
            found.append("twin")
    return found
