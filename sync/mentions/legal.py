"""The legal moves of a position, as where each piece may go."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import chess

Reach = tuple[chess.Square, chess.PieceType, chess.Bitboard]
"""A piece's square, its type, and the squares it may go to. Of a pawn, where it takes and where it moves come apart."""


@cache
def ways(piece: chess.PieceType, square: chess.Square) -> chess.Bitboard:
    """Where a piece of either side may go from a square on an empty board; a pawn also takes."""
    board = chess.BaseBoard.empty()
    board.set_piece_at(square, chess.Piece(piece, chess.WHITE))
    attacked = board.attacks_mask(square)
    if piece != chess.PAWN:
        return attacked
    board.set_piece_at(square, chess.Piece(piece, chess.BLACK))
    return attacked | board.attacks_mask(square) | chess.BB_FILES[chess.square_file(square)]


def reaches(board: chess.Board) -> list[Reach]:
    """Where each piece of the side to move may legally go, castling apart, in the order of python-chess's moves."""
    if board.is_check() or board.king(board.turn) is None:
        return list(_by_library(board))
    rays = _pinning_rays(board)
    found = []
    for square, piece, targets in (*_pieces(board), *_pawns(board)):
        if chess.BB_SQUARES[square] & rays:
            targets &= board.pin_mask(board.turn, square)
        if targets:
            found.append((square, piece, targets))
    return [*found, *_passing(board)]


def _by_library(board: chess.Board) -> Iterator[Reach]:
    for move in board.generate_legal_moves():
        if move.promotion in (None, chess.QUEEN) and not board.is_castling(move):
            piece = board.piece_type_at(move.from_square) or chess.PAWN
            yield move.from_square, piece, chess.BB_SQUARES[move.to_square]


def _pinning_rays(board: chess.Board) -> chess.Bitboard:
    """The lines through the king on which the enemy has a piece that could pin another one."""
    king = board.king(board.turn)
    assert king is not None
    enemy, queens = board.occupied_co[not board.turn], board.queens
    rays = chess.BB_EMPTY
    for lines, sliders in (
        (chess.BB_RANK_ATTACKS[king][0], board.rooks | queens),
        (chess.BB_FILE_ATTACKS[king][0], board.rooks | queens),
        (chess.BB_DIAG_ATTACKS[king][0], board.bishops | queens),
    ):
        if lines & sliders & enemy:
            rays |= lines
    return rays


def _pieces(board: chess.Board) -> Iterator[Reach]:
    own = board.occupied_co[board.turn]
    for square in chess.scan_reversed(own & ~board.pawns):
        piece = board.piece_type_at(square) or chess.PAWN
        targets = board.attacks_mask(square) & ~own
        yield square, piece, _safe(board, targets) if piece == chess.KING else targets


def _safe(board: chess.Board, targets: chess.Bitboard) -> chess.Bitboard:
    """The squares that the other side does not attack."""
    enemy = not board.turn
    safe = chess.BB_EMPTY
    for square in chess.scan_forward(targets):
        if not board.attackers_mask(enemy, square):
            safe |= chess.BB_SQUARES[square]
    return safe


def _pawns(board: chess.Board) -> Iterator[Reach]:
    turn = board.turn
    pawns, enemy = board.pawns & board.occupied_co[turn], board.occupied_co[not turn]
    for square in chess.scan_reversed(pawns):
        yield square, chess.PAWN, chess.BB_PAWN_ATTACKS[turn][square] & enemy
    if turn == chess.WHITE:
        ahead = pawns << 8 & ~board.occupied
        further, step = (ahead & chess.BB_RANK_3) << 8 & ~board.occupied, 8
    else:
        ahead = pawns >> 8 & ~board.occupied
        further, step = (ahead & chess.BB_RANK_6) >> 8 & ~board.occupied, -8
    for square in chess.scan_reversed(ahead):
        yield square - step, chess.PAWN, chess.BB_SQUARES[square]
    for square in chess.scan_reversed(further):
        yield square - 2 * step, chess.PAWN, chess.BB_SQUARES[square]


def _passing(board: chess.Board) -> Iterator[Reach]:
    for move in board.generate_legal_ep() if board.ep_square is not None else ():
        yield move.from_square, chess.PAWN, chess.BB_SQUARES[move.to_square]
