"""The ways in which people say a legal move."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import product

import chess

from sync.mentions import sayings


def spoken_forms(board: chess.Board, move: chess.Move) -> tuple[str, ...]:
    """What people say for a legal move, each form once, words apart by single spaces, squares as one word.

    A form need not tell the move from all others: "takes" stands for every capture.

    >>> spoken_forms(chess.Board(), chess.Move.from_uci("g1f3"))[:4]
    ('knight f3', 'knight to f3', 'knight goes to f3', 'the knight f3')
    """
    if board.is_castling(move):
        side = "king" if board.is_kingside_castling(move) else "queen"
        bare: Iterable[str] = sayings.CASTLING[side]
    elif board.piece_type_at(move.from_square) == chess.PAWN:
        bare = _pawn_forms(board, move)
    else:
        bare = _piece_forms(board, move)
    return tuple(dict.fromkeys(form + ending for ending in _endings(board, move) for form in bare))


def _piece_forms(board: chess.Board, move: chess.Move) -> list[str]:
    words = _words(board, move)
    apart = _told_apart(board, move)
    if not board.is_capture(move):
        return list(_filled(words, sayings.MOVERS + apart, sayings.ARRIVING))
    return [
        *_filled(words, sayings.MOVERS, sayings.CAPTURING_SQUARE + sayings.CAPTURING_VICTIM),
        *_filled(words, apart, sayings.CAPTURING_TOLD_APART),
        *_filled(words, ("",), sayings.CAPTURING_WITH + sayings.CAPTURING_BARE),
    ]


def _told_apart(board: chess.Board, move: chess.Move) -> tuple[str, ...]:
    """Ways to call a piece that has its like on the board."""
    piece = board.piece_at(move.from_square)
    assert piece is not None
    twins = board.pieces(piece.piece_type, piece.color) - {move.from_square}
    if not twins:
        return ()
    files = {chess.square_file(square) for square in twins}
    ranks = {chess.square_rank(square) for square in twins}
    return (
        sayings.MOVERS_BY_SQUARE
        + (() if chess.square_file(move.from_square) in files else sayings.MOVERS_BY_FILE)
        + (() if chess.square_rank(move.from_square) in ranks else sayings.MOVERS_BY_RANK)
    )


def _pawn_forms(board: chess.Board, move: chess.Move) -> list[str]:
    words = _words(board, move)
    takes = board.is_capture(move)
    if move.promotion is not None:
        arriving = _pawn_takes_square(words) if takes else _pawn_steps(words)
        bare = sayings.TAKING_AND_PROMOTING if takes else sayings.PROMOTING_BARE
        return [*_promoting(arriving, words, move), *_filled(words, ("",), bare)]
    if not takes:
        double = abs(move.to_square - move.from_square) == 16
        pushing = sayings.PUSHING + (sayings.DOUBLE_STEP if double else ())
        return _pawn_steps(words) + list(_filled(words, ("",), pushing))
    return [
        *_pawn_takes_square(words),
        *_filled(words, sayings.TAKING_PAWNS + sayings.PAWNS, sayings.CAPTURING_VICTIM),
        *_filled(words, sayings.PAWNS_BY_FILE + sayings.PAWNS_BY_SQUARE, sayings.CAPTURING_TOLD_APART),
        *_filled(words, ("",), sayings.CAPTURING_WITH_PAWN + sayings.CAPTURING_BARE + sayings.FILE_TAKES_FILE),
        *_filled(words, ("",), sayings.EN_PASSANT if board.is_en_passant(move) else ()),
    ]


def _pawn_steps(words: dict[str, str]) -> list[str]:
    movers = sayings.PAWNS + sayings.PAWNS_BY_FILE + sayings.PAWNS_BY_SQUARE
    return [*_filled(words, ("",), sayings.BARE), *_filled(words, movers, sayings.ARRIVING)]


def _pawn_takes_square(words: dict[str, str]) -> list[str]:
    movers = sayings.TAKING_PAWNS + sayings.PAWNS + sayings.PAWNS_BY_FILE + sayings.PAWNS_BY_SQUARE
    return list(_filled(words, movers, sayings.CAPTURING_SQUARE))


def _promoting(arrivals: list[str], words: dict[str, str], move: chess.Move) -> Iterator[str]:
    queen = move.promotion == chess.QUEEN
    endings = ("", *sayings.PROMOTING_TO_QUEEN, *sayings.PROMOTING) if queen else sayings.PROMOTING
    for arrival, ending in product(arrivals, endings):
        yield arrival + ending.format(**words)


def _words(board: chess.Board, move: chess.Move) -> dict[str, str]:
    """What stands for each slot but {mover} and {takes}."""
    victim = board.piece_type_at(move.to_square) or chess.PAWN
    square, origin = chess.square_name(move.to_square), chess.square_name(move.from_square)
    return {
        "piece": sayings.PIECES[board.piece_type_at(move.from_square) or chess.PAWN],
        "victim": sayings.PIECES[victim],
        "new": sayings.PIECES[move.promotion or chess.QUEEN],
        "square": square,
        "to_file": square[0],
        "origin": origin,
        "file": origin[0],
        "rank": origin[1],
        "ordinal": sayings.ORDINALS[chess.square_rank(move.from_square)],
    }


def _filled(words: dict[str, str], movers: Iterable[str], templates: Iterable[str]) -> Iterator[str]:
    """Each template with each mover and each word for taking that it has a slot for."""
    for mover, template in product(movers, templates):
        for takes in sayings.TAKING if "{takes}" in template else ("",):
            yield template.format(mover=mover.format(**words), takes=takes, **words)


def _endings(board: chess.Board, move: chess.Move) -> tuple[str, ...]:
    if not board.gives_check(move):
        return ("",)
    after = board.copy(stack=False)
    after.push(move)
    return sayings.MATE if after.is_checkmate() else sayings.CHECK
