"""How well a mention names a legal move: a cost in nats, the negative logarithm of P(words | move)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import chess

from sync.mentions.mention import Costs, Mention

FAR = 7.5
"""A move that costs more is not named by the mention at all."""

UNSAID_PIECE = (0.0, 0.3, 3.2, 3.2, 3.2, 3.6, 3.0)
"""A square without a piece's name, by piece type: normal for a pawn only (FIDE Laws, Appendix C 3)."""
UNSAID_PIECE_VERB = (0.0, 1.5, 1.0, 1.0, 1.0, 1.0, 1.0)
"""The same after a verb or "back" ("drops back to d7"), where pronouns stand for pieces."""
UNSAID_TAKES = (0.0, 4.0, 1.8, 1.8, 1.8, 1.8, 1.8)
"""A capture told without a word for taking, by piece type."""
TAKES_NOTHING = 7.0
PAWN_TAKES_UNSAID_FILE = 1.0
"""A pawn takes on a square and neither "pawn" nor its file is said ("takes on d4")."""
WRONG_TRADE = 4.0
CASTLE_UNSAID = 9.0
CASTLE_SIDE_WRONG = 5.0
CASTLE_SIDE_UNSAID = (0.3, 0.9)
PROMOTION_UNSAID = (1.5, 5.0)
PROMOTION_WRONG = 5.0
PROMOTION_NOTHING = 8.0
CHECK_NOT_GIVEN = 3.5
MATE_NOT_GIVEN = 4.0
NOT_BACK = 1.5
NOT_EN_PASSANT = 7.0
NOT_DOUBLE = 5.0


@dataclass(frozen=True, slots=True)
class Named:
    """A legal move and what it costs that the mention names it."""

    move: chess.Move
    cost: float


def named_moves(mention: Mention, board: chess.Board) -> tuple[Named, ...]:
    """The legal moves that the mention may name, cheapest first; ties in the order of from-square, to-square.

    """
    if mention.line:
        return ()
    found = []
    for move in _candidates(mention, board):
        cost = mention.cost + _cost(mention, board, move)
        if cost < FAR:
            cost += _check_cost(mention, board, move)
        if cost < FAR:
            found.append(Named(move, cost))
    found.sort(key=lambda named: (named.cost, named.move.from_square, named.move.to_square, named.move.promotion or 0))
    return tuple(found)


def may_name(mention: Mention, board: chess.Board, move: chess.Move) -> bool:
    """A quick look whether a legal move is worth pricing."""
    if mention.to is not None and mention.to[move.to_square] >= FAR:
        return False
    if mention.piece is not None:
        return mention.piece[board.piece_type_at(move.from_square) or chess.PAWN] < 1.0
    return True


def _candidates(mention: Mention, board: chess.Board) -> Iterator[chess.Move]:
    """Legal moves worth pricing: those on squares and with pieces that are cheap for the mention."""
    if mention.castle:
        yield from board.generate_castling_moves()
        return
    movers = chess.BB_ALL
    if mention.piece:
        movers = _pieces(mention, board)
    targets = chess.BB_ALL
    if mention.to:
        targets = _mask(mention.to, FAR - mention.cost)
    if mention.takes:
        captures = board.occupied_co[not board.turn]
        if board.ep_square is not None:
            captures |= chess.BB_SQUARES[board.ep_square]
        targets &= captures
    if not targets:
        return
    if mention.piece and mention.to and not mention.takes:
        yield from board.generate_legal_moves(chess.BB_ALL & ~movers, targets & _mask(mention.to, 1.0))
    if movers & board.occupied_co[board.turn]:
        yield from board.generate_legal_moves(movers, targets)


def _pieces(mention: Mention, board: chess.Board) -> int:
    assert mention.piece
    mask = 0
    for piece in chess.PIECE_TYPES:
        if mention.piece[piece] < 1.0:
            mask |= board.pieces_mask(piece, board.turn)
    return mask


@lru_cache(maxsize=8192)
def _mask(costs: Costs, below: float) -> int:
    return sum(chess.BB_SQUARES[square] for square, cost in enumerate(costs) if cost < below)


def _cost(mention: Mention, board: chess.Board, move: chess.Move) -> float:
    piece = board.piece_type_at(move.from_square) or chess.PAWN
    if board.is_castling(move):
        return _castling_cost(mention, move)
    if mention.castle:
        return CASTLE_UNSAID
    capture = board.is_capture(move)
    cost = _piece_cost(mention, piece, capture)
    if mention.to:
        cost += mention.to[move.to_square]
    if mention.origin:
        cost += mention.origin[move.from_square]
    if mention.takes and not capture:
        cost += TAKES_NOTHING
    if capture and not mention.takes:
        cost += UNSAID_TAKES[piece]
    if mention.victim:
        victim = board.piece_type_at(move.to_square) or chess.PAWN
        cost += mention.victim[victim]
        if mention.trade and victim != piece:
            cost += WRONG_TRADE
    cost += _promotion_cost(mention, move)
    if mention.en_passant and not board.is_en_passant(move):
        cost += NOT_EN_PASSANT
    if mention.back and not mention.takes and not _is_back(board.turn, move):
        cost += NOT_BACK
    if mention.double and (piece != chess.PAWN or abs(move.to_square - move.from_square) != 16):
        cost += NOT_DOUBLE
    return cost


def _piece_cost(mention: Mention, piece: int, capture: bool) -> float:
    if mention.piece:
        return mention.piece[piece]
    if mention.form in ("takes", "takes-piece", "takes-en-passant"):
        return 0.0
    if mention.form in ("move-square", "back-square"):
        return UNSAID_PIECE_VERB[piece]
    if mention.form == "takes-square":
        return PAWN_TAKES_UNSAID_FILE if piece == chess.PAWN else 0.5
    return UNSAID_PIECE[piece]


def _castling_cost(mention: Mention, move: chess.Move) -> float:
    short = chess.square_file(move.to_square) > 4
    if not mention.castle:
        return CASTLE_UNSAID if not (mention.to and mention.piece) else mention.to[move.to_square] + 4.0
    if mention.castle == "any":
        return CASTLE_SIDE_UNSAID[not short]
    return 0.0 if (mention.castle == "king") == short else CASTLE_SIDE_WRONG


def _promotion_cost(mention: Mention, move: chess.Move) -> float:
    if mention.promotion is None:
        return 0.0 if move.promotion is None else PROMOTION_UNSAID[move.promotion != chess.QUEEN]
    if move.promotion is None:
        return PROMOTION_NOTHING
    return 0.0 if move.promotion == mention.promotion else PROMOTION_WRONG


def _check_cost(mention: Mention, board: chess.Board, move: chess.Move) -> float:
    if not (mention.check or mention.mate):
        return 0.0  # a check need not be said
    if not board.gives_check(move):
        return CHECK_NOT_GIVEN * mention.check + MATE_NOT_GIVEN * mention.mate
    if not mention.mate:
        return 0.0
    board.push(move)
    mate = board.is_checkmate()
    board.pop()
    return 0.0 if mate else MATE_NOT_GIVEN


def _is_back(turn: chess.Color, move: chess.Move) -> bool:
    forward = chess.square_rank(move.to_square) - chess.square_rank(move.from_square)
    return forward < 0 if turn == chess.WHITE else forward > 0
