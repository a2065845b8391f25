"""From mentions to game trees."""

from __future__ import annotations

from collections.abc import Sequence

import chess

from sync.follow.fixes import Fix
from sync.follow.model import fitted
from sync.follow.place import Place
from sync.follow.search import Search, State, Step, spots
from sync.follow.tree import Game, Moment, Ply
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
) -> tuple[Game, ...]:
    """The games of a talk with their side lines.

    start_fen: the position the talk starts from. moves: the game's moves where they are known; then the search only
    places them in time. fixes: what an editor has decided.
    """
    search = Search(chess.Board(start_fen), fitted(), moves)
    finals = search.run(spots(transcript, mentions, fitted()))
    return (_game(transcript, start_fen, finals[0]),)


def steps_to(state: State) -> list[Step]:
    """The best way to a state."""
    found = []
    while state.steps:
        found.append(state.steps[0])
        state = state.steps[0].before
    return found[::-1]


def _game(transcript: Transcript, start_fen: str, final: State) -> Game:
    steps = steps_to(final)
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
        following = steps[index + 1].spot.mention if index + 1 < len(steps) else None
        moments.setdefault(step.place.id, []).append(_moment(transcript, step, following))
    played = {place.id for place in final.tip.line()}
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
            plies.append(_ply(place, numbers, played, inferred, moments))
        stack += [place.id for place in reversed(below)]
    return Game(
        start_fen=start_fen,
        plies=tuple(plies),
        start=0.0,
        end=transcript.duration,
        first_word=0,
        end_word=len(transcript.words),
    )


def _moment(transcript: Transcript, step: Step, following: Mention | None) -> Moment:
    mention = step.spot.mention
    words = transcript.words
    end_word = following.first if following else len(words)
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
