"""The talk around a mention, as features for the fitted model."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import chess

from sync.follow.discourse import CLASS, OVER, TELLING
from sync.mentions.atoms import STRONG_BREAK, pause_after, plain
from sync.mentions.mention import Mention
from sync.mentions.tables import ARTICLES, WEAK_TAKES
from sync.transcript.words import Transcript, Word

BEFORE = 14
"""Words before a mention that count as its context."""
AFTER = 4
NEAR = 4
LONGEST_SENTENCE = 60
"""Words back to which the beginning of a sentence is looked for."""
LATER = 16
"""Words after a mention; those from AFTER on tell how what was named is judged, as features of their own."""
PAUSES = ((0.15, "short"), (0.5, "breath"), (1.0, "stop"), (2.5, "long"))
"""Upper bounds in seconds of the classes of pauses before a mention."""

SHORT, LONG = 300, 600
"""Words of a talk from which on it tells something how much of it is left, as a share and in words."""
WORDS_LEFT = (25, 60, 120, 200, 300)
SHARES_LEFT = (0.03, 0.06, 0.1, 0.15, 0.25, 0.5)
"""Upper bounds of the classes of how much of the talk is left, or since when it has lasted."""
VERBS = frozenset(("X", "V", "C", "Q"))
"""Parts of a name that are verbs, whose tense and choice tell something."""
ENDINGS = (("ed", 4), ("ing", 4), ("ly", 3), ("s", 3))
"""Endings that tell something about an unknown word, with the length that it must exceed."""

COLOUR_WORDS = {
    "white": chess.WHITE, "white's": chess.WHITE, "whites": chess.WHITE,
    "black": chess.BLACK, "black's": chess.BLACK, "blacks": chess.BLACK,
}  # fmt: skip
NUMBER = re.compile(r"\d+")
SENTENCE_STARTERS = frozenset(
    """i i'm i've i'll i'd the a an and but so now then here there this that it he she they we you if what why how or
    in on at to for of as well okay ok yes no not let let's look black white after before with just maybe""".split()
)


@dataclass(frozen=True, slots=True)
class Context:
    """features: names of what is so around the mention, each counts 1.

    colour: the side that the nearest words before say is to move, None when they do not say.
    gap: seconds and words since the mention before.
    """

    features: tuple[str, ...]
    colour: chess.Color | None
    number: int | None = None


class Talk:
    """A transcript prepared for looking around in."""

    def __init__(self, transcript: Transcript) -> None:
        self.words = transcript.words
        self.plain = [plain(word.text) for word in transcript.words]
        self.pauses = [pause_after(word.text) for word in transcript.words]
        self.names = player_names(self.words, self.plain)
        self.tokens = [self._token(text) for text in self.plain]
        self.over = [index for index, text in enumerate(self.plain) if text in OVER]

    def _token(self, text: str) -> str:
        if text in self.names:
            return "<name>"
        if text.endswith("'s") and text[:-2] in self.names:
            return "<name's>"
        if NUMBER.fullmatch(text):
            return "<number>"
        return text

    def colour_at(self, index: int) -> chess.Color | None:
        text = self.plain[index]
        if text in COLOUR_WORDS:
            return COLOUR_WORDS[text]
        return self.names.get(text)


def player_names(words: tuple[Word, ...], texts: list[str]) -> dict[str, chess.Color | None]:
    """Words that look like the players' names, with the colour where the talk tells it ("Milo has white")."""
    inside = Counter(
        text
        for index, (word, text) in enumerate(zip(words, texts, strict=True))
        if index and word.text[:1].isupper() and pause_after(words[index - 1].text) < STRONG_BREAK
        if text.isalpha() and len(text) > 2 and text not in SENTENCE_STARTERS and text not in COMMON_CAPITALS
    )
    lower = {text for word, text in zip(words, texts, strict=True) if word.text[:1].islower()}
    names: dict[str, chess.Color | None] = {name: None for name in inside if name not in lower}
    for index, text in enumerate(texts):
        if text in names and names[text] is None:
            names[text] = _colour_told(texts, index, names)
    return names


COMMON_CAPITALS = frozenset(
    """sicilian french english italian spanish dutch scandinavian indian king's queen's pirc slav benoni benko petroff
    russian scotch vienna london catalan gruenfeld grunfeld nimzo najdorf dragon monday tuesday wednesday thursday
    friday saturday sunday knight bishop rook queen king pawn castles check mate alright okay hello""".split()
)


def _colour_told(texts: list[str], index: int, names: dict[str, chess.Color | None]) -> chess.Color | None:
    """ "NAME has the white pieces", "NAME with black", "white is NAME"; not across another name."""
    for later in range(index + 1, min(index + 6, len(texts))):
        if texts[later] in names:
            break
        if texts[later] in ("white", "black") and any(
            verb in texts[index + 1 : later]
            for verb in ("has", "had", "with", "is", "playing", "plays", "have", "took")
        ):
            return texts[later] == "white"
    if index >= 2 and texts[index - 2] in ("white", "black") and texts[index - 1] in ("is", "was"):
        return texts[index - 2] == "white"
    return None


class Neighbours:
    """The mentions that plainly name moves, to look around among. Readings that do not overlap, by first word."""

    def __init__(self, mentions: Sequence[Mention]) -> None:
        self._mentions = mentions
        self._begins = [mention.first for mention in mentions]
        self._ends = [mention.last for mention in mentions]

    def before(self, word: int) -> Mention | None:
        """The last one that ends before a word."""
        found = bisect_right(self._ends, word)
        return self._mentions[found - 1] if found else None

    def after(self, word: int) -> Mention | None:
        """The first one that begins at a word or later."""
        found = bisect_left(self._begins, word)
        return self._mentions[found] if found < len(self._mentions) else None

    def ending(self, first: int, last: int) -> int:
        """How many end within words[first:last]."""
        return bisect_right(self._ends, last) - bisect_right(self._ends, first)


def context(talk: Talk, mention: Mention, neighbours: Neighbours) -> Context:
    """The talk around one mention."""
    first, last = mention.first, mention.last
    previous, following = neighbours.before(first), neighbours.after(last)
    previous_end = previous.last if previous else 0
    next_start = following.first if following else len(talk.words)
    begin = max(0, previous_end, first - BEFORE)
    sentence = _sentence_start(talk, first)
    between = talk.tokens[begin:first]
    gap = _bucket(first - previous_end)
    features = [f"form={mention.form}", f"gap={gap}"]
    near = between[-NEAR:]
    features += [f"near={word}" for word in set(near)]
    features += _inner_features(talk, mention, between)
    features += [f"far={word}" for word in set(between[:-NEAR])]
    features += [f"pair={one} {two}" for one, two in pairwise(between[-7:])]
    last_word = between[-1] if between else "<mention>"
    features += [f"last={last_word}", f"{mention.form} last={last_word}"]
    last_class = _class(last_word)
    features += [f"last-class={last_class}", f"{mention.form} last-class={last_class}"]
    earlier = talk.tokens[max(sentence, first - 40) : previous_end]
    features += [f"sentence={word}" for word in set(earlier)]
    after = talk.tokens[last : min(last + AFTER, next_start)]
    features += _classes(between, earlier, after)
    if talk.pauses[last - 1] == STRONG_BREAK:
        features.append("stop-after")
    features += [f"after={word}" for word in set(after)]
    next_word = after[0] if after else "<mention>"
    features += [f"next={next_word}", f"{mention.form} next={next_word}"]
    later = set(talk.tokens[last + AFTER : min(last + LATER, next_start)])
    features += [f"later={word}" for word in later]
    features += [f"later-class={CLASS[word]}" for word in later if word in CLASS]
    if _asked(talk, first):
        features.append("question")
    features.append("sentence-start" if sentence == first else f"start={talk.tokens[sentence]}")
    begins_anew = sentence >= previous_end and sentence > 0
    if begins_anew:
        features.append("new-sentence")
    features += [f"new={begins_anew} {gap}", f"new={begins_anew} {mention.form}"]
    features += _neighbour_features(talk, mention, previous, following, gap)
    features.append(f"in-sentence={min(neighbours.ending(sentence, first), 4)}")
    features += _place_in_talk(talk, mention)
    features.append(f"pause={_pause(talk.words, begin, first)}")
    if mention.check or mention.mate:
        features.append("said-check")
    if mention.gaps > 1:
        features.append("gaps")
    if mention.breaks:
        features.append("breaks")
    if mention.cost > 0.6:
        features.append("misheard" if mention.cost < 2 else "badly-misheard")
    return Context(
        tuple(sorted(set(features))), _colour(talk, max(begin, sentence), first), _move_number(talk, begin, first)
    )


def _sentence_start(talk: Talk, first: int) -> int:
    start = first
    while start > 0 and talk.pauses[start - 1] < STRONG_BREAK and first - start < LONGEST_SENTENCE:
        start -= 1
    return start


def _neighbour_features(
    talk: Talk, mention: Mention, previous: Mention | None, following: Mention | None, gap: str
) -> list[str]:
    """What is named before and after, and whether in the same sentence."""
    found = [
        f"before-form={previous.form if previous else None}",
        f"after-form={following.form if following else None}",
        f"until={_bucket((following.first if following else len(talk.words)) - mention.last)}",
    ]
    if previous:
        found.append(f"before-form={previous.form} gap={gap}")
    with_previous = previous is not None and not _stops(talk, previous.last, mention.first)
    with_following = following is not None and not _stops(talk, mention.last, following.first)
    found.append(f"sentence-with={with_previous}{with_following}")
    return found


def _stops(talk: Talk, end: int, begin: int) -> bool:
    """A sentence ends between two mentions; end and begin are words."""
    return STRONG_BREAK in talk.pauses[end - 1 : begin]


def _place_in_talk(talk: Talk, mention: Mention) -> list[str]:
    """How far the talk is: near its end a game is summed up. Nothing in a short talk, which may be a part of one."""
    count = len(talk.words)
    if count < SHORT:
        return []
    left = count - mention.last
    found = [f"part={_within(left / count, SHARES_LEFT)}"]
    over = bisect_left(talk.over, mention.first)
    if over:
        found.append(f"ended={_within(mention.first - talk.over[over - 1], WORDS_LEFT)}")
    if count < LONG:
        return found
    rest = _within(left, WORDS_LEFT)
    return [*found, f"rest={rest}", f"{mention.form} rest={rest}", f"begun={_within(mention.first, WORDS_LEFT)}"]


def _within(value: float, bounds: Sequence[float]) -> str:
    """The first bound above a value."""
    return next((str(bound) for bound in bounds if value < bound), "more")


def _inner_features(talk: Talk, mention: Mention, between: Sequence[str]) -> list[str]:
    words = _inner(talk, mention)
    classes = {_class(word) for word in words} - {None}
    found = [f"inner={word}" for word in set(words)]
    found += [f"inner-class={name}" for name in classes]
    verbs = [talk.tokens[word] for part, first, last in mention.parts if part in VERBS for word in range(first, last)]
    found += [f"verb={word}" for word in set(verbs)]
    if WEAK_TAKES.intersection(verbs):
        found += ["weak-verb", f"{mention.form} weak-verb"]
    if words and between and between[-1] in ARTICLES:
        found += ["det+inner", *(f"det-inner={name}" for name in classes)]
    return found


def _class(word: str) -> str | None:
    """The word's class; of a word that no table has, how it ends."""
    if word in CLASS:
        return CLASS[word]
    if word.startswith("<"):
        return word
    return next((ending for ending, length in ENDINGS if word.endswith(ending) and len(word) > length), None)


def _inner(talk: Talk, mention: Mention) -> list[str]:
    """Words inside a move name that name nothing: "the knight *on* e5", "knight *goes to* e5"."""
    naming = {word for _, first, last in mention.parts for word in range(first, last)}
    return [talk.tokens[word] for word in range(mention.first, mention.last) if word not in naming]


def _classes(between: list[str], earlier: list[str], following: list[str]) -> list[str]:
    """What kinds of word stand before and after; they tell about words that the fit has never seen."""
    before = [CLASS[word] for word in between if word in CLASS]
    near = [CLASS[word] for word in between[-NEAR:] if word in CLASS]
    found = [f"near-class={name}" for name in set(near)]
    found += [f"class={name}" for name in set(before)]
    found += [f"class-pair={one} {two}" for one, two in pairwise(before[-5:])]
    found += [f"sentence-class={CLASS[word]}" for word in set(earlier) if word in CLASS]
    found += [f"after-class={CLASS[word]}" for word in set(following) if word in CLASS]
    told = [name for name in before if name in TELLING]
    found.append(f"told={told[-1] if told else None}")
    return found


def _bucket(count: int) -> str:
    for bound, name in ((0, "0"), (2, "1-2"), (5, "3-5"), (10, "6-10"), (20, "11-20"), (45, "21-45")):
        if count <= bound:
            return name
    return "46+"


def _pause(words: tuple[Word, ...], begin: int, first: int) -> str:
    if first == 0 or words[first].spread:
        return "unknown"
    longest = max(words[index].start - words[index - 1].end for index in range(max(1, begin), first + 1))
    for bound, name in PAUSES:
        if longest < bound:
            return name
    return "very-long"


def _asked(talk: Talk, index: int) -> bool:
    for later in range(index, min(index + 15, len(talk.words))):
        if talk.pauses[later] == STRONG_BREAK:
            return "?" in talk.words[later].text
    return False


def _colour(talk: Talk, begin: int, first: int) -> chess.Color | None:
    for index in range(first - 1, begin - 1, -1):
        colour = talk.colour_at(index)
        if colour is not None:
            return colour
    return None


NUMBER_WORDS = {
    name: value
    for value, name in enumerate(
        """one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen
        eighteen nineteen twenty""".split(),
        start=1,
    )
} | {
    f"twenty-{name}": 20 + value
    for value, name in enumerate("one two three four five six seven eight nine".split(), start=1)
}


def _move_number(talk: Talk, begin: int, first: int) -> int | None:
    """The number in "move twelve" or "move 12", the last before the mention."""
    for index in range(first - 1, max(begin, 1) - 1, -1):
        if talk.plain[index - 1] not in ("move", "moved", "moves", "unmoved"):
            continue
        text = talk.plain[index]
        if text.isdigit() and len(text) < 4:
            return int(text)
        if text in NUMBER_WORDS:
            return NUMBER_WORDS[text]
    return None
