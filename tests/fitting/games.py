"""Random legal games that look like those of a club: openings from a catalogue, then moves by the fitted prior.

No engine. A move's chance is a softmax over how natural it is (sync/follow/prior.py) and over what the exchanges on
single squares give and leave hanging.
"""

from __future__ import annotations

import math
import random
from collections.abc import Container, Iterator
from functools import cache, reduce

import chess
from ocn import Catalog

from sync.follow.model import fitted
from sync.follow.place import Places
from sync.follow.prior import VALUES
from sync.follow.traits import move_traits

ECO_LETTERS = ("A", "B", "C", "D", "E")
ECO_WEIGHTS = (2, 5, 6, 5, 3)
"""How often the openings of each volume of the ECO are drawn: common practice, no source."""
OPENING_PLIES = (2, 16)
CANDIDATES = 14
"""Moves that are looked at more closely, the most natural ones first."""
MATE = 6.0
"""What a mate is worth, in nats."""
WINS, HANGS = 0.9, 1.1
"""Nats for a pawn won or left hanging."""
LAST_PLIES = 12
"""Only so near to its wanted end may a game end by itself."""
GOES_HOME = 1.6
"""Nats that it costs a knight or bishop to go back to its own first rank when nothing attacks it."""
EXCHANGE = (0, 1, 3, 3, 5, 9, 100)
"""Values by piece type in an exchange on one square, where the king may not be lost."""


@cache
def opening_lines(letter: str) -> tuple[tuple[chess.Move, ...], ...]:
    """The catalogue's lines of one volume, without the shortest."""
    catalogue = Catalog.load()
    rows = (row for number in range(100) for row in catalogue.by_eco(f"{letter}{number:02}"))
    return tuple(tuple(map(chess.Move.from_uci, row.moves_uci)) for row in rows if len(row.moves_uci) >= 4)


def opening(rng: random.Random) -> list[chess.Move]:
    line = rng.choice(opening_lines(rng.choices(ECO_LETTERS, ECO_WEIGHTS)[0]))
    return list(line[: rng.randint(*OPENING_PLIES)])


def game(rng: random.Random, start: chess.Board, plies: int, temperature: float = 0.55) -> list[chess.Move]:
    """A game of so many plies, or fewer when it ends before."""
    board = start.copy()
    if board.fen() == chess.STARTING_FEN:
        for known in opening(rng)[:plies]:
            board.push(known)
    while len(board.move_stack) - len(start.move_stack) < plies and not board.is_game_over():
        left = plies - len(board.move_stack) + len(start.move_stack)
        move = choose(rng, board, temperature, _endings(board) if left > LAST_PLIES else ())
        if move is None:
            break
        board.push(move)
    return board.move_stack[len(start.move_stack) :]


def _endings(board: chess.Board) -> set[chess.Move]:
    """The moves that end the game."""
    found = set()
    for move in board.legal_moves:
        board.push(move)
        if board.is_game_over():
            found.add(move)
        board.pop()
    return found


def long_game(rng: random.Random, start: chess.Board, plies: int) -> list[chess.Move]:
    """The longest of a few tries, so that an early mate is rare."""
    longest: list[chess.Move] = []
    for _ in range(4):
        found = game(rng, start, plies)
        if len(found) >= plies:
            return found
        longest = max(longest, found, key=len)
    return longest


def choose(
    rng: random.Random, board: chess.Board, temperature: float, without: Container[chess.Move] = ()
) -> chess.Move | None:
    """A move, or None when there is no other than those that are left out."""
    scored = [(move, score) for move, score in scores(board) if move not in without]
    if not scored:
        return None
    best = max(score for _, score in scored)
    weights = [math.exp((score - best) / temperature) for _, score in scored]
    return rng.choices([move for move, _ in scored], weights)[0]


def scores(board: chess.Board) -> list[tuple[chess.Move, float]]:
    """The likeliest legal moves, each with its log-probability up to a constant."""
    places = Places(board.root())
    traits = move_traits(reduce(places.after, board.move_stack, places.root))
    natural = list(zip(traits, fitted().move_logs(list(traits.values())), strict=True))
    natural.sort(key=lambda pair: (-pair[1], pair[0].uci()))
    return [(move, score + _by_exchange(board, move)) for move, score in natural[:CANDIDATES]]


def _by_exchange(board: chess.Board, move: chess.Move) -> float:
    gain = exchange(board, move)
    board.push(move)
    if board.is_checkmate():
        board.pop()
        return MATE
    loss = max((exchange(board, reply) for reply in board.generate_legal_captures()), default=0)
    repeated = board.is_repetition(2)
    board.pop()
    taken = board.piece_type_at(move.to_square)
    won = (max(gain, 0) + (VALUES[taken] if taken else 0)) / 2 + 0.4 * bool(taken)
    return WINS * won - HANGS * min(max(loss, 0), 9) - 2.0 * repeated - GOES_HOME * _goes_home(board, move)


def _goes_home(board: chess.Board, move: chess.Move) -> bool:
    rank = chess.square_rank(move.to_square)
    return (
        board.piece_type_at(move.from_square) in (chess.KNIGHT, chess.BISHOP)
        and rank == (0 if board.turn else 7)
        and not board.is_attacked_by(not board.turn, move.from_square)
    )


def exchange(board: chess.Board, move: chess.Move) -> int:
    """Pawns that the side to move wins by a capture when both go on taking on that square as long as it pays."""
    square = move.to_square
    victim = board.piece_type_at(square)
    attacker = board.piece_type_at(move.from_square) or chess.PAWN
    gains = [EXCHANGE[victim] if victim else int(board.is_en_passant(move))]
    occupied = board.occupied & ~chess.BB_SQUARES[move.from_square]
    turn = not board.turn
    for next_attacker, origin in _attackers(board, square, occupied, turn):
        gains.append(EXCHANGE[attacker] - gains[-1])
        attacker = next_attacker
        occupied &= ~chess.BB_SQUARES[origin]
    for index in range(len(gains) - 1, 0, -1):
        gains[index - 1] = -max(-gains[index - 1], gains[index])
    return gains[0]


def _attackers(board: chess.Board, square: chess.Square, occupied: int, turn: chess.Color) -> Iterator[tuple[int, int]]:
    """Piece type and square of those that take in turn, the cheapest of each side first."""
    while True:
        mask = board.attackers_mask(turn, square, occupied) & occupied
        if not mask:
            return
        origin = min(chess.scan_forward(mask), key=lambda each: (board.piece_type_at(each) or 0, each))
        yield board.piece_type_at(origin) or chess.PAWN, origin
        occupied &= ~chess.BB_SQUARES[origin]
        turn = not turn
