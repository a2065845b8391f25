"""From rows of the tables to words: choices, slots and verb forms; and the style that chooses among rows."""

from __future__ import annotations

import math
import random
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache

from tests.fitting.narration_tables import IRREGULAR

ROW = re.compile(r"(?:(\d+)~)?(?:([NVBGS])(?: |$))?(.*)")
CHOICE = re.compile(r"\[([^\[\]]*)\]")
TAG = re.compile(r"<(\w+)(?::([b3gpo]))?>")


@dataclass(frozen=True)
class Row:
    """shape: of the name of a move, see narration_tables.py; empty where there is none."""

    text: str
    shape: str = ""
    weight: float = 1.0


@cache
def rows(table: str) -> tuple[Row, ...]:
    """The rows of a table, a line each."""
    found = []
    for line in table.strip("\n").split("\n"):
        match = ROW.fullmatch(line)
        assert match
        found.append(Row(match[3], match[2] or "", float(match[1] or 1)))
    return tuple(found)


def shaped(table: str) -> tuple[Row, ...]:
    """The rows of a table whose every row has a shape."""
    found = rows(table)
    assert all(row.shape for row in found)
    return found


@dataclass
class Taste:
    """What one speaker likes to say: every row is liked more or less, as the seed has it.

    spread: standard deviation of the logarithm of a row's factor.
    """

    seed: str
    spread: float
    _factors: dict[str, float] = field(default_factory=dict)

    def factor(self, what: str) -> float:
        if what not in self._factors:
            self._factors[what] = math.exp(random.Random(f"{self.seed} {what}").gauss(0.0, self.spread))
        return self._factors[what]

    def pick(self, rng: random.Random, found: Iterable[Row]) -> Row:
        each = list(found)
        return rng.choices(each, [row.weight * self.factor(row.shape + row.text) for row in each])[0]


@dataclass(frozen=True)
class Subject:
    """Who does it. person: 3, or another number for those with whom verbs stand in the base form."""

    text: str
    pronoun: str
    possessive: str
    person: int = 3


@dataclass(frozen=True)
class Wording:
    """Fills rows. tense: "present", "past" or "would"; slots: words by tag, subjects by tag."""

    slots: Mapping[str, str]
    subjects: Mapping[str, Subject]
    tense: str = "present"
    main: str = "sub"

    def fill(self, rng: random.Random, row: str, form: str = "") -> str:
        """The words of a row. form: that of the verbs, "b" or "g", where what stands before asks for it."""
        chosen = _chosen(rng, row)
        person = self.subjects[self.main].person if self.main in self.subjects else 3

        def word(match: re.Match[str]) -> str:
            nonlocal person
            tag, given = match[1], match[2]
            if tag in self.slots:
                return self.slots[tag]
            subject = self._subject(tag)
            if subject is not None:
                text, new = subject
                if given == "o":
                    return OBJECTIVE.get(text, text)
                person = new or person
                return text
            return conjugated(tag, given or form, person, self.tense)

        return " ".join(TAG.sub(word, chosen).split())

    def _subject(self, tag: str) -> tuple[str, int] | None:
        """The words for a side and its person, 0 where the tag is no subject of a verb."""
        if tag in self.subjects:
            subject = self.subjects[tag]
            return subject.text, subject.person
        if tag == "he" and self.main in self.subjects:
            return self.subjects[self.main].pronoun, self.subjects[self.main].person
        if tag == "his" and self.main in self.subjects:
            return self.subjects[self.main].possessive, 0
        if tag == "himself" and self.main in self.subjects:
            return REFLEXIVE.get(self.subjects[self.main].pronoun, "themselves"), 0
        if tag.endswith("s") and tag[:-1] in self.subjects:
            subject = self.subjects[tag[:-1]]
            return subject.possessive if subject.text == subject.pronoun else f"{subject.text}'s", 0
        return None


OBJECTIVE = {"he": "him", "she": "her", "I": "me"}
REFLEXIVE = {"he": "himself", "she": "herself", "I": "myself", "you": "yourself", "it": "itself"}


def _chosen(rng: random.Random, row: str) -> str:
    def one(match: re.Match[str]) -> str:
        options: list[str] = match[1].split("|")
        return rng.choice(options)

    while CHOICE.search(row):
        row = CHOICE.sub(one, row)
    return row


def conjugated(verb: str, form: str, person: int, tense: str) -> str:
    third, past, ing, participle = IRREGULAR.get(verb) or _regular(verb)
    if form == "b":
        return verb
    if form == "g":
        return ing
    if form == "p":
        return participle
    if tense == "would":
        return f"would {verb}"
    if tense == "past":
        return "were" if verb == "be" and person == 2 and form != "3" else past
    if form == "3" or person == 3:
        return third
    return {1: "am", 2: "are"}[person] if verb == "be" else verb


def _regular(verb: str) -> tuple[str, str, str, str]:
    third = f"{verb}es" if verb.endswith(("s", "sh", "ch", "x")) else f"{verb}s"
    past = f"{verb}d" if verb.endswith("e") else f"{verb}ed"
    ing = f"{verb.removesuffix('e')}ing"
    return third, past, ing, past


class Talk:
    """The narration as it grows: joins pieces, begins sentences with a capital, breaks paragraphs."""

    def __init__(self) -> None:
        self.paragraphs: list[str] = []
        self._parts: list[str] = []
        self._words = 0

    @property
    def ended(self) -> bool:
        """The last sentence is finished."""
        return not self._parts or self._parts[-1].rstrip("}").endswith((".", "!", "?"))

    @property
    def words(self) -> int:
        """Words in the paragraph so far."""
        return self._words

    def say(self, text: str) -> None:
        """Goes on: text that begins with a comma or an end of sentence is joined to the word before."""
        text = text.strip()
        if not text:
            return
        while self.ended and text and text[0] in ",.!?":
            text = text.lstrip(",.!?").lstrip()
        if not text:
            return
        text = text.replace(", .", ".").replace("..", ".") if "..." not in text else text
        if self.ended:
            text = _capital(text)
        text = re.sub(r"([.!?] )([a-z])", lambda match: match[1] + match[2].upper(), text)
        if self._parts and text[0] not in ",.!?":
            self._parts.append(" ")
        self._parts.append(text)
        self._words += len(text.split())

    def mark(self, tag: str, words: str) -> None:
        words = words.strip()
        if self.ended:
            words = _capital(words)
        if self._parts:
            self._parts.append(" ")
        self._parts.append(f"{{{tag}|{words}}}")
        self._words += len(words.split())

    def stop(self, sign: str = ".") -> None:
        """Ends the sentence."""
        if not self.ended:
            self._parts.append(sign)

    def paragraph(self) -> None:
        self.stop()
        if self._parts:
            self.paragraphs.append("".join(self._parts).strip())
        self._parts, self._words = [], 0


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
