"""Where one game of a talk ends and the next one begins.

Words like "the next game" may announce one, or speak of a game that is not shown. What follows decides: it is read from
the start position and as more of the same game, and a game begins where the former tells far more of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate

from sync.follow.recover import Reached, run
from sync.follow.search import AGAIN, Search, Spot, State, clear, groups
from sync.mentions.atoms import plain
from sync.transcript.words import Word

ORDER = frozenset("next second third fourth fifth sixth seventh eighth ninth tenth last other new another".split())
NUMBER = frozenset("two three four five six seven eight nine ten 2 3 4 5 6 7 8 9 10".split())
BETWEEN = frozenset("and little short very number of our my the".split())
"""Words by which a game is announced: "the next game", "game number two" (common practice, no source)."""
AHEAD = 16
"""Clear mentions after such words that are read both ways."""
LEAST = 6
"""Fewer do not tell."""
WELL = 2.5
"""Nats that each of them must bring from the start position; where a talk is followed rightly it is 4 or more."""
MORE = 0.5
"""Nats that each of them must bring more from there than as more of the same game."""
OPEN_END = 2.0
LONG_END = 1.0
USUAL_END = 5
"""Nats that a side line from the last position of the game costs, and each of its plies after so many. In the first
116 scripts that the weights were fitted on 15 games end so, six of them with a longer line."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of the talk about one game: words[first_word:end_word], its mentions, and how it was followed.

    finals: the last hypotheses of the search, the likeliest first.
    """

    first_word: int
    end_word: int
    search: Search
    found: Sequence[Spot]
    finals: Sequence[State]


def stretches(
    words: Sequence[Word], found: Sequence[Spot], search: Callable[[], Search], reached: Reached
) -> Iterator[Stretch]:
    """The talk game by game, one at a time: what a search holds is much. search makes one from the start position."""
    announced = announcements(words)
    first, end = 0, len(words)
    while True:
        rest = [spot for spot in found if spot.mention.first >= first]
        part = _stretch(first, end, rest, announced, search, reached)
        first = part.end_word
        yield part
        if first >= end:
            return
        del part  # before the next game is searched


def _stretch(
    first: int,
    end: int,
    found: Sequence[Spot],
    announced: Sequence[int],
    search: Callable[[], Search],
    reached: Reached,
) -> Stretch:
    """The game whose talk begins with a word: up to the first announcement that is one, else to the end."""
    here = search()
    for word in announced if here.given is None else ():
        before = [spot for spot in found if spot.mention.last <= word]
        ahead = _ahead([spot for spot in found if spot.mention.first >= word])
        count = len(clear(ahead))
        if not before or count < LEAST:
            continue
        fresh = search()
        anew = _gain(fresh, [fresh.start], ahead)
        if anew <= WELL * count:
            continue
        finals = run(here, before, reached)
        if anew > _gain(here, finals, ahead) + MORE * count:
            return Stretch(first, word, here, before, ended(here, finals))
        here = search()
    return Stretch(first, end, here, found, ended(here, run(here, found, reached)))


def ended(search: Search, beam: Sequence[State]) -> list[State]:
    """The hypotheses by how likely they are now that the game is over: hardly ever is its end only considered."""
    if search.given is not None:
        return list(beam)
    return sorted(beam, key=lambda state: left_open(search, state) - state.score)


def left_open(search: Search, state: State) -> float:
    """What it costs that moves after the last one played were named, and the game did not go on with them."""
    places = (search.places.by_id[number] for number in state.tree)
    longest = max((place.ply - state.tip.ply for place in places if state.tip.leads_to(place)), default=0)
    return (OPEN_END + LONG_END * max(0, longest - USUAL_END)) if longest else 0.0


def announcements(words: Sequence[Word]) -> list[int]:
    """The first words of what may announce a game."""
    texts = [plain(word.text) for word in words]
    found = []
    for at, text in enumerate(texts):
        if text != "game":
            continue
        first = at
        while first > 0 and texts[first - 1] in BETWEEN:
            first -= 1
        if first > 0 and texts[first - 1] in ORDER:
            found.append(first - 1)
        elif _number_after(texts, at):
            found.append(at)
    return found


def _number_after(texts: Sequence[str], at: int) -> bool:
    after = [text for text in texts[at + 1 : at + 3] if text != "number"]
    return bool(after) and after[0] in NUMBER


def _ahead(after: Sequence[Spot]) -> list[Spot]:
    plain_moves = clear(after)
    counts = accumulate(spot.key in plain_moves for spot in after)
    return [spot for spot, count in zip(after, counts, strict=True) if count <= AHEAD]


def _gain(search: Search, beam: list[State], ahead: Sequence[Spot]) -> float:
    """Nats that the mentions bring the hypotheses."""
    before = beam[0].score
    for group in groups(ahead):
        beam, _ = search.read(beam, group, AGAIN)
    return beam[0].score - before
