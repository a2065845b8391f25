"""The true steps of a development lesson, in the terms of the search."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import chess

from sync.follow.context import Talk
from sync.follow.model import AT_GAME, BACK, CONTINUE, GAME, IN_SIDE, INSTEAD, OPEN, REPEAT, ROOT
from sync.follow.place import Place, Places
from sync.follow.search import State, available, contexts, state_features
from sync.mentions.match import named_moves
from sync.mentions.mention import Mention
from sync.mentions.spot import spot
from sync.transcript.words import Transcript
from tests.fitting.corpus import Mark, Script

EARLY, LATE = 0.45, 0.55
"""Seconds by which a mention may begin before or after its mark."""


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
    marks: list[Mark]


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


def true_steps(script: Script, transcript: Transcript, marks: list[Mark]) -> Truth:
    mentions = spot(transcript)
    talk = Talk(transcript)
    around = contexts(talk, mentions)
    places, nodes = tree(script)
    root = places.root
    state = State(0.0, root, root, root, AT_GAME, frozenset((0,)), 0, 0)
    steps: list[TrueStep] = []
    named: set[int] = set()
    game_places = {id(nodes[f"M {number}"]) for number in range(1, len(script.game) + 1)} | {id(root)}
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
        colour = around[found].colour if found is not None else None
        steps.append(
            TrueStep(
                found,
                state.mode,
                kind,
                sorted({*available(state), kind}),
                state_features(state),
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
    del game_places
    return Truth(mentions, talk, steps, named, nodes, places, marks)


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


def _mention(mentions: Sequence[Mention], mark: Mark, base: Place, place: Place) -> int | None:
    best, best_rank = None, (99.0, 0.0)
    length = len(mark.words.split())
    for index, mention in enumerate(mentions):
        if not -EARLY <= mention.start - mark.start <= max(LATE, mark.end - mark.start):
            continue
        cost = _cost(mention, base, place)
        if cost >= 6:
            continue
        rank = (
            cost + 2 * abs(mention.start - mark.start) + 0.4 * max(0, mention.last - mention.first - length - 1),
            -(mention.last - mention.first),
        )
        if rank < best_rank:
            best, best_rank = index, rank
    return best
