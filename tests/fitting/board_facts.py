"""What is true of a position or of a move, as the slots of the sentences that say it (narration_tables.py).

Each fact is (kind, slots). A slot that names a side is filled by its colour, "white" or "black"; the narrator puts it
in the speaker's words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations

import chess

Fact = tuple[str, dict[str, str]]

NUMBERS = (
    "no one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen"
).split()
TENS = "zero ten twenty thirty forty fifty sixty seventy eighty ninety".split()
ORDINALS = "zeroth first second third fourth fifth sixth seventh eighth".split()
SIDES = ("black", "white")
VALUES = (0, 1, 3, 3, 5, 9, 0)
MINORS = (chess.KNIGHT, chess.BISHOP)


def in_words(number: int) -> str:
    """A number from 0 to 999 as it is spoken."""
    if number < len(NUMBERS):
        return NUMBERS[number]
    if number < 100:
        return TENS[number // 10] + (f" {NUMBERS[number % 10]}" if number % 10 else "")
    rest = number % 100
    return f"{NUMBERS[number // 100]} hundred" + (f" and {in_words(rest)}" if rest else "")


def name(piece: int | None) -> str:
    return chess.piece_name(piece or chess.PAWN)


def material(board: chess.Board, side: chess.Color) -> int:
    """In pawns, the side's own less the other's."""
    return sum(
        VALUES[piece] * (len(board.pieces(piece, side)) - len(board.pieces(piece, not side)))
        for piece in chess.PIECE_TYPES
    )


def position_facts(board: chess.Board) -> list[Fact]:
    return [fact for find in FINDERS for fact in find(board)]


def _pieces(board: chess.Board) -> Iterator[Fact]:
    for square, piece in sorted(board.piece_map().items()):
        side, other = SIDES[piece.color], SIDES[not piece.color]
        slots = {"piece": name(piece.piece_type), "sq": chess.square_name(square), "side": side, "other": other}
        rank = chess.square_rank(square) if piece.color else 7 - chess.square_rank(square)
        file = chess.square_file(square)
        guarded = len(board.attackers(piece.color, square))
        attacked = len(board.attackers(not piece.color, square))
        if piece.piece_type != chess.KING:
            if board.is_pinned(piece.color, square):
                yield "pinned", slots
            if not guarded and piece.piece_type != chess.PAWN and board.fullmove_number > 6:
                yield "loose", slots
            if attacked and guarded:
                yield "counted", {**slots, "n": in_words(attacked), "m": in_words(guarded)}
        if piece.piece_type == chess.KNIGHT and file in (0, 7):
            yield "rim", slots
        if piece.piece_type == chess.KNIGHT and rank >= 4 and board.attackers_mask(piece.color, square) & board.pawns:
            yield "outpost", slots
        if piece.piece_type == chess.BISHOP:
            yield from _bishop(board, square, piece, slots)
        if piece.piece_type == chess.ROOK and rank == 6:
            yield "seventh", slots
        if piece.piece_type == chess.KING and file in (0, 7) and rank == 0:
            yield "corner", slots
        if piece.piece_type in (chess.QUEEN, chess.ROOK, chess.BISHOP, chess.KNIGHT) and rank <= 4:
            for target in list(board.attacks(square))[::5]:
                if not board.piece_at(target):
                    yield "looks", {**slots, "target": chess.square_name(target)}


def _bishop(board: chess.Board, square: chess.Square, piece: chess.Piece, slots: dict[str, str]) -> Iterator[Fact]:
    shade = chess.BB_LIGHT_SQUARES if chess.BB_SQUARES[square] & chess.BB_LIGHT_SQUARES else chess.BB_DARK_SQUARES
    shade_name = "light" if shade == chess.BB_LIGHT_SQUARES else "dark"
    blocked = chess.popcount(board.pawns & board.occupied_co[piece.color] & shade)
    if blocked >= 5 and board.fullmove_number > 10:
        yield "bad-bishop", {**slots, "shade": shade_name, "n": in_words(blocked)}
    if chess.BB_SQUARES[square] & (chess.BB_B2 | chess.BB_G2 | chess.BB_B7 | chess.BB_G7):
        yield "fianchetto", {**slots, "shade": shade_name}


def _pawns(board: chess.Board) -> Iterator[Fact]:
    for side in chess.COLORS:
        own, enemy = board.pieces(chess.PAWN, side), board.pieces(chess.PAWN, not side)
        by_file = {file: [square for square in own if chess.square_file(square) == file] for file in range(8)}
        for square in own:
            file, rank = chess.square_file(square), chess.square_rank(square)
            slots = {"sq": chess.square_name(square), "side": SIDES[side], "other": SIDES[not side]}
            slots["file"] = chess.FILE_NAMES[file]
            near = range(max(0, file - 1), min(7, file + 1) + 1)
            ahead = sum(chess.BB_RANKS[each] for each in range(8) if (each > rank if side else each < rank))
            files = sum(chess.BB_FILES[each] for each in near)
            if not board.pieces_mask(chess.PAWN, not side) & ahead & files and (rank >= 3 if side else rank <= 4):
                yield "passed", slots
            if not any(by_file[other] for other in near if other != file):
                yield "isolated", slots
            if len(by_file[file]) > 1:
                yield "doubled", slots
        if len(own) != len(enemy):
            slots = {"side": SIDES[side], "n": in_words(len(own)), "m": in_words(len(enemy))}
            yield "pawn-count", slots
        queenside = [sum(chess.square_file(s) < 3 for s in pawns) for pawns in (own, enemy)]
        if queenside[0] > queenside[1] > 0:
            yield "majority", {"side": SIDES[side], "n": in_words(queenside[0]), "m": in_words(queenside[1])}


def _files(board: chess.Board) -> Iterator[Fact]:
    for file in range(8):
        owners = [bool(board.pieces_mask(chess.PAWN, side) & chess.BB_FILES[file]) for side in chess.COLORS]
        slots = {"file": chess.FILE_NAMES[file]}
        if not any(owners):
            yield "open-file", slots
        elif not all(owners):
            side = SIDES[chess.COLORS[owners.index(False)]]
            yield "half-open", {**slots, "side": side}


def _kings(board: chess.Board) -> Iterator[Fact]:
    homes = {}
    for side in chess.COLORS:
        king = board.king(side)
        assert king is not None
        slots = {"side": SIDES[side], "other": SIDES[not side], "sq": chess.square_name(king)}
        if board.has_castling_rights(side) and board.fullmove_number > 8:
            yield "uncastled", slots
        homes[side] = chess.square_file(king)
        home_rank = chess.square_rank(king) == (0 if side else 7)
        if home_rank and (homes[side] >= 6 or homes[side] <= 2):
            yield "castled", {**slots, "wing": "kingside" if homes[side] >= 6 else "queenside"}
        weak = chess.F2 if side else chess.F7
        if board.piece_at(weak) == chess.Piece(chess.PAWN, side) and board.attackers_mask(
            side, weak
        ) == chess.BB_SQUARES[king]:
            yield "weak-f", {**slots, "sq": chess.square_name(weak)}
    if min(homes.values()) <= 2 and max(homes.values()) >= 6 and board.fullmove_number > 8:
        yield "opposite", {}


def _balance(board: chess.Board) -> Iterator[Fact]:
    for side in chess.COLORS:
        slots = {"side": SIDES[side], "other": SIDES[not side]}
        difference = material(board, side)
        if difference == 0 and side:
            yield "level", slots
        elif difference in (1, 2):
            yield "pawn-up", {**slots, "n": "a pawn" if difference == 1 else "two pawns"}
        elif difference in (3, 4):
            yield "piece-up", slots
        elif difference > 5:
            yield "winning", slots
        if len(board.pieces(chess.BISHOP, side)) == 2 > len(board.pieces(chess.BISHOP, not side)):
            yield "bishop-pair", slots
        home = chess.BB_RANK_1 if side else chess.BB_RANK_8
        asleep = chess.popcount((board.knights | board.bishops) & board.occupied_co[side] & home)
        if asleep >= 2 and board.fullmove_number > 5:
            yield "undeveloped", {**slots, "n": in_words(asleep)}
    if not board.queens:
        yield "no-queens", {}
    if not board.rooks:
        yield "no-rooks", {}
    if len(board.piece_map()) == 32:
        yield "all-there", {}


def _squares(board: chess.Board) -> Iterator[Fact]:
    for square in (chess.D4, chess.E4, chess.D5, chess.E5, chess.C5, chess.F5, chess.C4, chess.F4, chess.D6, chess.E6):
        counts = [len(board.attackers(side, square)) for side in chess.COLORS]
        slots = {"sq": chess.square_name(square)}
        if counts[0] != counts[1] and min(counts):
            stronger = SIDES[chess.COLORS[counts[0] < counts[1]]]
            yield "control", {**slots, "side": stronger, "n": in_words(max(counts)), "m": in_words(min(counts))}
        if not board.piece_at(square):
            for side in chess.COLORS:
                span = _pawn_span(board, side, square)
                if not span and board.fullmove_number > 6:
                    yield "hole", {**slots, "side": SIDES[side], "other": SIDES[not side]}


def _pawn_span(board: chess.Board, side: chess.Color, square: chess.Square) -> int:
    """The side's pawns that attack the square or may still come to do so."""
    file, rank = chess.square_file(square), chess.square_rank(square)
    files = sum(chess.BB_FILES[each] for each in (file - 1, file + 1) if 0 <= each < 8)
    ranks = sum(chess.BB_RANKS[each] for each in range(8) if (each < rank if side else each > rank))
    return board.pieces_mask(chess.PAWN, side) & files & ranks


def _rooks(board: chess.Board) -> Iterator[Fact]:
    for side in chess.COLORS:
        rooks = board.pieces(chess.ROOK, side)
        for first, second in combinations(rooks, 2):
            if chess.square_file(first) == chess.square_file(second):
                yield "rooks-doubled", {"side": SIDES[side], "file": chess.FILE_NAMES[chess.square_file(first)]}
            elif not board.occupied & chess.between(first, second) and chess.square_rank(first) == chess.square_rank(
                second
            ):
                yield "rooks-joined", {"side": SIDES[side]}
        for square in rooks:
            if not board.pawns & chess.BB_FILES[chess.square_file(square)]:
                slots = {"side": SIDES[side], "file": chess.FILE_NAMES[chess.square_file(square)]}
                yield "rook-file", {**slots, "sq": chess.square_name(square)}


FINDERS: tuple[Callable[[chess.Board], Iterator[Fact]], ...] = (
    _pieces,
    _pawns,
    _files,
    _kings,
    _balance,
    _squares,
    _rooks,
)


def move_facts(board: chess.Board, move: chess.Move) -> list[Fact]:
    """What a move does, told straight after it; board: the position before it."""
    side = board.turn
    piece = board.piece_type_at(move.from_square) or chess.PAWN
    after = board.copy(stack=False)
    after.push(move)
    facts: list[Fact] = [("any", {})]
    before_attacks = board.attacks(move.from_square)
    for square in after.attacks(move.to_square):
        target = after.piece_at(square)
        slots = {"victim": name(target.piece_type if target else None), "vsq": chess.square_name(square)}
        slots |= {"piece": name(piece), "sq": chess.square_name(move.to_square)}
        if square in before_attacks:
            continue
        if not target:
            if chess.square_rank(square) in (2, 3, 4, 5):
                facts.append(("eyes", slots))
        elif target.color == side and target.piece_type != chess.KING and after.is_attacked_by(not side, square):
            facts.append(("protects", slots))
        elif target.color != side and target.piece_type != chess.KING and (
            VALUES[target.piece_type] > VALUES[piece] or not after.is_attacked_by(not side, square)
        ):
            facts += [("attacks", slots)] * 3
    if piece in MINORS and chess.square_rank(move.from_square) == (0 if side else 7):
        facts.append(("develops", {"piece": name(piece)}))
    if board.is_castling(move):
        facts.append(("king-safe", {}))
    if piece == chess.PAWN:
        for square in (*board.pieces(chess.BISHOP, side), *board.pieces(chess.QUEEN, side)):
            if len(after.attacks(square)) > len(board.attacks(square)) + 1:
                facts.append(("opens", {"piece": name(board.piece_type_at(square))}))
        if chess.square_file(move.to_square) in (3, 4) and chess.square_rank(move.to_square) in (3, 4):
            facts.append(("centre", {}))
    if piece == chess.ROOK and not after.pawns & chess.BB_FILES[chess.square_file(move.to_square)]:
        facts.append(("takes-file", {"file": chess.FILE_NAMES[chess.square_file(move.to_square)]}))
    if board.is_capture(move):
        facts.append(("captured", {"victim": name(board.piece_type_at(move.to_square))}))
    return facts
