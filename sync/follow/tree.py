"""Game trees with their place in the talk: what the search hands on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import chess


@dataclass(frozen=True, slots=True)
class Moment:
    """A stretch of the talk about one ply.

    start: onset of the first word that names the move, in seconds; end: where the talk about it ends.
    first_word, named_end, end_word: indices into the transcript's words; words[first_word:named_end] name the move,
        words[first_word:end_word] is the talk about it.
    heard: the naming words as the recogniser wrote them; spoken: the same put right ("Night F3" -> "knight f3").
    """

    start: float
    end: float
    first_word: int
    named_end: int
    end_word: int
    heard: str
    spoken: str


@dataclass(frozen=True, slots=True)
class RunnerUp:
    """Another legal move that the same words might have named. probability: 0 to 1."""

    uci: str
    san: str
    probability: float


@dataclass(frozen=True, slots=True)
class Ply:
    """One move of the tree.

    id: unique in its game; parent: the id of the ply before, None at the start position.
    played: it belongs to the game; otherwise it was only considered (a side line).
    inferred: the speaker never named it; later talk is legal only through it.
    moments: in time order; the first is where it was first named. Empty when inferred.
    confidence: 0 to 1; reason: one short line that says why it is not higher.
    runners_up: most likely first. nags: numeric annotation glyphs (PGN standard, section 10).
    comment: an editor's text; None means that what was said about the move is the comment.
    """

    id: int
    parent: int | None
    uci: str
    san: str
    played: bool
    inferred: bool = False
    confidence: float = 1.0
    reason: str = ""
    moments: tuple[Moment, ...] = ()
    runners_up: tuple[RunnerUp, ...] = ()
    nags: tuple[int, ...] = ()
    comment: str | None = None


@dataclass(frozen=True, slots=True)
class Game:
    """One game tree of a lesson.

    plies: every parent stands before its children. Among the children of one parent the played ply stands first, then
        the side lines in the order in which they are published. After the game's last played ply all children are
        side lines.
    start, end: seconds; the part of the talk that belongs to this game. first_word, end_word: the same as indices.
    tags: PGN tag pairs besides those that are computed (FEN, SetUp).
    """

    start_fen: str
    plies: tuple[Ply, ...]
    start: float
    end: float
    first_word: int
    end_word: int
    tags: dict[str, str] = field(default_factory=dict)

    def boards(self) -> Iterator[tuple[Ply, chess.Board]]:
        """Each ply with the position after it."""
        after: dict[int | None, chess.Board] = {None: chess.Board(self.start_fen)}
        for ply in self.plies:
            board = after[ply.parent].copy(stack=False)
            board.push_uci(ply.uci)
            after[ply.id] = board
            yield ply, board
