"""How well a mention names a legal move: a cost in nats, the negative logarithm of P(words | move)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import chess

from sync.mentions.mention import Costs, Mention

FAR = 7.5
"""A move that costs more is not named by the mention at all."""

UNSAID_PIECE = (0.0, 0.3, 4.5, 4.5, 4.5, 4.5, 4.0)
"""A square without a piece's name, by piece type: normal for a pawn only (FIDE Laws, Appendix C 3)."""
UNSAID_PIECE_VERB = (0.0, 1.5, 1.0, 1.0, 1.0, 1.0, 1.0)
"""The same after a verb or "back" ("drops back to d7"), where pronouns stand for pieces."""
UNSAID_PIECE_FROM = (0.0, 0.0, 0.5, 0.5, 0.5, 0.5, 0.5)
"""The same where the square it comes from is said: that tells the piece."""
UNSAID_TAKES = (0.0, 4.0, 1.8, 1.8, 1.8, 1.8, 1.8)
"""A capture told without a word for taking, by piece type."""
TAKES_NOTHING = 7.0
PAWN_TAKES_UNSAID_FILE = 1.0
"""A pawn takes on a square and neither "pawn" nor its file is said ("takes on d4")."""
WRONG_TRADE = 4.0
CASTLE_UNSAID = 9.0
CASTLE_SIDE_WRONG = 5.0
CASTLE_SIDE_UNSAID = (0.3, 0.9)
PROMOTION_UNSAID = (0.9, 5.0)
PROMOTION_WRONG = 5.0
PROMOTION_NOTHING = 8.0
CHECK_NOT_GIVEN = 3.5
MATE_NOT_GIVEN = 4.0
NOT_BACK = 1.5
NOT_EN_PASSANT = 7.0
OTHER_STEPS = 5.0


@dataclass(frozen=True, slots=True)
class Named:
    """A legal move and what it costs that the mention names it."""

    move: chess.Move
    cost: float


@dataclass(frozen=True, slots=True)
class Facts:
    """A legal move with what a name of it may say. victim: piece type, 0 when nothing is taken."""

    move: chess.Move
    piece: int
    victim: int
    castling: bool
    en_passant: bool


class LegalMoves:
    """The legal moves of a position, found as mentions ask for them and kept. Made once, asked for many mentions."""

    __slots__ = ("_castling", "_onto", "board")

    def __init__(self, board: chess.Board) -> None:
        """board is kept, and must not change while this is in use."""
        self.board = board
        self._onto: dict[tuple[int, int], list[Facts]] = {}
        self._castling: list[Facts] | None = None

    @property
    def all(self) -> list[Facts]:
        return self.onto(chess.BB_ALL, chess.BB_ALL) + self.castling

    @property
    def castling(self) -> list[Facts]:
        if self._castling is None:
            board = self.board
            moves = board.generate_castling_moves() if board.castling_rights else ()
            self._castling = [Facts(move, chess.KING, 0, True, False) for move in moves]
        return self._castling

    def onto(self, from_mask: int, to_mask: int) -> list[Facts]:
        """The moves other than castling from some squares to some squares."""
        key = from_mask, to_mask
        found = self._onto.get(key)
        if found is None:
            found = self._onto[key] = list(self._find(from_mask, to_mask))
        return found

    def _find(self, from_mask: int, to_mask: int) -> Iterator[Facts]:
        board = self.board
        for move in board.generate_legal_moves(from_mask, to_mask):
            piece = board.piece_type_at(move.from_square) or chess.PAWN
            if piece == chess.KING and abs(move.from_square - move.to_square) == 2:
                continue
            passing = (
                piece == chess.PAWN
                and move.to_square == board.ep_square
                and (move.from_square - move.to_square) % 8 != 0
            )
            victim = chess.PAWN if passing else board.piece_type_at(move.to_square) or 0
            yield Facts(move, piece, victim, False, passing)

    def named(self, mention: Mention) -> tuple[Named, ...]:
        """The moves that the mention may name, cheapest first; ties in the order of from-square, to-square."""
        if mention.line:
            return ()
        found = []
        room = FAR - mention.cost
        for facts in self._candidates(mention, room):
            cost = _cost(mention, self.board, facts)
            if cost < room and (mention.check or mention.mate):
                cost += _check_cost(mention, self.board, facts.move)
            if cost < room:
                found.append(Named(facts.move, cost + mention.cost))
        if len(found) > 1:
            found.sort(key=_order)
        return tuple(found)

    def _candidates(self, mention: Mention, room: float) -> Sequence[Facts]:
        if mention.castle:
            return self.castling
        near = self.onto(self._from_mask(mention, room), self._to_mask(mention, room))
        if mention.to is None or (mention.piece and mention.piece[chess.KING] < 1.0):
            return near + self.castling
        return near

    def _from_mask(self, mention: Mention, room: float) -> int:
        board = self.board
        mask = board.occupied_co[board.turn]
        if mention.piece is None:
            return mask
        of_types = chess.BB_EMPTY
        for piece in chess.PIECE_TYPES:
            if mention.piece[piece] < room:
                of_types |= board.pieces_mask(piece, board.turn)
        return of_types

    def _to_mask(self, mention: Mention, room: float) -> int:
        mask = cheap_squares(mention.to, room) if mention.to else chess.BB_ALL
        if not mention.takes:
            return mask
        board = self.board
        passing = chess.BB_SQUARES[board.ep_square] if board.ep_square is not None else chess.BB_EMPTY
        return mask & (board.occupied_co[not board.turn] | passing)


def _order(named: Named) -> tuple[float, int, int, int]:
    return named.cost, named.move.from_square, named.move.to_square, named.move.promotion or 0


def named_moves(mention: Mention, board: chess.Board) -> tuple[Named, ...]:
    """The legal moves of a position that the mention may name, cheapest first."""
    return LegalMoves(board).named(mention)


def may_name(mention: Mention, board: chess.Board, move: chess.Move) -> bool:
    """A quick look whether a legal move is worth pricing."""
    if mention.to is not None and mention.to[move.to_square] >= FAR:
        return False
    if mention.piece is not None:
        return mention.piece[board.piece_type_at(move.from_square) or chess.PAWN] < 1.0
    return True


@lru_cache(maxsize=8192)
def cheap_squares(costs: Costs, below: float) -> chess.Bitboard:
    """The squares that cost less."""
    mask = chess.BB_EMPTY
    for square, cost in enumerate(costs):
        if cost < below:
            mask |= chess.BB_SQUARES[square]
    return mask


def _cost(mention: Mention, board: chess.Board, facts: Facts) -> float:
    move = facts.move
    if facts.castling:
        return _castling_cost(mention, move)
    if mention.castle:
        return CASTLE_UNSAID
    piece = facts.piece
    cost = mention.piece[piece] if mention.piece else _unsaid_piece(mention, piece)
    if mention.to:
        cost += mention.to[move.to_square]
    if mention.origin:
        cost += mention.origin[move.from_square]
    if mention.takes != bool(facts.victim):
        cost += TAKES_NOTHING if mention.takes else UNSAID_TAKES[piece]
    if cost > FAR:
        return cost
    if mention.victim:
        cost += mention.victim[facts.victim or chess.PAWN]
        if mention.trade and facts.victim != piece:
            cost += WRONG_TRADE
    if mention.promotion is not None or move.promotion is not None:
        cost += _promotion_cost(mention, move)
    if mention.en_passant and not facts.en_passant:
        cost += NOT_EN_PASSANT
    if mention.back and not mention.takes and not _is_back(board.turn, move):
        cost += NOT_BACK
    if mention.steps and (piece != chess.PAWN or abs(move.to_square - move.from_square) != 8 * mention.steps):
        cost += OTHER_STEPS
    return cost


def _unsaid_piece(mention: Mention, piece: int) -> float:
    if mention.form in ("takes", "takes-piece", "takes-en-passant"):
        return 0.0
    if mention.form in ("square-square", "square-takes-square"):
        return UNSAID_PIECE_FROM[piece]
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
