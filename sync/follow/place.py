"""Places: the positions that a talk can be about, as one tree that all hypotheses of the search share."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import chess

from sync.mentions.match import NOT_BACK, LegalMoves, Named, is_back
from sync.mentions.mention import Mention


class Place:
    """A position reached by a line of moves from the start position.

    Two lines to the same position are two places, as in a PGN's tree. Places are made once and never change, so that
    what was found out about one (its board, the moves a mention names there) is kept with it.
    """

    __slots__ = ("_board", "_legal", "_named", "children", "id", "move", "parent", "ply", "turn")

    def __init__(self, id: int, parent: Place | None, move: chess.Move | None, ply: int, turn: chess.Color) -> None:
        self.id = id
        self.parent = parent
        self.move = move
        self.ply = ply
        self.turn = turn
        self.children: dict[chess.Move, Place] = {}
        self._board: chess.Board | None = None
        self._legal: LegalMoves | None = None
        self._named: dict[int, tuple[Named, ...]] = {}

    @property
    def board(self) -> chess.Board:
        """The position. Not to be changed."""
        if self._board is None:
            place, moves = self, list[chess.Move]()
            while place._board is None:
                assert place.parent is not None and place.move is not None
                moves.append(place.move)
                place = place.parent
            self._board = place._board.copy(stack=False)
            for move in reversed(moves):
                self._board.push(move)
        return self._board

    @property
    def own_last(self) -> chess.Move | None:
        """The last move of the side to move, where it is known."""
        return self.parent.move if self.parent else None

    def forget(self) -> None:
        """Lets go of what can be found out again. The start position is kept."""
        if self.parent is not None:
            self._board = None
        self._legal = None
        self._named = {}

    def named(self, key: int, mention: Mention) -> tuple[Named, ...]:
        """The moves that the mention (number key) may name here."""
        found = self._named.get(key)
        if found is None:
            found = self.legal.named(mention)
            if mention.back and not mention.takes:
                found = self._told_back(found)
            self._named[key] = found
        return found

    def _told_back(self, options: Sequence[Named]) -> tuple[Named, ...]:
        """Of 65 moves of 444 scripts told with "back" that do not go towards the side's own first rank, 49 return to
        where the piece stood before."""
        told = [
            replace(each, cost=each.cost - NOT_BACK)
            if not is_back(self.turn, each.move.from_square, each.move.to_square) and self._returns(each.move)
            else each
            for each in options
        ]
        return tuple(sorted(told, key=lambda each: each.cost))

    def _returns(self, move: chess.Move) -> bool:
        """The piece stood before where it goes."""
        square = move.from_square
        for place in reversed(self.line()):
            if place.move and place.move.to_square == square:
                square = place.move.from_square
                if square == move.to_square:
                    return True
        return False

    @property
    def legal(self) -> LegalMoves:
        if self._legal is None:
            self._legal = LegalMoves(self.board)
        return self._legal

    def line(self) -> list[Place]:
        """The places from the first move to this one."""
        places = []
        place = self
        while place.parent is not None:
            places.append(place)
            place = place.parent
        return places[::-1]

    def ancestors(self) -> Iterator[Place]:
        """The places before this one, nearest first."""
        place = self.parent
        while place is not None:
            yield place
            place = place.parent

    def leads_to(self, other: Place) -> bool:
        """This place is other or stands before it."""
        while other.ply > self.ply:
            assert other.parent is not None
            other = other.parent
        return other is self


class Places:
    """All places of one search, numbered in the order in which they were first reached."""

    def __init__(self, start: chess.Board) -> None:
        self.root = Place(0, None, None, 0, start.turn)
        self.root._board = start.copy(stack=False)
        self.by_id: dict[int, Place] = {0: self.root}

    def after(self, place: Place, move: chess.Move) -> Place:
        found = place.children.get(move)
        if found is None:
            found = Place(len(self.by_id), place, move, place.ply + 1, not place.turn)
            place.children[move] = found
            self.by_id[found.id] = found
        return found
