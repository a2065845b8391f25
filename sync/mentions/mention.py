"""A mention: words of the talk that may name a move, and what they say about it."""

from __future__ import annotations

from dataclasses import dataclass

Costs = tuple[float, ...]
"""Negative log-probabilities in nats, one for each square (64) or each piece type (index 0 is not used)."""


SQUARE_BY_VERB = frozenset({"move-square", "back-square"})
"""Forms that say a square and no piece, but a verb or "back" ("drops back to d7")."""
TELLS_APART = frozenset("DFGORW")
"""Parts that tell which of two like pieces moves."""


@dataclass(frozen=True, slots=True)
class Mention:
    """One reading of some words as the name of a move. What a slot does not say is None or False.

    first, last: the words are words[first:last] of the transcript; start, end: their time in seconds.
    heard: those words as they stand in the transcript. form: the row of patterns.ROWS that matched.
    piece, victim: cost of each piece type as the piece that moves or is taken.
    to, origin: cost of each square as the one that the move goes to or comes from.
    takes: a capture is said. castle: "", "any", "king" or "queen". promotion: a piece type or None.
    back, here, other: "back", "here"/"there" or "the other" is said.
    steps: squares that a pawn is said to go, 0 where that is not said.
    spoken_of: the piece that the same sentence spoke of before, where the name is a square alone.
    cost: what the mishearings in the words cost, besides those in the slots.
    gaps: words between the parts of the name; breaks: commas inside the name.
    parts: (part of the row, first word, last word) in spoken order, for putting the words right.
    line: an opening's moves from the start position, in SAN, when the words name an opening.
    """

    first: int
    last: int
    start: float
    end: float
    heard: str
    form: str
    piece: Costs | None = None
    to: Costs | None = None
    origin: Costs | None = None
    victim: Costs | None = None
    takes: bool = False
    trade: bool = False
    castle: str = ""
    promotion: int | None = None
    check: bool = False
    mate: bool = False
    en_passant: bool = False
    back: bool = False
    here: bool = False
    other: bool = False
    steps: int = 0
    spoken_of: int | None = None
    cost: float = 0.0
    gaps: int = 0
    breaks: int = 0
    parts: tuple[tuple[str, int, int], ...] = ()
    line: tuple[str, ...] = ()

    @property
    def full(self) -> bool:
        """It says where the move goes, or that it castles."""
        return self.to is not None or bool(self.castle)

    @property
    def told_apart_after(self) -> bool:
        """Behind the square stands what tells two like pieces apart ("rook d1, the one from a1")."""
        said = [part for part, _, _ in self.parts]
        return "S" in said[:-1] and said[-1] in TELLS_APART

    @property
    def end_of_name(self) -> int:
        """The word after the name, without what tells two like pieces apart behind it."""
        if not self.told_apart_after:
            return self.last
        return max(last for part, _, last in self.parts if part == "S")

    @property
    def may_be_two(self) -> bool:
        """A piece and two squares with nothing between them: "knight b6 b5", or "rook e2 b5" for "rook e to b5"."""
        if self.form != "piece-square":
            return False
        ends = {last: part for part, _, last in self.parts}
        return any(part == "S" and ends.get(first) in ("D", "G") for part, first, _ in self.parts)
