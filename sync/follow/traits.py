"""What is so about a legal move before anything is said about it, without searching ahead."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import chess

from sync.follow.place import Place
from sync.follow.prior import worth
from sync.mentions.openings import OPENINGS

OPENING_MOVES = 10
"""Full moves that a game is in its opening."""
FEW_PIECES = 6
"""Pieces of both sides, kings and pawns apart, that an endgame has at most."""
FIRST_MOVES = 6
"""Full moves in which squares are counted move by move."""
BOOK_MOVES = 9
"""Full moves in which a position is looked for among the named openings."""
FAR_FROM_LAST = 4
"""King's steps from where the last move went, and more."""
HOME_MINORS = (
    chess.BB_B1 | chess.BB_C1 | chess.BB_F1 | chess.BB_G1 | chess.BB_B8 | chess.BB_C8 | chess.BB_F8 | chess.BB_G8
)


class MoveTraits:
    """Names of what is so about the legal moves of a position. Made once, asked for each of them.

    last and own_last are the two moves before, where they are known; took: the last one was a capture. Squares are
    named as the side to move sees them, so that e7 is black's e2.
    """

    def __init__(
        self, board: chess.Board, last: chess.Move | None, own_last: chess.Move | None, took: bool = False
    ) -> None:
        self.board, self.last, self.own_last, self.took = board, last, own_last, took
        self.us, self.them = board.turn, not board.turn
        self.theirs = board.occupied_co[self.them]
        self.attackers = cache(board.attackers_mask)
        self.phase = _phase(board)
        self.in_danger = self._in_danger()
        self.unguarded = self._unguarded()
        self.in_check = " in check" if board.is_check() else ""

    def of(self, move: chess.Move) -> list[str]:
        """The names, each once."""
        board, piece = self.board, chess.PIECE_NAMES[self.board.piece_type_at(move.from_square) or chess.PAWN]
        assert piece
        safety = self._safe_at(move)
        return [
            *self._squares(move, piece),
            *self._capture(move, piece),
            *self._safety(move, piece, safety),
            *self._attacks(move, piece, safety),
            *self._after_last(move, piece),
            *(self._pawn(move) if piece == "pawn" else self._piece(move, piece)),
            *(["castles"] if piece == "king" and board.is_castling(move) else []),
            *(["book"] if self._in_book(move) else []),
        ]

    def _squares(self, move: chess.Move, piece: str) -> Iterator[str]:
        to, origin = self._seen(move.to_square), self._seen(move.from_square)
        yield f"{piece} {self.phase}"
        yield f"{piece} to {to}"
        yield f"{piece} to {to} {self.phase}"
        yield f"{piece} from {origin} {self.phase}"
        if self.in_check:
            yield f"{piece} in check"
        if self.board.fullmove_number <= FIRST_MOVES:
            yield f"{piece} to {to} move {self.board.fullmove_number}"

    def _capture(self, move: chess.Move, piece: str) -> Iterator[str]:
        board, target = self.board, move.to_square
        if board.is_en_passant(move):
            yield "en passant"
        victim = chess.PIECE_NAMES[board.piece_type_at(target) or 0]
        if not victim:
            return
        guarded = " guarded" if self.attackers(self.them, target) else ""
        yield f"{piece} takes {victim}{guarded}"
        gain = worth(board, target) - (worth(board, move.from_square) if guarded else 0)
        yield "wins" if gain > 0 else "trades" if gain == 0 else "gives"
        if self.last and self.last.to_square == target:
            yield f"{piece} takes {victim} {'back' if self.took else 'that moved'}"
        if self.in_danger and board.attacks_mask(target) & self.in_danger:
            yield "takes an attacker"

    def _safety(self, move: chess.Move, piece: str, safety: str) -> Iterator[str]:
        """Whether the piece may be taken where it goes, and what may be taken if it does not go, or goes there."""
        board, origin, target = self.board, chess.BB_SQUARES[move.from_square], move.to_square
        takes = " takes" if board.occupied & chess.BB_SQUARES[target] else ""
        if safety:
            yield f"{piece} {safety}{takes}"
        if self.in_danger & origin:
            yield f"{piece} flees{takes}"
        left = self.in_danger & ~origin
        if left:
            yield f"leaves {max(worth(board, square) for square in chess.scan_forward(left))}"

    def _safe_at(self, move: chess.Move) -> str:
        """How the piece may be taken where it goes, "" if it may not."""
        attackers = self.attackers(self.them, move.to_square)
        if not attackers:
            return ""
        value = worth(self.board, move.from_square)
        if value > 1 and attackers & self.board.pawns:
            return "attacked by a pawn"
        if self._one_below(attackers, value):
            return "attacked by less"
        guards = self.attackers(self.us, move.to_square) & ~chess.BB_SQUARES[move.from_square]
        return "attacked" if guards else "attacked unguarded"

    def _attacks(self, move: chess.Move, piece: str, safety: str) -> Iterator[str]:
        """What the piece attacks and guards from where it goes."""
        board, value = self.board, worth(self.board, move.from_square)
        reach = self._reach(move)
        hit = reach & self.theirs
        safely = "" if safety in ("", "attacked") else " unsafely"
        if hit & board.kings:
            yield f"{piece} checks"
            yield f"checks{safely}"
        for name, those in (
            ("queen", board.queens),
            ("rook", board.rooks),
            ("minor piece", board.bishops | board.knights),
        ):
            if not hit & those:
                continue
            first = chess.lsb(hit & those)
            if worth(board, first) > value:
                yield f"attacks a {name}{safely}"
            elif hit & those & self.unguarded:
                yield f"attacks an unguarded {name}{safely}"
            else:
                yield f"faces a {name}"
        if hit & board.pawns:
            yield "attacks an unguarded pawn" if hit & board.pawns & self.unguarded else "faces a pawn"
        if reach & chess.BB_KING_ATTACKS[chess.lsb(board.kings & self.theirs)]:
            yield f"{piece} near their king"
        if reach & self.in_danger & ~chess.BB_SQUARES[move.from_square]:
            yield "guards"

    def _reach(self, move: chess.Move) -> chess.Bitboard:
        """The squares that the piece attacks from where it goes."""
        board, piece, target = self.board, self.board.piece_type_at(move.from_square), move.to_square
        if piece == chess.PAWN:
            return chess.BB_PAWN_ATTACKS[self.us][target]
        if piece == chess.KNIGHT:
            return chess.BB_KNIGHT_ATTACKS[target]
        if piece == chess.KING:
            return chess.BB_KING_ATTACKS[target]
        occupied = board.occupied & ~chess.BB_SQUARES[move.from_square]
        reach = chess.BB_EMPTY
        if piece != chess.ROOK:
            reach |= chess.BB_DIAG_ATTACKS[target][chess.BB_DIAG_MASKS[target] & occupied]
        if piece != chess.BISHOP:
            reach |= chess.BB_RANK_ATTACKS[target][chess.BB_RANK_MASKS[target] & occupied]
            reach |= chess.BB_FILE_ATTACKS[target][chess.BB_FILE_MASKS[target] & occupied]
        return reach

    def _after_last(self, move: chess.Move, piece: str) -> Iterator[str]:
        if self.last:
            away = min(chess.square_distance(move.to_square, self.last.to_square), FAR_FROM_LAST)
            yield f"{away} from last"
            if self.attackers(self.them, move.from_square) & chess.BB_SQUARES[self.last.to_square]:
                danger = " in danger" if self.in_danger & chess.BB_SQUARES[move.from_square] else ""
                yield f"{piece} attacked by last{danger}"
        if self.own_last and self.own_last.to_square == move.from_square:
            yield f"same {piece}"
            if self.own_last.from_square == move.to_square:
                yield "undoes"

    def _pawn(self, move: chess.Move) -> Iterator[str]:
        if move.promotion:
            yield "queens" if move.promotion == chess.QUEEN else "underpromotes"
        pawns, target = self.board.pawns & self.theirs, move.to_square
        if not pawns & _ahead(self.us, target):
            yield f"passed pawn to {self._seen(target)[1]}"
        if chess.BB_PAWN_ATTACKS[self.us][target] & pawns:
            yield "attacks a pawn"
        last = self.last.to_square if self.last else -1
        if last in (target + 8, target - 8) and pawns & chess.BB_SQUARES[last]:
            yield "stops the last pawn"

    def _piece(self, move: chess.Move, piece: str) -> Iterator[str]:
        board = self.board
        if piece in ("knight", "bishop") and chess.BB_SQUARES[move.from_square] & HOME_MINORS:
            yield "develops"
        if piece in ("knight", "rook"):
            alike = board.knights if piece == "knight" else board.rooks
            if alike & self.attackers(self.us, move.to_square) & ~chess.BB_SQUARES[move.from_square]:
                yield "twin"
        if piece == "rook":
            on_file = chess.BB_FILES[chess.square_file(move.to_square)] & board.pawns
            yield "open file" if not on_file else "closed file" if on_file & ~self.theirs else "half-open file"

    def _in_book(self, move: chess.Move) -> bool:
        board = self.board
        if board.fullmove_number > BOOK_MOVES:
            return False
        occupied = board.occupied & ~chess.BB_SQUARES[move.from_square] | chess.BB_SQUARES[move.to_square]
        placements = book().get(occupied)
        if not placements:
            return False
        after = board.copy(stack=False)
        after.push(move)
        return after.board_fen() in placements

    def _in_danger(self) -> chess.Bitboard:
        """Our pieces that something worth less attacks, or that nothing guards."""
        board, found = self.board, chess.BB_EMPTY
        for square in chess.scan_forward(board.occupied_co[self.us] & ~board.kings):
            attackers = self.attackers(self.them, square)
            if not attackers:
                continue
            if not self.attackers(self.us, square) or self._one_below(attackers, worth(board, square)):
                found |= chess.BB_SQUARES[square]
        return found

    def _one_below(self, pieces: chess.Bitboard, value: int) -> bool:
        """One of the pieces is worth less."""
        return any(worth(self.board, square) < value for square in chess.scan_forward(pieces))

    def _unguarded(self) -> chess.Bitboard:
        """Their pieces that nothing guards."""
        found = chess.BB_EMPTY
        for square in chess.scan_forward(self.theirs & ~self.board.kings):
            if not self.attackers(self.them, square):
                found |= chess.BB_SQUARES[square]
        return found

    def _seen(self, square: chess.Square) -> str:
        return chess.SQUARE_NAMES[square if self.us else chess.square_mirror(square)]


def move_traits(base: Place) -> dict[chess.Move, list[str]]:
    """The traits of each legal move at a place."""
    took = base.parent is not None and base.move is not None and base.parent.board.is_capture(base.move)
    traits = MoveTraits(base.board, base.move, base.own_last, took)
    return {move: traits.of(move) for move in base.legal.all()}


def _phase(board: chess.Board) -> str:
    if board.fullmove_number <= OPENING_MOVES:
        return "opening"
    pieces = chess.popcount(board.occupied & ~board.pawns & ~board.kings)
    return "endgame" if pieces <= FEW_PIECES else "middlegame"


@cache
def _ahead(colour: chess.Color, square: chess.Square) -> chess.Bitboard:
    """The squares from which pawns of the other side could stop a pawn: of its file and the files beside it."""
    file, rank = chess.square_file(square), chess.square_rank(square)
    files = sum(chess.BB_FILES[each] for each in range(max(file - 1, 0), min(file + 2, 8)))
    ranks = sum(chess.BB_RANKS[each] for each in (range(rank + 1, 8) if colour else range(rank)))
    return files & ranks


@cache
def book() -> dict[chess.Bitboard, set[str]]:
    """The positions of the named openings, by the squares that are occupied."""
    found: dict[chess.Bitboard, set[str]] = {}
    for line in OPENINGS.values():
        board = chess.Board()
        for san in line.split():
            board.push_san(san)
            found.setdefault(board.occupied, set()).add(board.board_fen())
    return found
