"""Diagrams of positions, for print and as thumbnails."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape

import chess

from sync.errors import InputError
from sync.files.pieces import GLYPHS, MARGIN, PIECES, SQUARE
from sync.files.steps import board_steps, step_at
from sync.lesson.lesson import Game, Lesson, Ply

BOARD = 8 * SQUARE
EDGE = 56
"""Width of the strip at the left and below the board that holds the ranks' numbers and the files' letters."""

RIM = 12
"""Width of the strip above and at the right."""

MOVE = re.compile(r"\s*(?:(?P<number>\d+)\s*(?P<dots>\.\.\.|…|\.)?\s*)?(?P<san>[A-Za-z][^\s]*?)[!?]*\s*")
HALF_MOVE = re.compile(r"\s*(\d+)\s*")
TIME = re.compile(r"\s*(?:t=)?(?:(?:(\d+):)?(\d{1,3}):(\d{1,2}(?:\.\d+)?)|(\d+(?:\.\d+)?)\s*s)\s*")


@dataclass(frozen=True, slots=True)
class Palette:
    """CSS colours. hatched: dark squares are drawn as slanted lines in the colour of dark, as in printed books."""

    light: str
    dark: str
    ink: str
    paper: str
    mark: str
    hatched: bool


SCREEN = Palette(light="#f1ebf2", dark="#a796b4", ink="#2a2133", paper="#fffdf8", mark="#0f4a3d", hatched=False)
PRINT = Palette(light="#ffffff", dark="#777777", ink="#000000", paper="#ffffff", mark="#000000", hatched=True)


@dataclass(frozen=True, slots=True)
class Chosen:
    """A position of a lesson. ply: None for the game's start position."""

    game: int
    ply: Ply | None
    board: chess.Board

    @property
    def move(self) -> chess.Move | None:
        """The move that led to it."""
        return chess.Move.from_uci(self.ply.uci) if self.ply else None


def choose_position(lesson: Lesson, choice: str) -> Chosen:
    """The position after a move ("12...Qc7", "12. Qf3", "Qc7"), after a ply of the game ("24", 0 for the start), or at
    a time of the recording ("1:23", "1:02:03.5", "83.4s").

    Of several moves written alike, one that was played comes before one only considered, then the order of the tree.
    Raises InputError where the lesson has no such place.
    """
    if match := HALF_MOVE.fullmatch(choice):
        return _after_half_move(lesson, int(match[1]))
    if match := TIME.fullmatch(choice):
        hours, minutes, seconds, plain = (float(part or 0) for part in match.groups())
        return position_at(lesson, hours * 3600 + minutes * 60 + seconds + plain)
    if match := MOVE.fullmatch(choice):
        return _after_move(lesson, choice.strip(), match)
    raise InputError(f"'{choice}' is no move, ply number or time: write it like 12...Qc7, 24 or 1:23")


def position_at(lesson: Lesson, seconds: float) -> Chosen:
    """The position that the talk is about at a time. Raises InputError for a lesson without games."""
    steps = board_steps(lesson)
    if not steps:
        raise InputError("the lesson has no game: there is no position to draw")
    step = step_at(steps, seconds)
    positions = _positions(step.game, lesson.games[step.game])
    return next(each for each in positions if (each.ply.id if each.ply else None) == step.ply)


def diagram_svg(
    board: chess.Board,
    *,
    last_move: chess.Move | None = None,
    flipped: bool = False,
    palette: Palette = SCREEN,
    size: int = 480,
    title: str = "",
) -> str:
    """The position as an SVG 1.1 document, size CSS pixels wide.

    last_move: its two squares are marked; flipped: seen from black's side; title: for screen readers (as given, or the
    placement field of the FEN). The small triangle in the lower left corner is white or black: the side to move.
    """
    width, height = EDGE + BOARD + RIM, RIM + BOARD + EDGE
    view = f'width="{size}" height="{size * height // width}" viewBox="{-EDGE} {-RIM} {width} {height}"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {view} role="img">',
        f"<title>{escape(title or board.board_fen())}</title>",
        f'<rect x="{-EDGE}" y="{-RIM}" width="{width}" height="{height}" fill="{palette.paper}"/>',
        f'<rect width="{BOARD}" height="{BOARD}" fill="{palette.light}"/>',
        _dark_squares(palette),
        *(_mark(_corner(square, flipped), palette) for square in _ends(last_move)),
        *(_piece(piece, _corner(square, flipped), palette) for square, piece in sorted(board.piece_map().items())),
        f'<rect width="{BOARD}" height="{BOARD}" fill="none" stroke="{palette.ink}" stroke-width="4"/>',
        *_edge_glyphs(flipped, palette),
        _to_move(board.turn, palette),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def diagram_png(svg: str, width: int = 960) -> bytes:
    """A diagram as PNG, width pixels wide. Needs the package resvg-py; raises InputError where it is missing."""
    try:
        import resvg_py
    except ImportError as error:
        raise InputError("PNG diagrams need the package resvg-py: pip install 'plycue[png]', or choose SVG") from error
    return bytes(resvg_py.svg_to_bytes(svg_string=svg, width=width, skip_system_fonts=True))


def _positions(index: int, game: Game) -> Iterator[Chosen]:
    yield Chosen(index, None, chess.Board(game.start_fen))
    for ply, board in game.boards():
        yield Chosen(index, ply, board)


def _all_positions(lesson: Lesson) -> Iterator[Chosen]:
    for index, game in enumerate(lesson.games):
        yield from _positions(index, game)


def _after_half_move(lesson: Lesson, number: int) -> Chosen:
    if not lesson.games:
        raise InputError("the lesson has no game: there is no position to draw")
    played = [each for each in _positions(0, lesson.games[0]) if each.ply is None or each.ply.played]
    last = len(played) - 1
    if number > last:
        raise InputError(f"there is no ply {number}, the game ends with ply {last}: choose a lower number")
    return played[number]


def _after_move(lesson: Lesson, choice: str, match: re.Match[str]) -> Chosen:
    found = [each for each in _all_positions(lesson) if each.ply and _is_move(each, match)]
    if not found:
        raise InputError(f"no move '{choice}' in the lesson: write it as the PGN file does, such as 12...Qc7")
    return min(found, key=lambda each: each.ply is not None and not each.ply.played)


def _is_move(chosen: Chosen, match: re.Match[str]) -> bool:
    if chosen.ply is None or chosen.ply.san.rstrip("+#") != match["san"].rstrip("+#"):
        return False
    if match["number"] is None:
        return True
    white_moved = chosen.board.turn == chess.BLACK
    number = chosen.board.fullmove_number - (0 if white_moved else 1)
    return number == int(match["number"]) and (match["dots"] in (None, ".") if white_moved else match["dots"] != ".")


def _corner(square: chess.Square, flipped: bool) -> tuple[int, int]:
    """The square's left upper corner."""
    column, row = chess.square_file(square), 7 - chess.square_rank(square)
    return ((7 - column) * SQUARE, (7 - row) * SQUARE) if flipped else (column * SQUARE, row * SQUARE)


def _dark_squares(palette: Palette) -> str:
    # Seen from either side the left lower corner is dark.
    places = [(x * SQUARE, y * SQUARE) for y in range(8) for x in range(8) if (x + y) % 2]
    if palette.hatched:
        path = " ".join(line for x, y in places for line in _hatching(x, y))
        return f'<path d="{path}" fill="none" stroke="{palette.dark}" stroke-width="3"/>'
    path = " ".join(f"M{x} {y}h{SQUARE}v{SQUARE}h{-SQUARE}z" for x, y in places)
    return f'<path d="{path}" fill="{palette.dark}"/>'


def _hatching(x: int, y: int) -> Iterator[str]:
    gap = SQUARE // 8
    for length in range(gap, SQUARE + 1, gap):
        yield f"M{x} {y + length}l{length} {-length}"
    for inset in range(gap, SQUARE, gap):
        yield f"M{x + inset} {y + SQUARE}l{SQUARE - inset} {inset - SQUARE}"


def _ends(move: chess.Move | None) -> tuple[chess.Square, ...]:
    return (move.from_square, move.to_square) if move else ()


def _mark(corner: tuple[int, int], palette: Palette) -> str:
    """Brackets in the square's four corners."""
    x, y = corner
    brackets = f"M{x + 6} {y + 26}v-20h20M{x + 74} {y + 6}h20v20M{x + 94} {y + 74}v20h-20M{x + 26} {y + 94}h-20v-20"
    return f'<path d="{brackets}" fill="none" stroke="{palette.mark}" stroke-width="6"/>'


def _piece(piece: chess.Piece, corner: tuple[int, int], palette: Palette) -> str:
    shape = PIECES[piece.symbol().lower()]
    fill, line = (palette.paper, palette.ink) if piece.color == chess.WHITE else (palette.ink, palette.paper)
    body = "".join(f'<path d="{path}"/>' for path in shape.body)
    cuts = "".join(f'<path d="{path}"/>' for path in shape.cuts)
    scale = SQUARE / (SQUARE - 2 * MARGIN)
    x, y = (round(edge - MARGIN * scale, 2) for edge in corner)
    # The strip of paper around each piece parts it from squares, marks and hatching.
    return (
        f'<g transform="translate({x} {y}) scale({scale:.4f})" stroke-linejoin="round" stroke-linecap="round">'
        f'<g fill="none" stroke="{palette.paper}" stroke-width="9">{body}</g>'
        f'<g fill="{fill}" stroke="{palette.ink}" stroke-width="4">{body}</g>'
        f'<g fill="none" stroke="{line}" stroke-width="4">{cuts}</g></g>'
    )


def _edge_glyphs(flipped: bool, palette: Palette) -> Iterator[str]:
    yield f'<g fill="none" stroke="{palette.ink}" stroke-width="1.6" stroke-linecap="round" stroke-linejoin="round">'
    for place in range(8):
        rank, file = ("12345678"[place], "hgfedcba"[place]) if flipped else ("87654321"[place], "abcdefgh"[place])
        yield f'<path transform="translate({16 - EDGE} {place * SQUARE + 35}) scale(2.2)" d="{GLYPHS[rank]}"/>'
        yield f'<path transform="translate({place * SQUARE + 39} {BOARD + 11}) scale(2.2)" d="{GLYPHS[file]}"/>'
    yield "</g>"


def _to_move(side: chess.Color, palette: Palette) -> str:
    fill = palette.paper if side == chess.WHITE else palette.ink
    return (
        f'<path d="M{16 - EDGE} {BOARD + 40}h24l-12 -22z" fill="{fill}" stroke="{palette.ink}" stroke-width="4"'
        ' stroke-linejoin="round"/>'
    )
