"""Reads the PGN file that a user gives for the games of a talk.

python-chess reads the moves; since it passes over what it does not know, and is slow on some odd files, the text is
looked through first. Sections named are those of Steven J. Edwards, "Standard: Portable Game Notation Specification and
Implementation Guide", 1994.
"""

from __future__ import annotations

import io
import os
import re
from collections.abc import Iterator
from pathlib import Path

import chess
import chess.pgn

from sync.errors import InputError

LARGEST_FILE = 4_000_000
"""Bytes. A talk of three hours, written by this package with all its words, has about 400 000."""
MOST_GAMES = 100
MOST_WORDS = 50_000
"""Moves, move numbers and results of all games together."""
DEEPEST_NESTING = 50
MOST_COMMENTS_IN_A_ROW = 50

TOKEN = re.compile(
    r"""
      (?P<escape>   ^%[^\n]* )                                                              # 6
    | \[ \s* (?P<tag> \w+ ) \s* "(?P<value> (?: \\. | [^"\\\n] )* )" \s* \]                # 8.1
    | ^[ \t]* \[ \s* (?P<loose> \w+ ) \s* "(?P<loose_value> [^\n]* )" [ \t]* \] [ \t]* $   # quotes not escaped
    | (?P<unread>   ^[ \t]* \[ [^\n]* )
    | (?P<comment>  \{ [^}]* \} )                                                          # 5
    | (?P<remark>   ;[^\n]* )                                                              # 5
    | (?P<unclosed> \{ )
    | (?P<open>     \( )
    | (?P<close>    \) )
    | (?P<result>   (?: 1-0 | 0-1 | 1/2-1/2 | \* ) (?= [\s{;] | \Z ) )                       # 8.2.6
    | (?P<word>     [^\s(){};]+ )
    """,
    re.VERBOSE | re.MULTILINE,
)

MOVE_WORD = re.compile(
    r"""
    \d* [.…]*                                                                              # move number
    (?: (?: [KQRBNP]?[a-h]?[1-8]?[-x]?[a-h][1-8](?:=?[QRBNqrbn])? | [O0]-[O0](?:-[O0])? | -- | Z0 )
        [+\#]* (?: ep | e\.p\. )?
    )?
    [^\w$]* (?:\$\d{1,3})*                                                                # judgement of the move
    | [^\w]+ | N | D | TN | e\.p\. | ep                                                    # signs that authors add
    """,
    re.VERBOSE,
)

STANDARD_CHESS = {"", "?", "standard", "chess", "normal", "classical", "from position"}
"""Values of a Variant tag that mean no variant, in small letters."""


def read_game(path: str | os.PathLike[str]) -> tuple[chess.pgn.Game, ...]:
    """The games of a PGN file that a user gives: as read_games, but at least one, and each with at least one move."""
    name = os.fspath(path)
    return _with_moves(read_games(name), name)


def parse_games(text: str, name: str) -> tuple[chess.pgn.Game, ...]:
    """As read_game, of a PGN text that is not a file of its own; name says where it stands."""
    return _with_moves(_games(text, name), name)


def _with_moves(games: tuple[chess.pgn.Game, ...], name: str) -> tuple[chess.pgn.Game, ...]:
    if not games:
        raise InputError(f"{name}: no game in it; give a PGN file with the moves of the game")
    for number, game in enumerate(games, start=1):
        if not game.variations:
            raise InputError(f"{name}: game {number} has no moves; give a PGN file with the moves of the game")
    return games


def read_games(path: str | os.PathLike[str]) -> tuple[chess.pgn.Game, ...]:
    """The games of a PGN file, all of whose moves are legal; none for a file without any.

    UTF-8 with or without a byte order mark, else Latin-1. Tag values come without the escapes of the file. A null move
    in a side line ends that side line. Raises InputError for a file that is missing, larger than LARGEST_FILE, nested
    deeper than DEEPEST_NESTING or broken, for illegal moves and for chess variants.
    """
    name = os.fspath(path)
    return _games(_decoded(_bytes(name), name), name)


def _games(text: str, name: str) -> tuple[chess.pgn.Game, ...]:
    handle = io.StringIO(_one_token_a_line(text, name))
    games: list[chess.pgn.Game] = []

    def builder() -> _Builder:
        return _Builder(f"{name}: game {len(games) + 1}")

    while game := chess.pgn.read_game(handle, Visitor=builder):
        games.append(game)
        if len(games) > MOST_GAMES:
            raise InputError(f"{name}: more than {MOST_GAMES} games; keep only those of the talk")
    for number, game in enumerate(games, start=1):
        _drop_null_moves(game, f"{name}: game {number}")
    return tuple(games)


class _Builder(chess.pgn.GameBuilder[chess.pgn.Game]):
    """Builds a game and stops at the first thing that is wrong with it."""

    def __init__(self, where: str) -> None:
        super().__init__()
        self.where = where

    def visit_header(self, tagname: str, tagvalue: str) -> None:
        super().visit_header(tagname, re.sub(r"\\(.)", r"\1", tagvalue))

    def end_headers(self) -> None:
        headers = self.game.headers
        if (variant := headers.get("Variant", "")).strip().lower() not in STANDARD_CHESS:
            raise InputError(f"{self.where} is {variant!r}; only standard chess can be followed")
        if "FEN" in headers:
            self._check_start(headers["FEN"])

    def parse_san(self, board: chess.Board, san: str) -> chess.Move:
        try:
            return super().parse_san(board, san)
        except ValueError as error:
            raise InputError(f"{self.where}: {_place(board, san)} {_fault(error)}; correct the file") from error

    def handle_error(self, error: Exception) -> None:
        raise InputError(f"{self.where}: {error}; correct the file") from error

    def _check_start(self, fen: str) -> None:
        try:
            valid = chess.Board(fen).is_valid()
        except ValueError:
            valid = False
        if not valid:
            raise InputError(f"{self.where}: FEN {fen!r} is no position of a chess game; correct the tag")


def _bytes(name: str) -> bytes:
    try:
        with Path(name).open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise InputError(f"cannot read {name}: {error.strerror or error}; give a PGN file") from error
    if len(data) > LARGEST_FILE:
        raise InputError(f"{name}: larger than {LARGEST_FILE // 1_000_000} MB; give only the games of the talk")
    return data


def _decoded(data: bytes, name: str) -> str:
    if b"\0" in data:
        raise InputError(f"{name}: not a text file; give a PGN file in UTF-8 or Latin-1")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _one_token_a_line(text: str, name: str) -> str:
    """The text in a form that is read in one way only: each token in its line, a blank line before each game's tags.

    Raises InputError for comments that do not end, parentheses that do not match, and words that are no moves.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(_checked_tokens(text, name))


def _checked_tokens(text: str, name: str) -> Iterator[str]:
    depth, words, comments, before = 0, 0, 0, "tag"
    held: list[str] = []  # comments among the tags: they belong to the game and stand before its first move
    for token in TOKEN.finditer(text):
        kind = token.lastgroup or ""
        words += kind == "word"
        comments = comments + 1 if kind == "comment" else 0
        depth += (kind == "open") - (kind == "close")
        if fault := _fault_of_token(kind, token[0], before, depth) or _too_much(words, comments, depth):
            line = text.count("\n", 0, token.start()) + 1
            raise InputError(f"{name}: line {line}: {fault}")
        match kind:
            case "value" | "loose_value":
                yield "\n" if before != "tag" else ""
                yield f'[{token["tag"] or token["loose"]} "{token[kind].strip()}"]\n'
                before = "tag"
            case "comment" if before == "tag":
                held.append(f"{token[0]}\n")
            case "comment":
                yield f"{token[0]}\n"
            case "word" | "open" | "close" | "result":
                yield "\n" if before == "result" else ""
                yield from held
                yield f"{token[0]}\n"
                held, before = [], kind
    if depth:
        raise InputError(f"{name}: {depth} side lines are not closed; add the missing ')'")


def _fault_of_token(kind: str, what: str, before: str, depth: int) -> str:
    """What is wrong with a token; before is the kind of the last token that is no comment, depth that after it."""
    match kind:
        case "unclosed":
            return "a comment begins here and never ends; add the missing '}'"
        case "unread":
            return f'{what.strip()[:20]!r} is no tag; write [Name "value"]'
        case "close" if depth < 0:
            return "')' without '('; correct the side lines"
        case "open" if before not in ("word", "close"):
            return "a side line stands before any move; correct the side lines"
        case "value" | "loose_value" | "result" if depth:
            return "the game ends inside a side line; add the missing ')'"
        case "word" if not MOVE_WORD.fullmatch(what):
            return f"{what[:20]!r} is no move; write moves with the English letters K Q R B N"
        case _:
            return ""


def _too_much(words: int, comments: int, depth: int) -> str:
    if words > MOST_WORDS:
        return f"more than {MOST_WORDS} moves and numbers; give only the games of the talk"
    if comments > MOST_COMMENTS_IN_A_ROW:
        return f"more than {MOST_COMMENTS_IN_A_ROW} comments in a row; take some out"
    if depth > DEEPEST_NESTING:
        return f"side lines nested deeper than {DEEPEST_NESTING}; take some out"
    return ""


def _drop_null_moves(game: chess.pgn.Game, where: str) -> None:
    for node in game.mainline():
        if not node.move:
            raise InputError(
                f"{where}: {_place(node.parent.board(), '--')} is a null move; only side lines may have one"
            )
    for node in list(_nodes(game)):
        if not node.move:
            node.parent.remove_variation(node)


def _nodes(game: chess.pgn.Game) -> Iterator[chess.pgn.ChildNode]:
    waiting = list(game.variations)
    while waiting:
        node = waiting.pop()
        waiting.extend(node.variations)
        yield node


def _place(board: chess.Board, san: str) -> str:
    """The move with its number and its ply, counted from the game's start."""
    dots = "." if board.turn == chess.WHITE else "..."
    return f"ply {len(board.move_stack) + 1} ({board.fullmove_number}{dots} {san})"


def _fault(error: ValueError) -> str:
    match error:
        case chess.AmbiguousMoveError():
            return "can be played by more than one piece"
        case chess.IllegalMoveError():
            return "is illegal"
        case _:
            return "is no move"
