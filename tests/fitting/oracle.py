"""The true steps of a development lesson, in the terms of the search."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import chess

from sync.follow.context import Talk
from sync.follow.model import AT_GAME, BACK, CONTINUE, GAME, IN_SIDE, INSTEAD, OPEN, REPEAT, ROOT, fit_features
from sync.follow.place import Place, Places
from sync.follow.search import State, available, contexts, fits, rival_fit, rivals, state_features
from sync.mentions.match import may_name, named_moves
from sync.mentions.mention import Mention
from sync.mentions.spot import spot
from sync.transcript.words import Transcript
from tests.fitting.corpus import Mark, Script

SAID = 1.5
"""Each thing that a reading says of the move makes up for this cost: "takes f5" is a better reading than "takes"."""
EARLY, LATE = 0.45, 0.55
"""Seconds by which a mention may begin before or after its mark."""
SAME = 0.1
"""Seconds by which two ends of the same words may differ."""
AROUND = 2.0
"""Seconds by which a mention may begin earlier that holds the mark's words: of "his bishop came in {to c4}" all names
the move."""
A_SECOND, A_SECOND_AROUND = 2.0, 0.4
"""What a second between the beginnings of a mention and of its mark costs."""


@dataclass
class TrueStep:
    mention: int | None
    """Index into the mentions, None when the words were not heard."""
    mode: int
    kind: int
    allowed: list[int]
    state_features: tuple[str, ...]
    base: Place
    place: Place
    cost: float
    turn_word: bool | None
    distance: int


@dataclass
class Truth:
    mentions: tuple[Mention, ...]
    talk: Talk
    steps: list[TrueStep]
    named: set[int]
    nodes: dict[str, Place]
    places: Places
    marks: Sequence[Mark]
    fits: list[tuple[str, ...]]
    """For each mention how it fits the true state of the talk when it is made, as features."""


def tree(script: Script) -> tuple[Places, dict[str, Place]]:
    """The places of the true tree, by mark ("M 5", "V a.2")."""
    places = Places(chess.Board(script.start_fen))
    nodes: dict[str, Place] = {}
    by_key: dict[str, Place] = {"0": places.root}
    _play(places, places.root, script.game, "M ", "", nodes, by_key)
    waiting = dict(script.lines)
    while ready := [name for name, line in waiting.items() if line.after in by_key]:
        for name in ready:
            line = waiting.pop(name)
            _play(places, by_key[line.after], line.moves, f"V {name}.", f"{name}.", nodes, by_key)
    return places, nodes


def _play(
    places: Places,
    place: Place,
    moves: Sequence[str],
    mark: str,
    key: str,
    nodes: dict[str, Place],
    by_key: dict[str, Place],
) -> None:
    for number, san in enumerate(moves, 1):
        place = places.after(place, place.board.parse_san(san))
        nodes[f"{mark}{number}"] = by_key[f"{key}{number}"] = place


def true_steps(script: Script, transcript: Transcript, marks: Sequence[Mark]) -> Truth:
    mentions = spot(transcript)
    talk = Talk(transcript)
    around = contexts(talk, mentions)
    places, nodes = tree(script)
    root = places.root
    state = State(0.0, root, root, root, AT_GAME, frozenset((0,)), 0, 0)
    steps: list[TrueStep] = []
    named: set[int] = set()
    states: list[tuple[float, State]] = [(-1.0, state)]
    befores: list[State] = []
    for mark in marks:
        if mark.tag == "X":
            continue
        place = nodes[mark.tag.removeprefix("R ")]
        assert place.parent
        base = place.parent
        while mark.tag.startswith("M") and base.id not in state.tree:  # silent plies before
            state = replace(state, tree=state.tree | {base.id})
            base = base.parent or root
        base = place.parent
        played = mark.tag.startswith("M")
        if played:
            state = replace(state, tip=base)
            if state.mode == AT_GAME:
                state = replace(state, cursor=base)
        found = _mention(mentions, mark, base, place)
        kind = _kind(state, base, place, mark.tag)
        distance = abs(place.ply - state.cursor.ply)
        befores.append(state)
        colour = around[found].colour if found is not None else None
        features = state_features(state)
        if found is not None:
            again = again_named(state, places, found, mentions[found])
            features += fits(state, found, mentions[found], again)
        steps.append(
            TrueStep(
                found,
                state.mode,
                kind,
                sorted({*available(state), kind}),
                features,
                base,
                place,
                _cost(mentions[found], base, place) if found is not None else 0.0,
                None if colour is None else colour == base.turn,
                distance,
            )
        )
        if found is not None:
            named.add(found)
        tip = place if played else state.tip
        exit_place = place
        while not exit_place.leads_to(tip):
            assert exit_place.parent
            exit_place = exit_place.parent
        mode = AT_GAME if place is tip else 1 if exit_place is place else IN_SIDE
        state = State(0.0, tip, place, exit_place, mode, state.tree | {place.id}, place.ply - exit_place.ply, 0)
        states.append((mark.start if found is None else mentions[found].start, state))
    mains = rivals(mentions)
    held = [_fit(states, mention, key, places, mains[key]) for key, mention in enumerate(mentions)]
    for step, before in zip(steps, befores, strict=True):
        key = step.mention
        if key is not None:
            held[key] = _fit([(0.0, before)], mentions[key], key, places, mains[key])
    return Truth(mentions, talk, steps, named, nodes, places, marks, held)


def _fit(
    states: Sequence[tuple[float, State]],
    mention: Mention,
    key: int,
    places: Places,
    mains: Sequence[tuple[int, Mention]],
) -> tuple[str, ...]:
    """How a mention fits the last state that began before it."""
    state = next((state for time, state in reversed(states) if time < mention.start), states[0][1])
    pattern = fits(state, key, mention, again_named(state, places, key, mention))[-1]
    return fit_features(state.mode, mention, pattern, rival_fit(state, mains))


def again_named(state: State, places: Places, key: int, mention: Mention) -> bool:
    """The mention may name a move of the tree."""
    if not (mention.full or (mention.piece and mention.takes)):
        return False
    for place in map(places.by_id.__getitem__, state.tree):
        if place.parent is None or place.move is None or not may_name(mention, place.parent.board, place.move):
            continue
        if any(named.move == place.move for named in place.parent.named(key, mention)):
            return True
    return False


def _kind(state: State, base: Place, place: Place, tag: str) -> int:
    if tag.startswith("M"):
        return GAME
    if place.id in state.tree:
        return REPEAT
    if base is state.cursor and state.cursor is not state.tip:
        return CONTINUE
    if state.mode == IN_SIDE and base is state.base and state.base is not state.cursor.parent:
        return ROOT
    if base is state.tip:
        return (
            ROOT
            if state.mode == IN_SIDE and state.base is state.tip and state.base is not state.cursor.parent
            else (INSTEAD if state.mode == IN_SIDE and state.cursor.parent is base else OPEN)
        )
    if base is state.cursor.parent:
        return INSTEAD
    return BACK


def _cost(mention: Mention, base: Place, place: Place) -> float:
    for each in named_moves(mention, base.board):
        if each.move == place.move:
            return each.cost
    return 99.0


def said(mention: Mention) -> int:
    slots = (mention.piece, mention.to, mention.victim, mention.origin, mention.castle)
    return sum(slot is not None for slot in slots) + mention.takes


def _mention(mentions: Sequence[Mention], mark: Mark, base: Place, place: Place) -> int | None:
    best, best_rank = None, (99.0, 0.0)
    length = len(mark.words.split())
    for index, mention in enumerate(mentions):
        late = mention.start - mark.start
        around = -AROUND <= late <= 0 and mention.end > mark.end - SAME
        if not (around or -EARLY <= late <= max(LATE, mark.end - mark.start)):
            continue
        cost = _cost(mention, base, place)
        if cost >= 6:
            continue
        rank = (
            cost
            + (A_SECOND_AROUND if around else A_SECOND) * abs(late)
            + 0.4 * max(0, mention.last - mention.first - length - 1)
            - SAID * (said(mention) if cost < SAID else 0),
            -(mention.last - mention.first),
        )
        if rank < best_rank:
            best, best_rank = index, rank
    return best
