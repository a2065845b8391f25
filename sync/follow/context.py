"""The talk around a mention, as features for the fitted model."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

import chess

from sync.follow.discourse import CLASS, TELLING
from sync.mentions.atoms import STRONG_BREAK, pause_after, plain
from sync.mentions.mention import Mention
from sync.transcript.words import Transcript, Word

BEFORE = 14
"""Words before a mention that count as its context."""
AFTER = 4
NEAR = 4
PAUSES = ((0.15, "short"), (0.5, "breath"), (1.0, "stop"), (2.5, "long"))
"""Upper bounds in seconds of the classes of pauses before a mention."""

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


def context(talk: Talk, mention: Mention, previous_end: int, next_start: int) -> Context:
    """previous_end, next_start: word indices where the mention before ends and the one after begins."""
    first, last = mention.first, mention.last
    begin = max(0, previous_end, first - BEFORE)
    sentence = first
    while sentence > 0 and talk.pauses[sentence - 1] < STRONG_BREAK and first - sentence < 40:
        sentence -= 1
    between = talk.tokens[begin:first]
    features = [f"form={mention.form}", f"gap={_bucket(first - previous_end)}"]
    near = between[-NEAR:]
    features += [f"near={word}" for word in set(near)]
    features += [f"inner={word}" for word in set(_inner(talk, mention))]
    features += [f"far={word}" for word in set(between[:-NEAR])]
    features += [f"pair={one} {two}" for one, two in pairwise(between[-7:])]
    last_word = between[-1] if between else "<mention>"
    features += [f"last={last_word}", f"{mention.form} last={last_word}"]
    earlier = talk.tokens[max(sentence, first - 40) : previous_end]
    features += [f"sentence={word}" for word in set(earlier)]
    following = talk.tokens[last : min(last + AFTER, next_start)]
    features += _classes(between, earlier, following)
    if talk.pauses[last - 1] == STRONG_BREAK:
        features.append("stop-after")
    features += [f"after={word}" for word in set(following)]
    next_word = following[0] if following else "<mention>"
    features += [f"next={next_word}", f"{mention.form} next={next_word}"]
    if _asked(talk, first):
        features.append("question")
    features.append("sentence-start" if sentence == first else f"start={talk.tokens[sentence]}")
    if sentence >= previous_end and sentence > 0:
        features.append("new-sentence")
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
