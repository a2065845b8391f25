"""An editor's decisions, as the search has to keep to them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Role = Literal["played", "considered", "repeat"]
ROLES: tuple[Role, ...] = ("played", "considered", "repeat")


@dataclass(frozen=True, slots=True)
class Fix:
    """What a stretch of the talk names.

    start, end: seconds; the words between are meant. They name one move, or none.
    uci: the move; None with role None means that the words name no move at all.
    role: played in the game, only considered, or named before; None leaves it to the search.
    line: UCI moves from the start position to where the move starts from; None leaves it to the search.
    """

    start: float
    end: float
    uci: str | None = None
    role: Role | None = None
    line: tuple[str, ...] | None = None
