"""The beam search: which mentions are moves, from where, and whether they were played."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

import chess

from sync.follow.context import Context, Neighbours, Talk, context
from sync.follow.encoder import fitted_encoder
from sync.follow.fixed import fixed_options, with_fixes
from sync.follow.fixes import ROLES, Fix
from sync.follow.model import (
    AT_GAME,
    BACK,
    CONSIDERED,
    CONTINUE,
    FITS,
    GAME,
    IN_SIDE,
    INSTEAD,
    KINDS,
    LOOKING_BACK,
    OPEN,
    PLAYED,
    REPEAT,
    ROLE_OF,
    ROOT,
    Model,
    how_well,
)  # fmt: skip
from sync.follow.place import Place, Places
from sync.follow.prior import CHECKS, LOSSES, effects, en_prise
from sync.follow.traits import move_traits
from sync.mentions.match import EXACT, UNSAID_PIECE, LegalMoves, Named, may_name, may_reach
from sync.mentions.mention import SQUARE_BY_VERB, Mention
from sync.transcript.words import Transcript


@dataclass(frozen=True)
class Width:
    """How much of a beam is kept.

    states: hypotheses kept at each mention. same_length: those whose games are of one length, which are kept even where
    there are more. same_depth: those that also stand equally deep. same_place: those that talk about one place in a
    side line from where their game stands, and so many that do with other games; the former differ in what of the way
    to it was played, and which of them is right shows only when the talk returns to the game, often a dozen moves
    later. drop: nats behind the best one at which a hypothesis is dropped, unless it is among the rare best with games
    of its length, up to rare nats behind: where a long side line looks like the game, the right hypothesis is the best
    one of a shorter game, and far behind until the talk returns.
    bridged: nats behind the best one up to which it may go through a move that nobody names.
    """

    states: int
    same_length: int
    same_depth: int
    same_place: int
    drop: float
    rare: float
    bridged: float


FIRST = Width(states=400, same_length=12, same_depth=60, same_place=20, drop=11.0, rare=20.0, bridged=3.5)
AGAIN = Width(states=300, same_length=20, same_depth=40, same_place=20, drop=12.0, rare=20.0, bridged=3.5)
WIDE = Width(states=400, same_length=24, same_depth=120, same_place=30, drop=18.0, rare=30.0, bridged=3.5)
"""The beam that reads the talk, the one that reads a part of it again from what the first one dropped, and the one for
talks that are hard to follow."""
OF_LENGTH = 3
"""Hypotheses whose games are of one length that are kept further behind the best one."""
TREE = 400
"""Places of a hypothesis's tree that are remembered at least; what was named longer ago is no repeat."""
WAYS = 16
"""Ways to one hypothesis that are kept; the confidence comes from them."""
LEFT = 6
"""Of the hypotheses dropped at a mention, the best so many with different games are handed back."""
FREE_TO_LEAVE = 5
"""Of those that share a place, this many may also leave it for anywhere else, and the best one with each game; others
go on or return to the game."""
HOPELESS = -8.0
"""Mentions with less gain are passed by."""
UNLIKELY = -5.5
"""Kinds of step below this log-probability are not tried."""
MOST = 2.0
"""A step scores hardly more than the mention's gain and this."""
BRIDGES_TRIED = 16
BRIDGES = 25
"""Unnamed moves that are tried, the most natural ones, and the ways through them that are kept."""
PAIRS_TRIED = 12
"""First and second moves that are tried where nobody names two, the most natural ones."""
USUAL_MOVE = 1.6
"""Nats that a move of a talk is taken to be unlikely before anything is said, a little less than in the mean."""
GOES_ON = 2.5
"""Nats by which a bare square is likelier the next one of the piece that its side moved last ("knight c4, d8, e3")."""
THE_SAME = 4.0
"""What it costs that "the other rook" is the one that its side moved last. Of 78 such rooks and knights in 534 scripts
where another one could have made the move, one was."""
PIECE_LOST, QUEEN_LOST = 3, 8
"""Pawns' worth from which on what stands en prise is hardly ever left there."""
SKIPPED = 12
"""Plies of a given game that may stay unnamed between two named ones."""
LONG = 4
"""Each ply of a side line beyond so many makes the next one less likely."""
FAR_BACK = 20
"""Plies looked back for a side line's start when the talk does not say that it goes back."""


Option = tuple[int, Place, chess.Move, tuple[chess.Move, ...], float]
"""A kind of step, the place it starts from, its move, the moves that nobody names before it, and the score."""
Bridge = tuple[tuple[chess.Move, ...], chess.Move, float]
"""The moves that nobody names, the move that is named after them, and the cost."""


Priced = tuple[float, chess.Move, float]
"""A move's score in nats, before the kind of step is counted, the move, and what it costs that the words name it."""
Natural = tuple[float, chess.Move]
"""How natural a legal move is, in nats, and the move."""
LOGS = tuple(math.log(1 + distance) for distance in range(200))


@dataclass(frozen=True, slots=True)
class Spot:
    """A mention with all that does not depend on the hypothesis.

    key: its number. gain: log-odds that it names a move of the tree, against saying nothing about it.
    kinds: kind scores within each mode. modes: what the talk says for each mode, in nats.
    fix: what an editor has decided about these words.
    mains: the main readings of the same words, where this is none.
    """

    key: int
    mention: Mention
    context: Context
    gain: float
    kinds: list[float]
    modes: list[float]
    fix: Fix | None = None
    mains: tuple[tuple[int, Mention], ...] = ()
    kind_scores: dict[tuple[int, tuple[str, ...], tuple[int, ...], str], list[tuple[int, float]]] = field(
        default_factory=dict
    )

    @property
    def bound(self) -> bool:
        """The words stand for one move that an editor has named."""
        return self.fix is not None and self.fix.uci is not None

    @property
    def bridges(self) -> bool:
        """It says enough to be believed when a move before it was not named."""
        mention = self.mention
        return mention.full and mention.cost < 1.0 and self.gain > -5.0


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
    tip: Place
    cursor: Place
    base: Place
    mode: int
    tree: frozenset[int]
    length: int
    free: int
    steps: list[Step] = field(default_factory=list)
    entry: float = -math.inf


def spots(transcript: Transcript, mentions: Sequence[Mention], model: Model, fixes: Sequence[Fix] = ()) -> list[Spot]:
    """The mentions, rated by the talk around them, in the order of their first words."""
    talk = Talk(transcript)
    kept, bound = with_fixes(transcript, mentions, fixes)
    read = fitted_encoder().read([word.text for word in transcript.words], [(each.first, each.last) for each in kept])
    rated = rate(talk, kept, model, read["named"][:, 0].tolist())
    over = rivals(kept)
    return [
        Spot(
            key,
            mention,
            around,
            gain,
            model.kind_scores(around.features, read["kinds"][key].tolist()),
            model.mode_evidence(around.features, read["modes"][key].tolist()),
            bound.get(key),
            over[key],
        )
        for key, (mention, around, gain) in enumerate(rated)
    ]


SECOND = "second"
"""The feature of readings that are not the main ones of their words."""


def contexts(talk: Talk, mentions: Sequence[Mention]) -> list[Context]:
    """The context of each mention; the ones before and after it are those of the main readings."""
    readings = main_readings(mentions)
    first = {id(mention) for mention in readings}
    neighbours = Neighbours([mention for mention in readings if _divides(mention)])
    found = []
    for mention in mentions:
        # What tells two like pieces apart behind a name says nothing of whether it names a move.
        around = context(talk, replace(mention, last=mention.end_of_name), neighbours)
        if id(mention) not in first:  # other words, or the same ones read otherwise, say more
            around = replace(around, features=(*around.features, SECOND))
        found.append(around)
    return found


def rivals(mentions: Sequence[Mention]) -> list[tuple[tuple[int, Mention], ...]]:
    """For each mention the main readings that share words with it, by number; none for a main reading."""
    numbers = {id(mention): number for number, mention in enumerate(mentions)}
    owner: dict[int, int] = {}
    for mention in main_readings(mentions):
        owner.update(dict.fromkeys(range(mention.first, mention.last), numbers[id(mention)]))
    found = []
    for number, mention in enumerate(mentions):
        over = {owner[word]: None for word in range(mention.first, mention.last) if word in owner}
        found.append(() if number in over else tuple((each, mentions[each]) for each in over))
    return found


def _divides(mention: Mention) -> bool:
    """It names a move so often that the words before it belong to it and not to the next one."""
    return mention.full or mention.form in ("takes", "piece-takes", "piece-takes-piece")


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


VERB = 0.3
"""What a verb before a square says more than the square alone."""
STEPS = 0.6
"""What "two squares" says more than the pawn alone."""
PROMOTING, NEW_PIECE = 2.0, 0.5
"""What a promotion says, and the new piece: so much that "g8, promoting to a queen" is one move."""
TOLD_APART = 1.0
"""What "the one from a1" behind a name says more than the square: so much that "a1, black queen" is no promotion."""
RUN_ON = 1.1
"""What two squares behind a piece without a comma say less: so much that "bishop d3 a6" is rather two moves."""
CASTLING = {"any": 2, "king": 4, "queen": 4}
"""What castling says: with its side so much that a comma before it does not matter."""


def _weight(mention: Mention) -> float:
    if mention.line:
        return -1.0
    said: float = sum(slot is not None for slot in (mention.piece, mention.to, mention.victim, mention.origin))
    said += mention.takes + CASTLING.get(mention.castle, 0) + VERB * (mention.form in SQUARE_BY_VERB)
    if mention.promotion is not None and mention.to is not None:
        said += PROMOTING + NEW_PIECE * any(part == "N" for part, _, _ in mention.parts)
    said += STEPS * (mention.steps > 0)
    said += TOLD_APART * mention.told_apart_after
    if mention.may_be_two and not mention.breaks:
        said -= RUN_ON
    return said - mention.breaks - 0.8 * mention.cost - 0.1 * mention.gaps


def rate(
    talk: Talk, mentions: Sequence[Mention], model: Model, read: Sequence[float]
) -> list[tuple[Mention, Context, float]]:
    """Each mention with its context and its gain in nats over being passed by. read: what the encoder says of each."""
    around = contexts(talk, mentions)
    return [
        # an opening's name may be left alone or believed; neither is evidence of a move
        (mention, each, 0.0 if mention.line else model.named_log_odds(each.features, one))
        for mention, each, one in zip(mentions, around, read, strict=True)
    ]


@dataclass(frozen=True)
class Group:
    """The mentions that begin with one word, number first."""

    first: int
    here: list[Spot]


def groups(found: Sequence[Spot]) -> list[Group]:
    return [
        Group(first, [spot for spot in here if spot.gain > HOPELESS or spot.fix])
        for first, here in groupby(found, key=lambda spot: spot.mention.first)
    ]


def clear(found: Sequence[Spot]) -> frozenset[int]:
    """Numbers of the mentions that can hardly be anything but moves of the tree."""
    main = {id(mention) for mention in main_readings([spot.mention for spot in found])}
    return frozenset(spot.key for spot in found if id(spot.mention) in main and spot.mention.full and spot.gain > 0.0)


class Search:
    """One run over a talk. Its states form a lattice from start to finals."""

    def __init__(self, start: chess.Board, model: Model, moves: Sequence[chess.Move] | None = None) -> None:
        """moves: the game where it is known; then nothing else counts as played."""
        self.model = model
        self.scales = model.scales
        self._terms = model.terms
        self._most_effect = [_most_effect(model.terms, role) for role in (PLAYED, CONSIDERED)]
        self.places = Places(start)
        root = self.places.root
        self.given: Place | None = None
        if moves is not None:
            self.given = root
            for move in moves:
                self.given = self.places.after(self.given, move)
        self._game = self.given.line() if self.given else []
        self._game_ids = frozenset(place.id for place in self._game)
        self.start = State(0.0, root, root, root, AT_GAME, frozenset((0,)), 0, 0, entry=0.0)
        self._priors_at: dict[int, dict[chess.Move, float]] = {}
        self._options: dict[tuple[int, int], list[Priced]] = {}
        self._reachable: dict[tuple[int, int], list[tuple[int, Place, list[Priced]]]] = {}
        self._bridges: dict[tuple[int, int], list[Bridge]] = {}
        self._pairs: dict[tuple[int, int], list[Bridge]] = {}
        self._naturals: dict[int, list[Natural]] = {}
        self._en_prise: dict[int, int] = {}
        self._senses: dict[tuple[int, chess.Move], tuple[float, float]] = {}

    def may_be_played(self, base: Place, move: chess.Move) -> bool:
        if self.given is None:
            return True
        place = base.children.get(move)
        return place is not None and place.id in self._game_ids

    def forget(self) -> None:
        """Lets go of all that can be found out again: in a long talk most of it is never asked for any more."""
        ways = self._reachable, self._bridges, self._pairs
        natural = self._priors_at, self._naturals
        for found in (*ways, *natural, self._options, self._en_prise, self._senses):
            found.clear()
        for place in self.places.by_id.values():
            place.forget()

    def read(self, beam: list[State], group: Group, width: Width) -> tuple[list[State], list[State]]:
        """The beam after the mentions that begin with one word, and what was dropped before them."""
        if not group.here:
            return beam, []
        return self._fixed(beam, group, width) or self._advance(beam, group, width)

    def _advance(self, beam: list[State], group: Group, width: Width) -> tuple[list[State], list[State]]:
        first = group.first
        here = [spot for spot in group.here if not spot.bound]
        if not here:
            return beam, []
        pool: dict[tuple[int, int, int], State] = {}
        for state in beam:
            self._merge(pool, state, first)
        best = max(state.score for state in beam)
        last_kept = _last_kept(beam)
        for spot in here:
            most = MOST + max(self._gains(spot))
            known = self._known(beam, spot)
            leading = best - width.bridged
            same_place: dict[int, int] = {}
            games: set[int] = set()
            for state in beam:
                if state.free > first:
                    continue
                # A step leaves the game as long as it is, or makes it longer; either may be a rare length.
                rare = min(last_kept.get(length, -math.inf) for length in (state.tip.ply, state.tip.ply + 1))
                least = min(best - width.drop, max(best - width.rare, rare)) - state.score
                if least > most:
                    continue
                count = same_place[state.cursor.id] = same_place.get(state.cursor.id, 0) + 1
                leaving = count <= FREE_TO_LEAVE or state.tip.id not in games
                games.add(state.tip.id)
                for kind, base, move, silent, score in self._steps(
                    state, spot, known, least, leaving, state.score >= leading
                ):
                    best = max(best, state.score + score)
                    self._take(pool, self._step(state, spot, kind, base, move, silent, score), first)
        return _best(pool.values(), width)

    def _fixed(self, beam: list[State], group: Group, width: Width) -> tuple[list[State], list[State]] | None:
        """The beam after a fix; none where there is no fix, or no hypothesis can keep to it."""
        first = group.first
        pool: dict[tuple[int, int, int], State] = {}
        for spot in group.here:
            if spot.fix is None:
                continue
            known = self._known(beam, spot)
            for state in beam:
                if state.free > first:
                    continue
                for kind, base, move, silent, score in self._fixed_steps(state, spot, spot.fix, known):
                    self._take(pool, self._step(state, spot, kind, base, move, silent, score), first)
        return _best(pool.values(), width) if pool else None

    def _fixed_steps(self, state: State, spot: Spot, fix: Fix, known: list[tuple[Place, float]]) -> Iterator[Option]:
        if fix.uci is None:
            for option in self._steps(state, spot, known, -math.inf, True, False):
                if ROLES[ROLE_OF[option[0]]] == fix.role:
                    yield option
            return
        scores = dict(self._kind_scores(state, spot, known))  # not of a kind that only a fix allows
        options = fixed_options(self.places, fix, state.tip, state.cursor, state.tree, self.may_be_played)
        for kind, base, move, silent in options:
            yield kind, base, move, silent, scores.get(kind, UNLIKELY) - len(silent)

    def readings(self, base: Place, spot: Spot) -> list[chess.Move]:
        """The moves that the mention may name from a place, best first."""
        return [move for _, move, _ in self._priced(base, spot)]

    def instead(self, step: Step, move: chess.Move) -> State | None:
        """The hypothesis that takes the words of a step of the game for another move; none where they cannot be."""
        before, spot = step.before, step.spot
        options = self._steps(before, spot, [], -math.inf, True, bool(step.through))
        silent = tuple(place.move for place in step.through if place.move)
        for kind, base, named, through, score in options:
            if kind == GAME and named == move and through == silent:
                other = self._step(before, spot, kind, base, move, through, score)
                score, tip = before.score + other.score, other.place
                return self._state(other, score, tip, spot.mention.last, [other], -math.inf)
        return None

    def _gains(self, spot: Spot) -> tuple[float, ...]:
        """What a step of each role brings whatever its move."""
        return tuple(weight * spot.gain + self.scales["step"] for weight in self._terms["named"])

    def worth(self, step: Step, spot: Spot) -> float:
        """What the same move by another mention would score, at best, played or considered.

        Minus infinity where it names another move.
        """
        options = self._steps(step.before, spot, [], -math.inf, True, False)
        wanted = step.place.parent, step.place.move
        same = (score for kind, base, move, _, score in options if kind != REPEAT and (base, move) == wanted)
        return max(same, default=-math.inf)

    def _step(
        self,
        state: State,
        spot: Spot,
        kind: int,
        base: Place,
        move: chess.Move,
        silent: tuple[chess.Move, ...],
        score: float,
    ) -> Step:
        through = self._through(base, silent)
        return Step(state, spot, kind, self.places.after(through[-1] if through else base, move), through, score)

    def _through(self, base: Place, silent: Sequence[chess.Move]) -> tuple[Place, ...]:
        """The places that moves lead through which nobody names."""
        found = []
        for move in silent:
            base = self.places.after(base, move)
            found.append(base)
        return tuple(found)

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
            entry=max(better.entry, worse.entry),
            steps=[*better.steps, *worse.steps][:WAYS],
        )

    def _take(self, pool: dict[tuple[int, int, int], State], step: Step, first: int) -> None:
        before, place = step.before, step.place
        score = before.score + step.score
        tip = place if step.kind == GAME else before.tip
        free = step.spot.mention.last
        key = tip.id, place.id, max(free, first)
        other = pool.get(key)
        if other is None:
            pool[key] = self._state(step, score, tip, free, [step], -math.inf)
            return
        if other.score >= score:  # the state that passes by may still be in the beam before: never change it
            pool[key] = replace(other, steps=[*other.steps, step][:WAYS])
            return
        pool[key] = self._state(step, score, tip, free, [step, *other.steps][:WAYS], other.entry)

    def _state(self, step: Step, score: float, tip: Place, free: int, steps: list[Step], entry: float) -> State:
        before, place = step.before, step.place
        added = {place.id, *(silent.id for silent in step.through)}
        tree = before.tree if added <= before.tree else before.tree | added
        if len(tree) > 2 * TREE:
            tree = frozenset(sorted(tree)[-TREE:])
        if place is tip:
            return State(score, tip, place, place, AT_GAME, tree, 0, free, steps, entry)
        base = place
        while not base.leads_to(tip):
            assert base.parent is not None
            base = base.parent
        mode = LOOKING_BACK if base is place else IN_SIDE
        return State(score, tip, place, base, mode, tree, place.ply - base.ply, free, steps, entry)

    def _known(self, beam: list[State], spot: Spot) -> list[tuple[Place, float]]:
        """Places in the beam's trees whose last move the mention may name, with the cost."""
        found: list[tuple[Place, float]] = []
        if not (spot.mention.full or (spot.mention.piece and spot.mention.takes)):
            return found
        for number in sorted(frozenset().union(*(state.tree for state in beam))):
            place = self.places.by_id[number]
            if place.parent is None or place.move is None or not may_name(spot.mention, place.parent.board, place.move):
                continue
            for named in place.parent.named(spot.key, spot.mention):
                if named.move == place.move:
                    found.append((place, named.cost))
        return found

    def _steps(
        self, state: State, spot: Spot, known: list[tuple[Place, float]], least: float, leaving: bool, bridging: bool
    ) -> list[Option]:
        """All steps that score at least that much; leaving: also those to anywhere but the next move."""
        if spot.mention.line:
            return list(self._opening(state, spot))
        found: list[Option] = []
        gains = self._gains(spot)
        for kind, fitting in self._kind_scores(state, spot, known):
            score = fitting + gains[ROLE_OF[kind]]
            if score + MOST < least or not (leaving or kind in (GAME, CONTINUE)):
                continue
            if kind == GAME and self.given:
                found += self._known_moves(state, spot, score)
            elif kind == REPEAT:
                found += self._repeats(state, spot, known, score)
            elif kind == BACK:
                if spot.mention.full:
                    found += self._further_back(state, spot, score, least)
            else:
                base = self._base(state, kind)
                if kind == CONTINUE and state.length > LONG:
                    score -= self.scales["long-line"] * (state.length - LONG)
                self._add(found, state, kind, base, self._priced(base, spot), score, least)
                if bridging and kind in (GAME, CONTINUE) and fitting > -5.0 and spot.bridges:
                    found += self._bridged(spot, kind, base, score)
        return found

    def _opening(self, state: State, spot: Spot) -> Iterator[Option]:
        """A named opening plays its moves when the game so far is the beginning of it."""
        tip, place = state.tip, self.places.root
        if state.mode != AT_GAME or self.given or place.board.fen() != chess.STARTING_FEN:
            return
        moves: list[chess.Move] = []
        for san in spot.mention.line:
            move = place.board.parse_san(san)
            place = self.places.after(place, move)
            if place.ply > tip.ply:
                moves.append(move)
            elif not place.leads_to(tip):
                return
        if not moves and tip.parent and tip.move:
            yield REPEAT, tip.parent, tip.move, (), self.scales["step"] + self.scales["opening-agrees"]
        if moves and tip.leads_to(place):
            yield GAME, tip, moves[-1], tuple(moves[:-1]), self.scales["step"] - self.scales["opening"] - len(moves)

    def _known_moves(self, state: State, spot: Spot, score: float) -> Iterator[Option]:
        """The next moves of a game that was given; those between are not named."""
        words, at = self.scales["words"], state.tip.ply
        for skipped, place in enumerate(self._game[at : at + SKIPPED + 1]):
            assert place.parent is not None and place.move is not None
            named = place.parent.named(spot.key, spot.mention)
            cost = next((each.cost for each in named if each.move == place.move), None)
            if cost is None:
                continue
            silent = tuple(each.move for each in self._game[at : at + skipped] if each.move)
            loss = self.scales["skip-first"] + self.scales["skip-known"] * math.log(1 + skipped) if skipped else 0.0
            value = score + self._turn(spot, place.parent) - words * cost - loss + self.scales["given"]
            yield GAME, state.tip, place.move, silent, value

    def _kind_scores(self, state: State, spot: Spot, known: Sequence[tuple[Place, float]]) -> list[tuple[int, float]]:
        """Scores of the kinds of step that a state allows, with that of how well the mention fits the state at all."""
        key = self._around(state, spot, known)
        found = spot.kind_scores.get(key)
        if found is None:
            found = spot.kind_scores[key] = self._normalised(spot, *key)
        return found

    @staticmethod
    def _around(
        state: State, spot: Spot, known: Sequence[tuple[Place, float]]
    ) -> tuple[int, tuple[str, ...], tuple[int, ...], str]:
        """All of a state that the kinds of step depend on: mode, features, kinds allowed, fit of the main readings."""
        again = any(place.id in state.tree for place, _ in known)
        features = (*state_features(state), *fits(state, spot.key, spot.mention, again))
        return state.mode, features, available(state), rival_fit(state, spot.mains)

    def _normalised(
        self, spot: Spot, mode: int, features: tuple[str, ...], allowed: tuple[int, ...], rival: str
    ) -> list[tuple[int, float]]:
        """Scores of the kinds of step that are allowed; the likely ones only, but a fix may ask for any."""
        logs, fitting = self._logs(spot, mode, features, allowed, rival)
        terms = self._terms
        found = []
        for kind, log in logs:
            if log > UNLIKELY or spot.fix is not None:
                role = ROLE_OF[kind]
                score = terms["kind"][role] * max(log, UNLIKELY) + terms["fits"][role] * fitting
                found.append((kind, score + terms["modes"][role] * spot.modes[mode]))
        return found

    def _logs(
        self, spot: Spot, mode: int, features: tuple[str, ...], allowed: tuple[int, ...], rival: str
    ) -> tuple[list[tuple[int, float]], float]:
        """Log-probability of each kind of step that is allowed, and how well the mention fits the places at hand."""
        offset = mode * len(KINDS)
        row = spot.kinds[offset : offset + len(KINDS)]
        for feature in features:
            weights = self.model.kinds.get(feature)
            if weights:
                row = [value + weights[offset + kind] for kind, value in enumerate(row)]
        top = max(row[kind] for kind in allowed)
        total = top + math.log(sum(math.exp(row[kind] - top) for kind in allowed))
        fitting = self.model.fitting(mode, spot.mention, features[-1], rival)
        return [(kind, row[kind] - total) for kind in allowed], fitting

    def about(self, step: Step) -> tuple[float, float, float]:
        """What the talk says of a step: terms kind, fits and modes of its score, before they are weighed."""
        state, spot = step.before, step.spot
        logs, fitting = self._logs(spot, *self._around(state, spot, self._known([state], spot)))
        return dict(logs)[step.kind], fitting, spot.modes[state.mode]

    def _base(self, state: State, kind: int) -> Place:
        """The place from which a step of a kind other than BACK and REPEAT starts."""
        if kind in (GAME, OPEN):
            return state.tip
        if kind == CONTINUE:
            return state.cursor
        if kind == ROOT:
            return state.base
        assert state.cursor.parent is not None
        return state.cursor.parent

    def _further_back(self, state: State, spot: Spot, score: float, least: float) -> list[Option]:
        found: list[Option] = []
        seen = {state.cursor.id, state.base.id, state.tip.id}
        if state.cursor.parent:
            seen.add(state.cursor.parent.id)
        number = spot.context.number
        for start in (state.cursor, state.tip):
            for distance, place, options in self._behind(start, spot):
                if place.id in seen:
                    continue
                seen.add(place.id)
                if number is not None and place.board.fullmove_number == number:
                    extra = -self.scales["back-numbered"]
                else:
                    extra = -self.scales["back-far"] * LOGS[distance]
                self._add(found, state, BACK, place, options, score + extra, least)
        return found

    def _behind(self, start: Place, spot: Spot) -> list[tuple[int, Place, list[Priced]]]:
        """The places before one from which the mention may name a move, with their distance in plies."""
        key = start.id, spot.key
        found = self._reachable.get(key)
        if found is None:
            number = spot.context.number
            found = []
            for distance, place in enumerate(start.ancestors(), start=1):
                if distance > FAR_BACK and number is None:
                    break
                options = self._priced(place, spot)
                if options:
                    found.append((min(distance, len(LOGS) - 1), place, options))
            self._reachable[key] = found
        return found

    def _add(
        self,
        found: list[Option],
        state: State,
        kind: int,
        base: Place,
        options: list[Priced],
        score: float,
        least: float,
    ) -> None:
        tree, role = state.tree, ROLE_OF[kind]
        for value, move, cost in options:
            if score + value + MOST < least:
                return  # the options are sorted
            known = base.children.get(move) if kind != GAME else None
            if known is not None and (known.id in tree or known.id in self._game_ids):
                continue
            total = score + value + self._terms["misheard"][role] * cost
            total += self.sense(role, base, move, least - total)
            if total >= least:
                found.append((kind, base, move, (), total))

    def sense(self, role: int, base: Place, move: chess.Move, least: float = -math.inf) -> float:
        """What it says that a move of these effects is played, or considered.

        Minus infinity may stand for less than least: the position after the move takes long to look at.
        """
        key = base.id, move
        found = self._senses.get(key)
        if found is None:
            if self.most_sense(role, base, move) < least:
                return -math.inf
            names = effects(base.board, move, self.places.after(base, move).board)
            natural = self.natural(base, move)
            found = self._senses[key] = (self._effect(PLAYED, names, natural), self._effect(CONSIDERED, names, natural))
        return found[role]

    def _effect(self, role: int, names: Sequence[str], natural: float) -> float:
        return sum(self._terms[name][role] for name in names) + self._terms["natural"][role] * natural

    def most_sense(self, role: int, base: Place, move: chess.Move) -> float:
        """What sense is at most, whatever the position after the move."""
        return self._most_effect[role] + self._terms["natural"][role] * self.natural(base, move)

    def misheard(self, base: Place, spot: Spot, move: chess.Move) -> float:
        """What it costs that the words name a move."""
        return next(cost for _, named, cost in self._priced(base, spot) if named == move)

    def natural(self, base: Place, move: chess.Move) -> float:
        """How much likelier than usual a move is before anything is said about it, in nats."""
        return self._priors(base)[move] + USUAL_MOVE

    def _bridged(self, spot: Spot, kind: int, base: Place, score: float) -> Iterator[Option]:
        """Steps through a move that nobody names, or two where there is no such move."""
        if self._plain(self._priced(base, spot)):
            return
        ways, loss = self._bridges_from(base, spot), self.scales["silent"]
        if not ways and kind == GAME and spot.gain > 0.0:
            ways, loss = self._pairs_from(base, spot), loss + self.scales["silent-more"]
        turn, role = self._turn(spot, base), ROLE_OF[kind]
        for silent, move, cost in ways:
            sense = self.sense(role, self._through(base, silent)[-1], move)
            yield kind, base, move, silent, score + (turn - loss - cost) + sense

    def _natural(self, base: Place) -> list[Natural]:
        """The legal moves, the most natural first."""
        found = self._naturals.get(base.id)
        if found is None:
            priced = ((value, move) for move, value in self._priors(base).items())
            found = self._naturals[base.id] = sorted(priced, key=lambda each: -each[0])
        return found

    def _plain(self, options: list[Priced]) -> bool:
        """One of the moves is what the words say, and nothing is amiss."""
        return bool(options) and options[0][0] > -3.0

    def _priced(self, base: Place, spot: Spot) -> list[Priced]:
        """The moves that the mention may name from a place, best first."""
        key = base.id, spot.key
        found = self._options.get(key)
        if found is None:
            found = self._options[key] = self._price(base, spot)
        return found

    def _price(self, base: Place, spot: Spot) -> list[Priced]:
        words, options = self.scales["words"], self._named(base, spot)
        if not options:
            return []
        misfit = self._turn(spot, base) - self.scales["misfit"] * options[0].cost
        if len(options) == 1:
            return [(misfit - self.neglect(base, options[0].move), options[0].move, options[0].cost)]
        priors = self._priors(base)
        found = [(priors[named.move] - words * named.cost, named.move, named.cost) for named in options]
        top = max(value for value, _, _ in found)
        total = top + math.log(sum(math.exp(value - top) for value, _, _ in found))
        priced = [(misfit + value - total - self.neglect(base, move), move, cost) for value, move, cost in found]
        return sorted(priced, key=lambda each: -each[0])

    def neglect(self, base: Place, move: chess.Move) -> float:
        """What it costs that a move takes nothing where a piece, or the queen, could be had for nothing."""
        if base.board.occupied & chess.BB_SQUARES[move.to_square]:
            return 0.0
        worth = self._en_prise.get(base.id)
        if worth is None:
            worth = self._en_prise[base.id] = en_prise(base.board)
        if worth >= QUEEN_LOST:
            return self.scales["queen-en-prise"]
        return self.scales["piece-en-prise"] if worth >= PIECE_LOST else 0.0

    def _named(self, base: Place, spot: Spot) -> Sequence[Named]:
        """What the mention may name from a place, with what the moves before tell of it.

        "The other rook" is hardly the one that moved last; a bare square may well be the next one of that piece.
        """
        options = base.named(spot.key, spot.mention)
        if spot.mention.other:
            told = [replace(each, cost=each.cost + THE_SAME * _moved_last(base, each.move)) for each in options]
        elif spot.mention.form == "square" and base.own_last:
            here = base.own_last.to_square
            told = [
                replace(each, cost=each.cost - GOES_ON)
                if each.move.from_square == here and each.cost > UNSAID_PIECE[chess.KNIGHT] - 1.0
                else each
                for each in options
            ]
        else:
            return options
        return sorted(told, key=lambda each: each.cost)

    def _bridges_from(self, base: Place, spot: Spot) -> list[Bridge]:
        """Ways to the mention's move through one move that nobody names."""
        return self._ways(self._bridges, self._bridge_moves, base, spot)

    def _pairs_from(self, base: Place, spot: Spot) -> list[Bridge]:
        """Ways to the mention's move through two moves that nobody names."""
        return self._ways(self._pairs, self._pair_moves, base, spot)

    @staticmethod
    def _ways(
        known: dict[tuple[int, int], list[Bridge]],
        moves: Callable[[Place, Spot], Iterator[Bridge]],
        base: Place,
        spot: Spot,
    ) -> list[Bridge]:
        """The cheapest of the ways, looked for once."""
        key = base.id, spot.key
        found = known.get(key)
        if found is None:
            found = known[key] = sorted(moves(base, spot), key=lambda way: way[2])[:BRIDGES]
        return found

    def _pair_moves(self, base: Place, spot: Spot) -> Iterator[Bridge]:
        mention, words = spot.mention, self.scales["words"]
        for prior, first in self._natural(base)[:PAIRS_TRIED]:
            through = self.places.after(base, first)
            board = through.board
            if not may_reach(mention, board, base.turn, board.occupied_co[base.turn]):
                continue
            for reply, second in self._natural(through)[:PAIRS_TRIED]:
                left, taken = chess.BB_SQUARES[second.from_square], chess.BB_SQUARES[second.to_square]
                if not may_reach(mention, board, base.turn, board.occupied & ~left | taken):
                    continue
                named = self.places.after(through, second).named(spot.key, mention)
                if named and named[0].cost < EXACT:
                    yield (first, second), named[0].move, words * named[0].cost - prior - reply

    def _bridge_moves(self, base: Place, spot: Spot) -> Iterator[Bridge]:
        mention = spot.mention
        if not (mention.takes or self._fits_other_side(base, mention)):
            return
        for prior, silent in self._natural(base)[:BRIDGES_TRIED]:
            through = self.places.after(base, silent)
            for named in through.named(spot.key, mention)[:2]:
                if named.cost < 2.0:
                    yield (silent,), named.move, self.scales["words"] * named.cost - prior

    def _fits_other_side(self, base: Place, mention: Mention) -> bool:
        """The other side could make the mention's move if it were to move."""
        if base.board.is_check():
            return True
        passed = base.board.copy(stack=False)
        passed.push(chess.Move.null())
        return any(named.cost < 2.0 for named in LegalMoves(passed).named(mention))

    def _repeats(self, state: State, spot: Spot, known: list[tuple[Place, float]], score: float) -> Iterator[Option]:
        for place, cost in known:
            if place.id not in state.tree or place.parent is None or place.move is None:
                continue
            away = abs(place.ply - state.cursor.ply)
            extra = (
                self.scales["repeat-near"] if place is state.cursor else self.scales["repeat-far"] * math.log(2 + away)
            )
            turn = self._turn(spot, place.parent)
            yield REPEAT, place.parent, place.move, (), score + turn - self.scales["words"] * cost - extra

    def _turn(self, spot: Spot, base: Place) -> float:
        colour = spot.context.colour
        if colour is None:
            return 0.0
        return self.scales["turn-right"] if colour == base.turn else -self.scales["turn-wrong"]

    def _priors(self, base: Place) -> dict[chess.Move, float]:
        """How natural each legal move is: its log-probability before anything is said."""
        found = self._priors_at.get(base.id)
        if found is None:
            traits = move_traits(base)
            logs = self.model.move_logs(list(traits.values()))
            found = self._priors_at[base.id] = dict(zip(traits, logs, strict=True))
        return found


def _moved_last(base: Place, move: chess.Move) -> bool:
    """Of its side's pieces of its type, the one that moves is the one that moved last."""
    piece, after = base.board.piece_type_at(move.from_square), base
    for before in base.ancestors():
        assert after.move is not None
        if before.turn == base.turn and before.board.piece_type_at(after.move.from_square) == piece:
            return after.move.to_square == move.from_square
        after = before
    return False


def _most_effect(terms: dict[str, list[float]], role: int) -> float:
    """The most that the effects of a move can say for a role."""
    return max(terms[name][role] for name in LOSSES) + sum(max(0.0, terms[name][role]) for name in CHECKS)


def _last_kept(beam: Sequence[State]) -> dict[int, float]:
    """For each length of game that enough hypotheses of a beam have, the score of the last one that is safe there."""
    found: dict[int, float] = {}
    seen: Counter[int] = Counter()
    for state in beam:
        length = state.tip.ply
        seen[length] += 1
        if seen[length] == OF_LENGTH:
            found[length] = state.score
    return found


def _best(states: Iterable[State], width: Width) -> tuple[list[State], list[State]]:
    """The best hypotheses, best first, and the best of the others with different games."""
    ranked = sorted(states, key=lambda state: -state.score)
    floor, lowest = ranked[0].score - width.drop, ranked[0].score - width.rare
    same_place: Counter[tuple[int, bool]] = Counter()
    same_depth: Counter[tuple[int, int]] = Counter()
    same_length: Counter[int] = Counter()
    kept: list[State] = []
    left: dict[int, State] = {}
    for state in ranked:
        if state.score < lowest and len(left) >= LEFT:
            break
        place, length = (state.cursor.id, state.base is state.tip), state.tip.ply
        low = state.score < lowest or (state.score < floor and same_length[length] >= OF_LENGTH)
        depth = length, state.cursor.ply
        many = len(kept) >= width.states and same_length[length] >= width.same_length
        alike = same_place[place] >= width.same_place or same_depth[depth] >= width.same_depth
        if low or many or alike:
            if len(left) < LEFT:
                left.setdefault(state.tip.id, state)
            continue
        same_place[place] += 1
        same_depth[depth] += 1
        same_length[length] += 1
        kept.append(state)
    return kept, list(left.values())


def merged(beam: Sequence[State], others: Sequence[State], width: Width) -> list[State]:
    """The best of both; of two hypotheses that differ no more, the better one."""
    pool: dict[tuple[int, int, int], State] = {}
    for state in (*beam, *others):
        key = state.tip.id, state.cursor.id, state.free
        if key not in pool or pool[key].score < state.score:
            pool[key] = state
    kept, _ = _best(pool.values(), width)
    return kept


def different(beam: Sequence[State], count: int) -> list[State]:
    """The best hypotheses of a beam that differ in the game, at most so many."""
    found: dict[int, State] = {}
    for state in beam:
        found.setdefault(state.tip.id, state)
        if len(found) == count:
            break
    return list(found.values())


def available(state: State) -> tuple[int, ...]:
    """The kinds of step that a state allows."""
    cursor = state.cursor
    if state.mode == AT_GAME:
        return (GAME, OPEN, INSTEAD, BACK, REPEAT) if cursor.parent else (GAME, OPEN)
    if state.mode == LOOKING_BACK:
        return (GAME, OPEN, CONTINUE, INSTEAD, BACK, REPEAT) if cursor.parent else (GAME, OPEN, CONTINUE, BACK, REPEAT)
    if state.base is state.tip:
        at_first = state.base is cursor.parent
        return (GAME, CONTINUE, INSTEAD, BACK, REPEAT) if at_first else (GAME, CONTINUE, INSTEAD, ROOT, BACK, REPEAT)
    if state.base is cursor.parent:
        return (GAME, OPEN, CONTINUE, INSTEAD, BACK, REPEAT)
    return (GAME, OPEN, CONTINUE, INSTEAD, ROOT, BACK, REPEAT)


def state_features(state: State) -> tuple[str, ...]:
    """Features of the hypothesis itself, to go with those of the talk."""
    if state.mode == IN_SIDE:
        base = state.base
        start = "tip" if base is state.tip else "before-tip" if base is state.tip.parent else "earlier"
        return (LENGTHS[min(state.length, 5)], f"base={start}")
    if state.mode == LOOKING_BACK:
        return (f"behind={min(4, state.tip.ply - state.cursor.ply)}",)
    return ()


FITTING = 5.0
"""A move that costs less is one that the words may well stand for."""


def fits(state: State, key: int, mention: Mention, again: bool) -> tuple[str, ...]:
    """Features that tell from which of the places at hand the mention (number key) names a legal move.

    again: it may name a move that is in the tree already. The last feature is all of them in one word.
    """
    tip, cursor, base = state.tip, state.cursor, state.base
    marks = _fit(tip, "t", key, mention)
    if cursor is not tip:
        marks += _fit(cursor, "c", key, mention)
    if cursor.parent is not None and cursor.parent is not tip:
        marks += _fit(cursor.parent, "p", key, mention)
    if base is not tip and base is not cursor and base is not cursor.parent:
        marks += _fit(base, "b", key, mention)
    if again:
        marks += "k"
    return (*(f"fits-{mark}" for mark in marks), f"fits={marks}")


def rival_fit(state: State, mains: Sequence[tuple[int, Mention]]) -> str:
    """How well the main readings of the same words fit the places at hand, at best; "" where there are none."""
    found = {how_well(fits(state, key, mention, False)[-1]) for key, mention in mains}
    return next((how for how in FITS if how in found), "")


def _fit(place: Place, mark: str, key: int, mention: Mention) -> str:
    """The mark in capitals when the words stand for a move from there, in small letters when they may."""
    named = place.named(key, mention)
    if not named or named[0].cost >= FITTING:
        return ""
    return mark.upper() if named[0].cost < EXACT else mark


LENGTHS = ("length=0", "length=1", "length=2", "length=3", "length=4", "length=5+")
