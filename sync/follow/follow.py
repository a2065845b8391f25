"""From mentions to game trees."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import chess

from sync.follow.fixes import Fix
from sync.follow.games import Stretch, stretches
from sync.follow.model import REPEAT, fitted
from sync.follow.place import Place
from sync.follow.posterior import Belief, beliefs, certainties
from sync.follow.recover import Reached, unwatched
from sync.follow.search import Search, Spot, State, Step, spots
from sync.follow.tree import Game, Moment, Ply, RunnerUp
from sync.mentions.mention import Mention
from sync.mentions.spoken import put_right
from sync.transcript.words import Transcript


def follow(
    transcript: Transcript,
    mentions: Sequence[Mention],
    *,
    start_fen: str = chess.STARTING_FEN,
    moves: Sequence[chess.Move] | None = None,
    fixes: Sequence[Fix] = (),
    reached: Reached = unwatched,
) -> tuple[Game, ...]:
    """The games of a talk with their side lines.

    start_fen: the position that each game starts from. moves: the game's moves where they are known; then the search
    only places them in time, and there is one game. fixes: what an editor has decided. reached: is told how far it is.
    """
    found = spots(transcript, mentions, fitted(), fixes)
    parts = stretches(transcript.words, found, lambda: Search(chess.Board(start_fen), fitted(), moves), reached)
    return tuple(map(partial(_followed, transcript, start_fen), parts))


def _followed(transcript: Transcript, start_fen: str, part: Stretch) -> Game:
    search, found, finals = part.search, part.found, part.finals
    steps = steps_to(finals[0])
    sure = _sure(finals, steps, found, search.given is not None)
    told = with_first_names(search, found, steps)
    words = transcript.words
    return Game(
        start_fen=start_fen,
        plies=_plies(transcript, told, sure, search.given or finals[0].tip, part.end_word),
        start=words[part.first_word].start if part.first_word else 0.0,
        end=words[part.end_word].start if part.end_word < len(words) else transcript.duration,
        first_word=part.first_word,
        end_word=part.end_word,
    )


def steps_to(state: State) -> list[Step]:
    """The best way to a state."""
    found = []
    while state.steps:
        found.append(state.steps[0])
        state = state.steps[0].before
    return found[::-1]


def with_first_names(search: Search, found: Sequence[Spot], steps: Sequence[Step]) -> list[Step]:
    """The steps, and before each that is new the first mention since the step before that names the same move.

    Of two names of one move the search takes the one that fits best; the move was told when it was first named.
    """
    told: list[Step] = []
    full = [spot for spot in found if spot.mention.full]
    begins = [spot.mention.first for spot in full]
    passed = 0
    for step in steps:
        if step.kind != REPEAT and step.spot.fix is None and not step.through:
            until = step.spot.mention.first
            near = full[bisect_left(begins, passed) : bisect_left(begins, until)]
            between = (spot for spot in near if spot.mention.last <= until)
            first = next((spot for spot in between if search.worth(step, spot) > 0.0), None)
            if first is not None:
                told.append(replace(step, spot=first))
        told.append(step)
        passed = step.spot.mention.last
    return told


def _sure(finals: Sequence[State], steps: Sequence[Step], found: Sequence[Spot], given: bool) -> dict[int, Sure]:
    """How sure the places of the best hypothesis are, by id, each when it is first named."""
    believed = beliefs(finals, steps)
    # The moves of a given game are right in any case.
    certain = [each.move * each.role for each in believed] if given else certainties(steps, believed, found)
    rows = list(zip(steps, believed, certain, strict=True))
    return {step.place.id: (step, belief, certainty) for step, belief, certainty in reversed(rows)}


def _plies(
    transcript: Transcript, steps: Sequence[Step], sure: dict[int, Sure], last: Place, end_word: int
) -> tuple[Ply, ...]:
    """steps: the way of the best hypothesis, with all that names its moves. last: where the game ends."""
    moments: dict[int, list[Moment]] = {}
    order: dict[int, Place] = {}
    inferred = set()
    for index, step in enumerate(steps):
        for place in step.through:
            order.setdefault(place.id, place)
            if place.id not in moments:
                inferred.add(place.id)
        order.setdefault(step.place.id, step.place)
        inferred.discard(step.place.id)
        until = steps[index + 1].spot.mention.first if index + 1 < len(steps) else end_word
        moments.setdefault(step.place.id, []).append(_moment(transcript, step, until))
    for place in last.line():
        if order.setdefault(place.id, place) is place and place.id not in moments:
            inferred.add(place.id)
    played = {place.id for place in last.line()}
    children: dict[int, list[Place]] = {}
    for place in order.values():
        assert place.parent is not None
        children.setdefault(place.parent.id, []).append(place)
    plies: list[Ply] = []
    numbers: dict[int, int] = {}
    stack = [0]
    while stack:
        parent = stack.pop()
        below = sorted(children.get(parent, ()), key=lambda place: place.id not in played)
        for place in below:
            numbers[place.id] = len(plies)
            ply = _ply(place, numbers, played, inferred, moments)
            plies.append(replace(ply, **_sureness(place, sure.get(place.id))))
        stack += [place.id for place in reversed(below)]
    return tuple(plies)


def _moment(transcript: Transcript, step: Step, end_word: int) -> Moment:
    mention = step.spot.mention
    words = transcript.words
    assert step.place.parent is not None and step.place.move is not None
    return Moment(
        start=mention.start,
        end=max(mention.end, words[end_word - 1].end),
        first_word=mention.first,
        named_end=mention.last,
        end_word=end_word,
        heard=mention.heard,
        spoken=put_right(mention, words, step.place.parent.board, step.place.move),
    )


def _ply(
    place: Place, numbers: dict[int, int], played: set[int], inferred: set[int], moments: dict[int, list[Moment]]
) -> Ply:
    assert place.parent is not None and place.move is not None
    return Ply(
        id=numbers[place.id],
        parent=numbers.get(place.parent.id),
        uci=place.move.uci(),
        san=place.parent.board.san(place.move),
        played=place.id in played,
        inferred=place.id in inferred,
        moments=tuple(moments.get(place.id, ())),
    )


NOT_NAMED = 0.5
"""Confidence of a move that nobody named."""


Sure = tuple[Step, Belief, float]
"""The step that first names a place, what speaks for and against it, and its confidence."""


def _sureness(place: Place, known: Sure | None) -> dict[str, Any]:
    """Confidence, its reason and the runners-up of a ply."""
    assert place.parent is not None
    if known is None:
        return {"confidence": NOT_NAMED, "reason": "not named; the talk goes on as if it had been played"}
    step, belief, certainty = known
    if step.spot.fix is not None:
        return {"confidence": 1.0, "reason": ""}
    board = place.parent.board
    return {
        "confidence": round(certainty, 3),
        "reason": _reason(step, belief, certainty),
        "runners_up": tuple(RunnerUp(move.uci(), board.san(move), round(share, 3)) for move, share in belief.others),
    }


def _reason(step: Step, belief: Belief, certainty: float) -> str:
    """The largest doubt in one line; nothing when there is none worth telling."""
    other = sum(share for _, share in belief.others)
    doubts = [
        (1.0 - belief.role if belief.move else 0.0, "played or only considered: the talk does not say"),
        (other, "other moves fit these words as well"),
        (belief.passed, "these words may name no move at all"),
        (max(0.0, 1.0 - belief.move - other - belief.passed), "an earlier move is in doubt, and this one with it"),
    ]
    share, reason = max(doubts, key=lambda each: each[0])
    if certainty < belief.move * belief.role - 0.1 and 1.0 - certainty > 2 * share:
        return "the talk around it fits this reading badly"
    if share < 0.05:
        return ""
    if step.spot.mention.cost > 1.0 and other >= share / 2:
        return "misheard words: " + reason
    return reason
