"""How well a mention names a legal move: a cost in nats, the negative logarithm of P(words | move)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import chess

from sync.mentions.legal import Reach, reaches
from sync.mentions.mention import SQUARE_BY_VERB, Costs, Mention

FAR = 7.5
"""A move that costs more is not named by the mention at all."""
EXACT = 0.7
"""A move that costs less is one that the words stand for."""

UNSAID_PIECE = (0.0, 0.3, 4.5, 4.5, 4.5, 4.5, 4.0)
"""A square without a piece's name, by piece type: normal for a pawn only (FIDE Laws, Appendix C 3)."""
UNSAID_PIECE_VERB = (0.0, 1.5, 1.0, 1.0, 1.0, 1.0, 1.0)
"""The same after a verb or "back" ("drops back to d7"), where pronouns stand for pieces."""
UNSAID_PIECE_FROM = (0.0, 0.0, 0.5, 0.5, 0.5, 0.5, 0.5)
"""The same where the square it comes from is said: that tells the piece."""
SPOKEN_OF, SPOKEN_OF_VERB = 0.9, 0.5
"""The same for the piece that was spoken of before. In 190 scripts 36 of 82 such squares were moves of
that piece, 42 of a pawn; after a verb 36 of 41 were moves of that piece, none of a pawn."""
UNSAID_TAKES = (0.0, 4.0, 1.8, 1.8, 1.8, 1.8, 1.8)
"""A capture told without a word for taking, by piece type."""
TAKES_NOTHING = 7.0
PAWN_TAKES_UNSAID_FILE = 1.0
"""A pawn takes on a square and neither "pawn" nor its file is said ("takes on d4")."""
WRONG_TRADE = 4.0
CASTLE_UNSAID = 9.0
CASTLE_SIDE_WRONG = 5.0
CASTLE_SIDE_UNSAID = (0.1, 1.9)
"""Castling short or long, and the side is not said. In 444 scripts 660 of 761 short ones are told so, 5 of 95 long
ones, which would be 2.9 nats; but "castles" does name both."""
PROMOTION_UNSAID = (0.9, 5.0)
PROMOTION_WRONG = 5.0
PROMOTION_NOTHING = 8.0
CHECK_NOT_GIVEN = 3.5
MATE_NOT_GIVEN = 4.0
NOT_BACK = 1.5
"""Where a piece stood before is not known here: `sync.follow.place` takes it off for one that returns there."""
NOT_EN_PASSANT = 7.0
OTHER_STEPS = 5.0

PROMOTIONS: tuple[chess.PieceType | None, ...] = (chess.QUEEN, chess.ROOK, chess.BISHOP, chess.KNIGHT)
NO_PROMOTION: tuple[chess.PieceType | None, ...] = (None,)


@dataclass(frozen=True, slots=True)
class Named:
    """A legal move and what it costs that the mention names it."""

    move: chess.Move
    cost: float


class LegalMoves:
    """The legal moves of a position, found when mentions ask for them and kept. Made once, asked for many mentions."""

    __slots__ = ("_castling", "_reaches", "board")

    def __init__(self, board: chess.Board) -> None:
        """board is kept, and must not change while this is in use."""
        self.board = board
        self._reaches: list[Reach] | None = None
        self._castling: list[chess.Move] | None = None

    @property
    def reaches(self) -> list[Reach]:
        if self._reaches is None:
            self._reaches = reaches(self.board)
        return self._reaches

    @property
    def castling(self) -> list[chess.Move]:
        if self._castling is None:
            board = self.board
            self._castling = list(board.generate_castling_moves()) if board.castling_rights else []
        return self._castling

    def all(self) -> list[chess.Move]:
        """In the order of python-chess, but for castling, which comes last."""
        found = [
            chess.Move(square, target, new)
            for square, piece, targets in self.reaches
            for target in chess.scan_reversed(targets)
            for new in _promotions(piece, target)
        ]
        return found + self.castling

    def named(self, mention: Mention) -> tuple[Named, ...]:
        """The moves that the mention may name, cheapest first; ties in the order of from-square, to-square."""
        if mention.line:
            return ()
        found = []
        room = FAR - mention.cost
        for move, cost in self._costs(mention, room):
            if cost < room and (mention.check or mention.mate):
                cost += _check_cost(mention, self.board, move)
            if cost < room:
                found.append(Named(move, cost + mention.cost))
        if len(found) > 1:
            found.sort(key=_order)
        return tuple(found)

    def _costs(self, mention: Mention, room: float) -> Iterator[tuple[chess.Move, float]]:
        """The moves that may cost less than the room there is, check and mate apart."""
        pieces, squares = mention.piece, mention.to
        if mention.castle or squares is None or (pieces and pieces[chess.KING] < 1.0):
            for move in self.castling:
                yield move, _castling_cost(mention, move)
        if mention.castle:
            return
        onto = self._to_mask(mention, room)
        for square, piece, reach in self.reaches:
            targets = reach & onto
            if not targets:
                continue
            moved = _piece_cost(mention, piece)
            if moved >= room:
                continue
            for target in chess.scan_reversed(targets):
                cost = moved + squares[target] if squares else moved
                if cost < room:
                    yield from self._moves_onto(mention, square, piece, target, cost)

    def _moves_onto(
        self, mention: Mention, square: chess.Square, piece: chess.PieceType, target: chess.Square, cost: float
    ) -> Iterator[tuple[chess.Move, float]]:
        """Moves of a piece to a square; to their cost is added what the words say besides these two."""
        board = self.board
        victim = board.piece_type_at(target) or 0
        passing = piece == chess.PAWN and not victim and (square - target) % 8 != 0
        if passing:
            victim = chess.PAWN
        if mention.origin:
            cost += mention.origin[square]
        if mention.takes != bool(victim):
            cost += TAKES_NOTHING if mention.takes else UNSAID_TAKES[piece]
        if cost > FAR:
            return
        if mention.victim:
            cost += mention.victim[victim or chess.PAWN]
            if mention.trade and victim != piece:
                cost += WRONG_TRADE
        if mention.en_passant and not passing:
            cost += NOT_EN_PASSANT
        if mention.back and not mention.takes and not is_back(board.turn, square, target):
            cost += NOT_BACK
        if mention.steps and (piece != chess.PAWN or abs(target - square) != 8 * mention.steps):
            cost += OTHER_STEPS
        for new in _promotions(piece, target):
            yield chess.Move(square, target, new), cost + _promotion_cost(mention, new)

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


def may_reach(mention: Mention, board: chess.Board, colour: chess.Color, occupied: chess.Bitboard) -> bool:
    """A quick look whether a piece that the words stand for might get where they say, were these squares occupied.

    Where it is False, no move of the colour is named exactly.
    """
    if mention.to is None:
        return True
    movers = chess.BB_EMPTY
    for piece in chess.PIECE_TYPES:
        if _piece_cost(mention, piece) < EXACT:
            movers |= board.pieces_mask(piece, colour)
    pushed = movers & board.pawns
    return any(
        movers & board.attackers_mask(colour, square, occupied) or pushed & chess.BB_FILES[chess.square_file(square)]
        for square in chess.scan_forward(cheap_squares(mention.to, EXACT))
    )


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


def _promotions(piece: chess.PieceType, target: chess.Square) -> tuple[chess.PieceType | None, ...]:
    """What a piece may become on a square."""
    return PROMOTIONS if piece == chess.PAWN and chess.BB_SQUARES[target] & chess.BB_BACKRANKS else NO_PROMOTION


def _piece_cost(mention: Mention, piece: chess.PieceType) -> float:
    if mention.piece:
        return mention.piece[piece]
    if mention.form in ("takes", "takes-piece", "takes-en-passant"):
        return 0.0
    if mention.form in ("square-square", "square-takes-square"):
        return UNSAID_PIECE_FROM[piece]
    if mention.form in SQUARE_BY_VERB:
        return SPOKEN_OF_VERB if piece == mention.spoken_of else UNSAID_PIECE_VERB[piece]
    if mention.form == "takes-square":
        return PAWN_TAKES_UNSAID_FILE if piece == chess.PAWN else 0.5
    if piece == mention.spoken_of != chess.PAWN:
        return SPOKEN_OF
    return UNSAID_PIECE[piece]


def _castling_cost(mention: Mention, move: chess.Move) -> float:
    short = chess.square_file(move.to_square) > 4
    if not mention.castle:
        return CASTLE_UNSAID if not (mention.to and mention.piece) else mention.to[move.to_square] + 4.0
    if mention.castle == "any":
        return CASTLE_SIDE_UNSAID[not short]
    return 0.0 if (mention.castle == "king") == short else CASTLE_SIDE_WRONG


def _promotion_cost(mention: Mention, new: chess.PieceType | None) -> float:
    if mention.promotion is None:
        return 0.0 if new is None else PROMOTION_UNSAID[new != chess.QUEEN]
    if new is None:
        return PROMOTION_NOTHING
    return 0.0 if new == mention.promotion else PROMOTION_WRONG


def _check_cost(mention: Mention, board: chess.Board, move: chess.Move) -> float:
    if not board.gives_check(move):
        return CHECK_NOT_GIVEN * mention.check + MATE_NOT_GIVEN * mention.mate
    if not mention.mate:
        return 0.0
    board.push(move)
    mate = board.is_checkmate()
    board.pop()
    return 0.0 if mate else MATE_NOT_GIVEN


def is_back(turn: chess.Color, square: chess.Square, target: chess.Square) -> bool:
    """A move goes towards the side's own first rank."""
    forward = chess.square_rank(target) - chess.square_rank(square)
    return forward < 0 if turn == chess.WHITE else forward > 0
