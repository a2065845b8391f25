"""Reads a lesson script (docs/lesson-scripts.md) and builds its true game tree."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import chess
import chess.pgn

MARK = re.compile(r"\{([^|{}]+)\|([^|{}]+)\}")
PAUSE = re.compile(r"\{pause (\d+(?:\.\d+)?)\}")
TAG = re.compile(r"M \d+|V \w+\.\d+|R (M ?\d+|V ?\w+\.\d+)|X")
HEADER = re.compile(r"# (title|style|game|silent|start|var [a-z][a-z0-9]*): *(\S.*)")
SIDE_LINE = re.compile(r"after (\d+|\w+\.\d+): (.+)")
SILENT = re.compile(r"(\d+)(?:-(\d+))?")


@dataclass(frozen=True)
class Mark:
    """A marked place in a paragraph: text[start:end] names a move. tag: "M 5", "V a.2", "R M5", "X"."""

    tag: str
    start: int
    end: int

    @property
    def place(self) -> str:
        """What is named, without the sign for a repeat: "M 5", "V a.2" or "X"."""
        return re.sub(r"^R ([MV]) ?", r"\1 ", self.tag)

    @property
    def is_first(self) -> bool:
        return self.tag.startswith(("M ", "V "))


@dataclass(frozen=True)
class Paragraph:
    """line: where it begins in the file, from 1. pause: seconds of silence before it, besides the usual gap."""

    text: str
    marks: tuple[Mark, ...]
    line: int
    pause: float = 0.0


@dataclass(frozen=True)
class SideLine:
    """Moves (SAN) from the position after a main-line ply ("8") or a side-line move ("a.3")."""

    after: str
    moves: tuple[str, ...]


@dataclass(frozen=True)
class Script:
    """silent: plies (from 1) that the speaker never names."""

    title: str
    start_fen: str
    game: tuple[str, ...]
    silent: frozenset[int]
    side_lines: dict[str, SideLine]
    paragraphs: tuple[Paragraph, ...]

    @property
    def text(self) -> str:
        """What is said, a blank line between paragraphs."""
        return "\n\n".join(paragraph.text for paragraph in self.paragraphs)


def read_script(path: Path) -> Script:
    """Raises ValueError with the file's name when the script breaks the format."""
    lines = path.read_text(encoding="utf-8").splitlines()
    body = next((i for i, line in enumerate(lines) if not line.startswith("#")), len(lines))
    try:
        header = _header(lines[:body])
        return Script(
            title=header["title"],
            start_fen=header.get("start", chess.STARTING_FEN),
            game=tuple(header["game"].split()),
            silent=frozenset(_silent(header.get("silent", ""))),
            side_lines={key[4:]: _side_line(value) for key, value in header.items() if key.startswith("var ")},
            paragraphs=tuple(_paragraphs(lines[body:], body + 1)),
        )
    except KeyError as error:
        raise ValueError(f"{path}: no header line {error}") from error
    except ValueError as error:
        raise ValueError(f"{path}: {error}") from error


def _header(lines: list[str]) -> dict[str, str]:
    header: dict[str, str] = {}
    for line in lines:
        match = HEADER.fullmatch(line.rstrip())
        if not match or match[1] in header:
            raise ValueError(f"unknown or repeated header line: {line!r}")
        header[match[1]] = match[2]
    return header


def _silent(value: str) -> Iterator[int]:
    for part in filter(None, value.split(", ")):
        match = SILENT.fullmatch(part)
        if not match:
            raise ValueError(f"silent plies not readable: {part!r}")
        yield from range(int(match[1]), int(match[2] or match[1]) + 1)


def _side_line(value: str) -> SideLine:
    match = SIDE_LINE.fullmatch(value)
    if not match:
        raise ValueError(f"side line not of the form 'after PLACE: MOVES': {value!r}")
    return SideLine(match[1], tuple(match[2].split()))


def _paragraphs(lines: list[str], first_line: int) -> Iterator[Paragraph]:
    pause = 0.0
    number = first_line
    for block in re.split(r"\n[^\S\n]*\n", "\n".join(lines)):
        begins = number + len(block) - len(block.lstrip("\n"))
        number += block.count("\n") + 2
        marked = " ".join(block.split())
        if silence := PAUSE.fullmatch(marked):
            pause += float(silence[1])
        elif marked:
            yield _paragraph(marked, begins, pause)
            pause = 0.0


def _paragraph(marked: str, line: int, pause: float) -> Paragraph:
    text, marks, position = "", [], 0
    for match in MARK.finditer(marked):
        text += marked[position : match.start()]
        if not TAG.fullmatch(match[1]) or match[2] != match[2].strip():
            raise ValueError(f"line {line}: bad mark {match[0]}")
        marks.append(Mark(match[1], len(text), len(text) + len(match[2])))
        text, position = text + match[2], match.end()
    text += marked[position:]
    if stray := re.search(r"[{}|]", text):
        raise ValueError(f"line {line}: {stray[0]} outside of a mark")
    return Paragraph(text, tuple(marks), line, pause)


def build_tree(script: Script) -> tuple[chess.pgn.Game, dict[str, chess.pgn.ChildNode]]:
    """The true game with its side lines, and the node of each place ("M 5", "V a.2"). Raises ValueError."""
    game = chess.pgn.Game()
    game.headers["Event"] = script.title
    board = chess.Board(script.start_fen)
    if not board.is_valid():
        raise ValueError(f"the start position cannot stand on a board: {board.status()!r}")
    if script.start_fen != chess.STARTING_FEN:
        game.setup(board)
    places: dict[str, chess.pgn.GameNode] = {"0": game}
    marks: dict[str, chess.pgn.ChildNode] = {}
    _add_line(game, script.game, "M ", "", places, marks)
    waiting = dict(script.side_lines)
    while ready := [name for name, line in waiting.items() if line.after in places]:
        for name in ready:
            line = waiting.pop(name)
            _add_line(places[line.after], line.moves, f"V {name}.", f"{name}.", places, marks)
    if waiting:
        raise ValueError(f"side lines {', '.join(waiting)} start from a place that does not exist")
    return game, marks


def _add_line(
    node: chess.pgn.GameNode,
    moves: tuple[str, ...],
    mark_prefix: str,
    place_prefix: str,
    places: dict[str, chess.pgn.GameNode],
    marks: dict[str, chess.pgn.ChildNode],
) -> None:
    for number, san in enumerate(moves, start=1):
        where = f"{mark_prefix}{number}"
        board = node.board()
        try:
            move = board.parse_san(san)
        except ValueError as error:
            raise ValueError(f"{where}: {error}") from error
        if board.san(move) != san:
            raise ValueError(f"{where}: {san} must be written {board.san(move)}")
        if node.has_variation(move):
            raise ValueError(f"{where}: another line leaves this position by {san} too")
        node = node.add_variation(move)
        places[f"{place_prefix}{number}"] = marks[where] = node
