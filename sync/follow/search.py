"""The beam search: which mentions are moves, from where, and whether they were played."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import chess

from sync.follow.context import Context, Talk, context
from sync.follow.model import (
    AT_GAME, BACK, CONTINUE, GAME, IN_SIDE, INSTEAD, KINDS, LOOKING_BACK, OPEN, REPEAT, ROOT, Model, log_sigmoid,
)  # fmt: skip
from sync.follow.place import Place, Places
from sync.follow.prior import traits
from sync.mentions.match import may_name, named_moves
from sync.mentions.mention import Mention
from sync.transcript.words import Transcript

BEAM = 40
SAME_GAME = 6
"""Hypotheses kept at each mention, and those of them that agree on the game so far."""
DROP = 11.0
"""Hypotheses this many nats behind the best one are dropped."""
HOPELESS = -4.5
"""Mentions with less gain are passed by."""
UNLIKELY = -8.0
"""Kinds of step below this log-probability are not tried."""
BRIDGED = 3.5
"""Only hypotheses this near to the best one may go through a move that nobody names."""
BRIDGES_TRIED = 14
BRIDGES = 5
"""Unnamed moves that are tried, the most natural ones, and the ways through them that are kept."""
SKIPPED = 12
"""Plies of a given game that may stay unnamed between two named ones."""
FAR_BACK = 24
"""Plies looked back for a side line's start when the talk does not say that it goes back."""


Option = tuple[int, Place, chess.Move, tuple[chess.Move, ...], float]
"""A kind of step, the place it starts from, its move, the moves that nobody names before it, and the score."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A mention with all that does not depend on the hypothesis.

    key: its number. gain: log-odds that it names a move of the tree, against saying nothing about it.
    kinds: kind scores within each mode.
    """

    key: int
    mention: Mention
    context: Context
    gain: float
    kinds: list[float]

    @property
    def bridges(self) -> bool:
        """It says enough to be believed when a move before it was not named."""
        mention = self.mention
        return mention.full and mention.cost < 1.0 and self.gain > -1.5


@dataclass(slots=True, eq=False)
class Step:
    """One move named: by which spot, as what, leading to which place, through which places that nobody named."""

    before: State
    spot: Spot
    kind: int
    place: Place
    through: tuple[Place, ...]
    score: float


@dataclass(slots=True, eq=False)
class State:
    """A hypothesis: a tree and where in it the talk is.

    tip: the game so far. cursor: the place talked about. base: where the current side line leaves the game.
    tree: ids of the places in the tree. length: plies named in the current side line.
    free: index of the first word not yet used. steps: the ways to get here, best first; entry: 0.0 when the start is
    one of them, else minus infinity.
    """

    score: float
    total: float
    tip: Place
    cursor: Place
    base: Place
    mode: int
    tree: frozenset[int]
    length: int
    free: int
    steps: list[Step] = field(default_factory=list)
    entry: float = -math.inf


def spots(transcript: Transcript, mentions: Sequence[Mention], model: Model) -> list[Spot]:
    """The mentions, rated by the talk around them, in the order of their first words."""
    talk = Talk(transcript)
    rated = rate(talk, mentions, model)
    return [
        Spot(key, mention, around, gain, model.kind_scores(around.features))
        for key, (mention, around, gain) in enumerate(rated)
    ]


def contexts(talk: Talk, mentions: Sequence[Mention]) -> list[Context]:
    """The context of each mention; the ones before and after it are those of the main readings."""
    main = main_readings(mentions)
    found = []
    ends = [mention.last for mention in main]
    begins = [mention.first for mention in main]
    for mention in mentions:
        before = max((end for end in ends if end <= mention.first), default=0)
        after = min((begin for begin in begins if begin >= mention.last), default=len(talk.words))
        found.append(context(talk, mention, before, after))
    return found


def main_readings(mentions: Sequence[Mention]) -> list[Mention]:
    """Readings that do not overlap: those that say most, then the plainest."""
    best = sorted(mentions, key=lambda mention: (-_weight(mention), mention.first))
    taken: set[int] = set()
    main = []
    for mention in best:
        words = range(mention.first, mention.last)
        if not taken.intersection(words):
            taken.update(words)
            main.append(mention)
    return sorted(main, key=lambda mention: mention.first)


def _weight(mention: Mention) -> float:
    if mention.line:
        return -1.0
    said = sum(slot is not None for slot in (mention.piece, mention.to, mention.victim, mention.origin))
    return said + mention.takes + 2 * bool(mention.castle) - mention.breaks - mention.cost - 0.1 * mention.gaps


def rate(talk: Talk, mentions: Sequence[Mention], model: Model) -> list[tuple[Mention, Context, float]]:
    """Each mention with its context and its gain in nats over being passed by."""
    around = contexts(talk, mentions)
    odds = [model.named_log_odds(each.features) for each in around]
    main = {id(mention) for mention in main_readings(mentions)}
    passed: dict[int, float] = {}
    for mention, log_odds in zip(mentions, odds, strict=True):
        if id(mention) in main:
            for word in range(mention.first, mention.last):
                passed[word] = log_sigmoid(-log_odds) / (mention.last - mention.first)
    rated = []
    for mention, each, log_odds in zip(mentions, around, odds, strict=True):
        if mention.line:  # an opening's name may be left alone or believed; neither is evidence of a move
            rated.append((mention, each, 0.0))
            continue
        skipped = sum(passed.get(word, 0.0) for word in range(mention.first, mention.last))
        rated.append((mention, each, log_sigmoid(log_odds) - skipped))
    return rated


class Search:
    """One run over a talk. Its states form a lattice from start to finals."""

    def __init__(self, start: chess.Board, model: Model, moves: Sequence[chess.Move] | None = None) -> None:
        self.model = model
        self.scales = model.scales
        self.places = Places(start)
        root = self.places.root
        self.known_game: list[Place] | None = None
        if moves is not None:
            self.known_game = []
            for move in moves:
                self.known_game.append(self.places.after(self.known_game[-1] if self.known_game else root, move))
        self._game_ids = frozenset(place.id for place in self.known_game or ())
        self.start = State(0.0, 0.0, root, root, root, AT_GAME, frozenset((0,)), 0, 0, entry=0.0)
        self._priors: dict[int, dict[chess.Move, float]] = {}
        self._bridges: dict[tuple[int, int], list[tuple[chess.Move, chess.Move, float]]] = {}

    def run(self, found: Sequence[Spot]) -> list[State]:
        """The last beam, best first."""
        beam = [self.start]
        index = 0
        while index < len(found):
            first = found[index].mention.first
            stop = index
            while stop < len(found) and found[stop].mention.first == first:
                stop += 1
            beam = self._advance(beam, [spot for spot in found[index:stop] if spot.gain > HOPELESS], first)
            index = stop
        return beam

    def _advance(self, beam: list[State], here: Sequence[Spot], first: int) -> list[State]:
        if not here:
            return beam
        pool: dict[tuple[int, int, int], State] = {}
        for state in beam:
            self._merge(pool, state, first)
        best = max(state.score for state in beam)
        for spot in here:
            gain = spot.gain + self.model.evidence(spot.mention)
            known = self._known(beam, spot)
            leading = best - BRIDGED
            for state in beam:
                if state.free > first:
                    continue
                for kind, base, move, silent, score in self._steps(state, spot, known, state.score >= leading):
                    score += gain
                    if state.score + score < best - DROP:
                        continue
                    best = max(best, state.score + score)
                    through = []
                    for each in silent:
                        base = self.places.after(base, each)
                        through.append(base)
                    place = self.places.after(base, move)
                    self._take(pool, Step(state, spot, kind, place, tuple(through), score), first)
        return _best(pool.values())

    def _merge(self, pool: dict[tuple[int, int, int], State], state: State, first: int) -> None:
        """A state that passes the mentions by; two that differ no more become one."""
        key = state.tip.id, state.cursor.id, max(state.free, first)
        other = pool.get(key)
        if other is None:
            pool[key] = state
            return
        better, worse = (state, other) if state.score > other.score else (other, state)
        pool[key] = replace(
            better,
            total=_log_add(better.total, worse.total),
            entry=max(better.entry, worse.entry),
            steps=better.steps + worse.steps,
        )

    def _take(self, pool: dict[tuple[int, int, int], State], step: Step, first: int) -> None:
        before, place = step.before, step.place
        score = before.score + step.score
        total = before.total + step.score
        tip = place if step.kind == GAME else before.tip
        free = step.spot.mention.last
        key = tip.id, place.id, max(free, first)
        other = pool.get(key)
        if other is None:
            pool[key] = self._state(step, score, total, tip, free, [step], -math.inf)
            return
        total = _log_add(other.total, total)
        if other.score >= score:  # the state that passes by may still be in the beam before: never change it
            pool[key] = replace(other, total=total, steps=[*other.steps, step])
            return
        pool[key] = self._state(step, score, total, tip, free, [step, *other.steps], other.entry)

    def _state(self, step: Step, score: float, total: float, tip: Place, free: int, steps: list[Step], entry: float) -> State:
        before, place = step.before, step.place
        added = {place.id, *(silent.id for silent in step.through)}
        tree = before.tree if added <= before.tree else before.tree | added
        if place is tip:
            return State(score, total, tip, place, place, AT_GAME, tree, 0, free, steps, entry)
        base = place
        while not base.leads_to(tip):
            assert base.parent is not None
            base = base.parent
        mode = LOOKING_BACK if base is place else IN_SIDE
        return State(score, total, tip, place, base, mode, tree, place.ply - base.ply, free, steps, entry)

    def _known(self, beam: list[State], spot: Spot) -> list[tuple[Place, float]]:
        """Places in the beam's trees whose last move the mention may name, with the cost."""
        found: list[tuple[Place, float]] = []
        if not (spot.mention.full or (spot.mention.piece and spot.mention.takes)):
            return found
        parents: dict[int, Place] = {}
        for state in beam:
            for number in state.tree:
                if number not in parents:
                    parents[number] = self.places.by_id[number]
        for place in parents.values():
            if place.parent is None or place.move is None or not may_name(spot.mention, place.parent.board, place.move):
                continue
            for named in place.parent.named(spot.key, spot.mention):
                if named.move == place.move:
                    found.append((place, named.cost))
        return found

    def _steps(self, state: State, spot: Spot, known: list[tuple[Place, float]], bridging: bool) -> Iterator[Option]:
        if spot.mention.line:
            yield from self._opening(state, spot)
            return
        for kind, score in self._kind_scores(state, spot):
            if score < UNLIKELY:
                continue
            if kind == GAME and self.known_game is not None:
                yield from self._known_moves(state, spot, score)
                continue
            if kind == REPEAT:
                yield from self._repeats(state, spot, known, score)
                continue
            for base, extra in self._bases(state, spot, kind):
                yield from self._moves(state, spot, kind, base, score + extra, bridging)

    def _opening(self, state: State, spot: Spot) -> Iterator[Option]:
        """A named opening plays its moves when the game so far is the beginning of it."""
        place = self.places.root
        if self.known_game is not None or place.board.fen() != chess.STARTING_FEN:
            return
        moves: list[chess.Move] = []
        for san in spot.mention.line:
            move = place.board.parse_san(san)
            place = self.places.after(place, move)
            if place.ply > state.tip.ply:
                moves.append(move)
            elif not place.leads_to(state.tip):
                return
        if state.mode != AT_GAME:
            return
        if not moves and state.tip.parent and state.tip.move:
            yield REPEAT, state.tip.parent, state.tip.move, (), self.scales["opening-agrees"]
        if moves:
            yield GAME, state.tip, moves[-1], tuple(moves[:-1]), -self.scales["opening"] - len(moves)

    def _known_moves(self, state: State, spot: Spot, score: float) -> Iterator[Option]:
        """The next moves of a game that was given; those between are not named."""
        assert self.known_game is not None
        words, at = self.scales["words"], state.tip.ply
        for skipped, place in enumerate(self.known_game[at : at + SKIPPED + 1]):
            assert place.parent is not None and place.move is not None
            cost = next((each.cost for each in place.parent.named(spot.key, spot.mention) if each.move == place.move), None)
            if cost is None:
                continue
            silent = tuple(each.move for each in self.known_game[at : at + skipped] if each.move)
            loss = self.scales["skip-known"] * math.log(1 + skipped) + (self.scales["skip-first"] if skipped else 0.0)
            yield GAME, state.tip, place.move, silent, score + self._turn(spot, place.parent) - words * cost - loss

    def _kind_scores(self, state: State, spot: Spot) -> list[tuple[int, float]]:
        offset = state.mode * len(KINDS)
        row = spot.kinds[offset : offset + len(KINDS)]
        for feature in state_features(state):
            weights = self.model.kinds.get(feature)
            if weights:
                row = [value + weights[offset + kind] for kind, value in enumerate(row)]
        allowed = available(state)
        top = max(row[kind] for kind in allowed)
        total = top + math.log(sum(math.exp(row[kind] - top) for kind in allowed))
        scale = self.scales["kind"]
        return [(kind, scale * (row[kind] - total)) for kind in allowed]

    def _bases(self, state: State, spot: Spot, kind: int) -> Iterator[tuple[Place, float]]:
        """The places from which a step of this kind may start, with what the choice costs."""
        if kind in (GAME, OPEN):
            yield state.tip, 0.0
        elif kind == CONTINUE:
            yield state.cursor, 0.0
        elif kind == INSTEAD:
            assert state.cursor.parent is not None
            yield state.cursor.parent, 0.0
        elif kind == ROOT:
            yield state.base, 0.0
        elif spot.mention.full:
            yield from self._further_back(state, spot)

    def _further_back(self, state: State, spot: Spot) -> Iterator[tuple[Place, float]]:
        skip = {state.cursor.id, state.base.id, state.tip.id}
        if state.cursor.parent:
            skip.add(state.cursor.parent.id)
        number = spot.context.number
        seen = set(skip)
        for start in (state.cursor, state.tip):
            for distance, place in enumerate(start.ancestors(), start=1):
                if place.id in seen or (distance > FAR_BACK and number is None):
                    continue
                seen.add(place.id)
                if number is not None and place.board.fullmove_number == number:
                    yield place, -self.scales["back-numbered"]
                else:
                    yield place, -self.scales["back-far"] * math.log(1 + distance)

    def _moves(
        self, state: State, spot: Spot, kind: int, base: Place, score: float, bridging: bool
    ) -> Iterator[Option]:
        score += self._turn(spot, base)
        words = self.scales["words"]
        cheapest = 99.0
        for named in base.named(spot.key, spot.mention):
            cheapest = min(cheapest, named.cost)
            known = base.children.get(named.move)
            if kind != GAME and known is not None and (known.id in state.tree or known.id in self._game_ids):
                continue
            yield kind, base, named.move, (), score - words * named.cost + self._prior(base, named.move)
        if cheapest > 3.0 and bridging and kind in (GAME, CONTINUE) and score > -5.0 and spot.bridges:
            for silent, move, cost in self._bridges_from(base, spot):
                yield kind, base, move, (silent,), score - cost - self.scales["silent"]

    def _bridges_from(self, base: Place, spot: Spot) -> list[tuple[chess.Move, chess.Move, float]]:
        """Ways to the mention's move through one move that nobody names: that move, the mention's, the cost."""
        key = base.id, spot.key
        found = self._bridges.get(key)
        if found is None:
            ways = sorted(self._bridge_moves(base, spot.mention), key=lambda way: way[2])
            found = self._bridges[key] = ways[:BRIDGES]
        return found

    def _bridge_moves(self, base: Place, mention: Mention) -> Iterator[tuple[chess.Move, chess.Move, float]]:
        board = base.board.copy(stack=False)
        natural = sorted(((self._prior(base, move), move) for move in board.legal_moves), key=lambda each: -each[0])
        for prior, silent in natural[:BRIDGES_TRIED]:
            board.push(silent)
            for named in named_moves(mention, board)[:2]:
                if named.cost < 2.0:
                    yield silent, named.move, self.scales["words"] * named.cost - prior
            board.pop()

    def _repeats(self, state: State, spot: Spot, known: list[tuple[Place, float]], score: float) -> Iterator[Option]:
        for place, cost in known:
            if place.id not in state.tree or place.parent is None or place.move is None:
                continue
            away = abs(place.ply - state.cursor.ply)
            extra = self.scales["repeat-near"] if place is state.cursor else self.scales["repeat-far"] * math.log(2 + away)
            turn = self._turn(spot, place.parent)
            yield REPEAT, place.parent, place.move, (), score + turn - self.scales["words"] * cost - extra

    def _turn(self, spot: Spot, base: Place) -> float:
        colour = spot.context.colour
        if colour is None:
            return 0.0
        return self.scales["turn-right"] if colour == base.turn else -self.scales["turn-wrong"]

    def _prior(self, base: Place, move: chess.Move) -> float:
        known = self._priors.setdefault(base.id, {})
        value = known.get(move)
        if value is None:
            own_last = base.parent.move if base.parent else None
            value = self.model.move_score(traits(base.board, move, base.move, own_last)) - self.scales["prior-norm"]
            known[move] = value = self.scales["prior"] * value
        return value


def _best(states: Iterable[State]) -> list[State]:
    """The best hypotheses, and not too many that agree on the game, so that other games stay in the run."""
    ranked = sorted(states, key=lambda state: -state.score)
    floor = ranked[0].score - DROP
    same_game: dict[int, int] = {}
    kept = []
    for state in ranked:
        if state.score < floor or len(kept) == BEAM:
            break
        count = same_game.get(state.tip.id, 0)
        if count < SAME_GAME:
            same_game[state.tip.id] = count + 1
            kept.append(state)
    return kept


def available(state: State) -> list[int]:
    """The kinds of step that a state allows."""
    if state.mode == AT_GAME:
        kinds = [GAME, OPEN]
        if state.cursor.parent:
            kinds.append(INSTEAD)
    elif state.mode == LOOKING_BACK:
        kinds = [GAME, OPEN, CONTINUE]
        if state.cursor.parent:
            kinds.append(INSTEAD)
    else:
        kinds = [GAME, CONTINUE, INSTEAD]
        if state.base is not state.cursor.parent:
            kinds.append(ROOT)
        if state.base is not state.tip:
            kinds.append(OPEN)
    return [*kinds, BACK, REPEAT]


def state_features(state: State) -> list[str]:
    """Features of the hypothesis itself, to go with those of the talk."""
    if state.mode == IN_SIDE:
        length = state.length
        base = state.base
        start = "tip" if base is state.tip else "before-tip" if base is state.tip.parent else "earlier"
        return [f"length={length if length < 5 else '5+'}", f"base={start}"]
    if state.mode == LOOKING_BACK:
        return [f"behind={min(4, state.tip.ply - state.cursor.ply)}"]
    return []


def _log_add(one: float, other: float) -> float:
    top = max(one, other)
    return top + math.log(math.exp(one - top) + math.exp(other - top))
