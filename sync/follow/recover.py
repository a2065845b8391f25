"""Reads a talk with the beam search, and goes back to where it may have gone astray.

One wrong ply early in a game is often found out only when, many moves later, clear words name a move that is not legal.
The right hypothesis has been dropped by then, so it is looked for again: among what was dropped, and among what the
best hypothesis becomes when one of its moves is changed for another that the same words may name.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import islice

import chess

from sync.follow.model import GAME
from sync.follow.place import Place
from sync.follow.search import (
    AGAIN,
    FIRST,
    WIDE,
    Group,
    Search,
    Spot,
    State,
    Step,
    Width,
    clear,
    different,
    groups,
    merged,
)
from sync.mentions.match import EXACT, LegalMoves, Named

WINDOW = 8
POOR = 4.6
"""Where the talk is followed rightly, so many clear mentions in a row hardly ever bring fewer nats each than this."""
STRETCH = 12
WELL = 6.6
"""Nats each that so many clear mentions in a row bring nearly always in a talk that is followed rightly to its end."""
LONGEST = 1000
"""Words with mentions up to which a talk (of 25 minutes) is read with the wide beam: then it takes minutes and 1 GB."""
REMEMBERED = 30
"""Clear mentions back to which what was dropped is remembered."""
ALTERNATIVES = 4
MUCH_WORSE = 6.0
"""Other moves for the words of a ply that are tried: so many, and not so many nats worse."""
TIPS = 12
"""Hypotheses with different games that are remembered at each mention."""
PLIES_BACK = 40
"""Plies of the game that may be changed when a clear mention fits nowhere."""
FORGETTING = 100
"""Words with mentions after which the search lets go of what it found out about places."""
CHANGES = 3
"""Changes that are followed up, those of the latest plies."""

Reached = Callable[[int], None]
"""Is told the word that is read; from an earlier one on again where the talk is read once more."""


def unwatched(word: int) -> None:
    """Nobody asks how far it is."""


def run(search: Search, found: Sequence[Spot], reached: Reached = unwatched) -> list[State]:
    """The last beam, best first. A talk of which a part is followed badly is read once more with a wide beam."""
    beam = once(search, found, FIRST, reached)
    if search.given is not None or len(groups(found)) > LONGEST or poorest(beam[0], found) >= WELL:
        return beam
    return merged(beam, once(search, found, WIDE, reached), WIDE)


def poorest(state: State, found: Sequence[Spot]) -> float:
    """The least that a stretch of clear mentions brought a hypothesis, in nats for each of them."""
    plain = clear(found)
    scores = [0.0, *scores_at(state, [spot.mention.first for spot in found if spot.key in plain])]
    length = min(STRETCH, len(scores) - 1)
    if not length:
        return 0.0
    return min(end - start for start, end in zip(scores, scores[length:], strict=False)) / length


def scores_at(state: State, words: Sequence[int]) -> list[float]:
    """The scores that a hypothesis had after what begins at each of some words, in their order."""
    scores: list[float] = []
    for word in reversed(words):
        while state.steps and state.steps[0].spot.mention.first > word:
            state = state.steps[0].before
        scores.append(state.score)
    return scores[::-1]


def once(search: Search, found: Sequence[Spot], width: Width, reached: Reached = unwatched) -> list[State]:
    """The last beam of a reading that goes back where it is stuck."""
    parts = groups(found)
    trail = Trail(parts, clear(found), search.start)
    beam = [search.start]
    for index, group in enumerate(parts):
        reached(group.first)
        beam, left = search.read(beam, group, width)
        trail.note(index, beam, left)
        if index % FORGETTING == FORGETTING - 1:
            search.forget()
        if search.given is not None:
            continue
        if trail.stuck:
            found_again = again(search, trail, beam[0])
            trail.tried(max((state.score for state in found_again), default=-math.inf) > beam[0].score)
            beam = merged(beam, found_again, width)
            trail.noted(beam)
        target = trail.surprise(index, beam[0])
        if target is not None:
            beam = merged(beam, changed(search, trail, index, beam[0], target), width)
            trail.noted(beam)
    return beam


class Trail:
    """What the beam left behind, and whether it is still getting on."""

    def __init__(self, parts: Sequence[Group], clear: frozenset[int], start: State) -> None:
        self.parts = parts
        self.stuck = False
        self._clear = clear
        self._scores = [start.score]
        """The best score after each clear mention so far."""
        self._marks: list[int] = []
        """The group of each clear mention so far."""
        self._left: dict[int, list[State]] = {}
        self._kept: dict[int, list[State]] = {}
        """By group, as far back as is remembered."""
        self._tried = 0
        self._patience = WINDOW // 2
        self._numbers = {group.first: number for number, group in enumerate(parts)}

    def note(self, index: int, beam: list[State], left: list[State]) -> None:
        self._left[index] = left
        self._kept[index] = different(beam, TIPS)
        self.stuck = False
        if not self._clear_spots(index):
            return
        self._scores.append(beam[0].score)
        self._marks.append(index)
        for old in [number for number in self._left if number < self.begin - 1]:
            del self._left[old], self._kept[old]
        count = len(self._marks)
        poor = count >= WINDOW and self._scores[-1] - self._scores[-1 - WINDOW] < POOR * WINDOW
        self.stuck = poor and count - self._tried >= self._patience

    def tried(self, helped: bool) -> None:
        """It was read again; where that was in vain, the next time is further off."""
        self._tried = len(self._marks)
        self._patience = WINDOW // 2 if helped else 2 * self._patience

    def noted(self, beam: list[State]) -> None:
        """The beam has changed."""
        self._scores[-1] = beam[0].score

    def _clear_spots(self, index: int) -> list[Spot]:
        return [spot for spot in self.parts[index].here if spot.key in self._clear]

    def surprise(self, index: int, best: State) -> Spot | None:
        """A clear mention that fits nowhere near where the best hypothesis is."""
        places = {best.tip, best.cursor, best.base, best.cursor.parent or best.tip}
        for spot in self._clear_spots(index):
            if best.free <= spot.mention.first and not any(legal(place, spot) for place in places):
                return spot
        return None

    @property
    def begin(self) -> int:
        """The first group to be read again."""
        return self._marks[-REMEMBERED] if len(self._marks) > REMEMBERED else 0

    def number(self, spot: Spot) -> int:
        return self._numbers[spot.mention.first]

    def dropped(self) -> dict[int, list[State]]:
        """The groups to be read again, with the hypotheses that join there."""
        onset = self._marks[-WINDOW]
        joining = {number: list(left) for number, left in self._left.items() if number >= self.begin}
        if onset:
            joining[onset] += self._kept[onset - 1]
        return joining


def legal(place: Place, spot: Spot) -> bool:
    """The words stand for a move that is legal there."""
    return _exact(place.named(spot.key, spot.mention))


def _exact(named: Sequence[Named]) -> bool:
    return bool(named) and named[0].cost < EXACT


def again(search: Search, trail: Trail, best: State) -> list[State]:
    """What comes of the hypotheses that were dropped, and of the best one with another move for some words."""
    joining = trail.dropped()
    for number, state in readings(search, trail, best):
        if number in joining:
            joining[number].append(state)
    beam: list[State] = []
    for number, states in joining.items():
        beam = sorted([*beam, *states], key=lambda state: -state.score)
        if beam:
            beam, _ = search.read(beam, trail.parts[number], AGAIN)
    return beam


def readings(search: Search, trail: Trail, best: State) -> Iterator[tuple[int, State]]:
    """The best hypothesis with another move for the words of one ply, and the group after these words."""
    state = best
    while state.steps:
        step = state.steps[0]
        state = step.before
        if step.kind != GAME or step.spot.bound:
            continue
        number = trail.number(step.spot)
        if number < trail.begin:
            return
        base = step.place.parent
        assert base is not None
        for move in search.readings(base, step.spot)[:ALTERNATIVES]:
            if move != step.place.move:
                other = search.instead(step, move)
                if other is not None and other.score > state.score + step.score - MUCH_WORSE:
                    yield number + 1, other


def changed(search: Search, trail: Trail, index: int, best: State, target: Spot) -> list[State]:
    """What comes of the best hypothesis when one ply of its game is changed so that the target becomes legal.

    index: the group of the target.
    """
    found: list[State] = []
    for step, move in islice(changes(search, best, target), CHANGES):
        start = search.instead(step, move)
        if start is None:
            continue
        states = [start]
        for group in trail.parts[trail.number(step.spot) + 1 : index + 1]:
            states, _ = search.read(states, group, AGAIN)
        found += states
    return found


def changes(search: Search, best: State, target: Spot) -> Iterator[tuple[Step, chess.Move]]:
    """Steps of the game, the latest first, with another move for their words that makes the target legal."""
    later: list[chess.Move] = []
    plies = 0
    state = best
    while state.steps and plies < PLIES_BACK:
        step = state.steps[0]
        if step.kind == GAME:
            base = step.place.parent
            assert base is not None and step.place.move is not None
            for move in search.readings(base, step.spot):
                if move != step.place.move and fits_after(base.board, [move, *later], target):
                    yield step, move
            later = [*(place.move for place in step.through if place.move), step.place.move, *later]
            plies += 1
        state = step.before


def fits_after(board: chess.Board, moves: Sequence[chess.Move], target: Spot) -> bool:
    """The moves are legal from the position, and the target after them."""
    board = board.copy(stack=False)
    for move in moves:
        if not board.is_legal(move):
            return False
        board.push(move)
    return _exact(LegalMoves(board).named(target.mention))
