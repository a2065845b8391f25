"""The encoder that reads the talk, checked against other people's code where there is some."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import erf
from tokenizers import Tokenizer
from tokenizers.models import WordPiece
from tokenizers.normalizers import BertNormalizer
from tokenizers.pre_tokenizers import BertPreTokenizer

from sync.follow.encoder import (
    AT_MOST,
    LONGEST,
    SIZE,
    STRIDE,
    UNKNOWN,
    Layer,
    _attention,
    _gelu,
    _normed,
    cut_up,
    fitted_encoder,
    pieces,
)

ENCODER = fitted_encoder()
TALK = """So he plays knight to f3, and what if black takes on e4? We would take back with the bishop. But in the game
he castled. A quiet move, and now the rook comes to e1.""".split()


NAMES = {number: name for name, number in ENCODER.tokens.items()}


def cut(word: str) -> list[str]:
    return [NAMES[number] for number in pieces(word, ENCODER.tokens)]


def wordpiece() -> Tokenizer:
    """WordPiece as the package tokenizers reads it, with the encoder's pieces."""
    tokenizer = Tokenizer(WordPiece(ENCODER.tokens, unk_token=UNKNOWN, max_input_chars_per_word=LONGEST))
    tokenizer.normalizer = BertNormalizer(lowercase=True, strip_accents=True, handle_chinese_chars=False)
    tokenizer.pre_tokenizer = BertPreTokenizer()
    return tokenizer


THEIRS = wordpiece()


@pytest.mark.parametrize("word", [*TALK, "Müller's", "e4-e5!", "O-O-O", "cxd5", "unnaturalisable", "x" * 50, "…"])
def test_words_are_cut_as_by_the_package_tokenizers(word: str) -> None:
    assert cut(word) == THEIRS.encode(word, add_special_tokens=False).tokens


@given(st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=30))
def test_any_word_is_cut_as_by_the_package_tokenizers(word: str) -> None:
    assert cut(word) == THEIRS.encode(word, add_special_tokens=False).tokens


def test_the_activation_is_the_gaussian_one() -> None:
    """x times the normal distribution up to x (Hendrycks and Gimpel, "Gaussian Error Linear Units", 2016)."""
    x = np.linspace(-6, 6, 200, dtype=np.float32)
    assert np.abs(_gelu(x) - x * (1 + erf(x / math.sqrt(2))) / 2).max() < 1e-3


def test_attention_is_a_mean_of_values_by_how_well_keys_answer_queries() -> None:
    """Word by word and head by head (Vaswani et al., "Attention is all you need", 2017, section 3.2)."""
    numbers = np.random.default_rng(3)
    width, heads = 24, 12
    matrix, bias = numbers.normal(size=(width, 3 * width)), numbers.normal(size=3 * width)
    states = numbers.normal(size=(5, width)).astype(np.float32)
    empty = np.zeros((1, 1), np.float32), np.zeros(1, np.float32)
    layer = Layer((matrix.astype(np.float32), bias.astype(np.float32)), empty, empty, empty, empty, empty)
    queries, keys, values = np.split(states @ matrix + bias, 3, axis=1)
    for word in range(5):
        for head in range(heads):
            part = slice(2 * head, 2 * head + 2)
            answers = [math.exp(queries[word, part] @ keys[other, part] / math.sqrt(2)) for other in range(5)]
            mean = sum(answer * values[other, part] for other, answer in enumerate(answers)) / sum(answers)
            assert _attention(states, layer)[word, part] == pytest.approx(mean, abs=1e-4)


def test_states_are_normed() -> None:
    ones, zeros = np.ones(8, np.float32), np.zeros(8, np.float32)
    normed = _normed(np.arange(16, dtype=np.float32).reshape(2, 8), (ones, zeros))
    assert normed.mean(axis=1) == pytest.approx([0, 0], abs=1e-6)
    assert normed.std(axis=1) == pytest.approx([1, 1], abs=1e-5)


def test_each_head_has_a_row_for_each_span() -> None:
    read = ENCODER.read(TALK, [(2, 5), (10, 12)])
    assert {name: rows.shape for name, rows in read.items()} == {"named": (2, 1), "kinds": (2, 21), "modes": (2, 3)}
    assert {name: rows.shape[0] for name, rows in ENCODER.read(TALK, []).items()} == dict.fromkeys(read, 0)


def test_the_same_words_say_something_else_in_another_talk() -> None:
    asked, told = "And what if he takes on e4 here?", "And he took a pawn. He takes on e4."
    rows = [ENCODER.read(words.split(), [(4, 7)])["kinds"][0] for words in (asked, told)]
    assert np.abs(rows[0] - rows[1]).max() > 0.1


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 5 * SIZE), st.integers(0, 2**32))
def test_a_span_is_read_with_words_on_both_sides_of_it(length: int, seed: int) -> None:
    """What is said far away changes nothing: a place is read from the window in which it is nearest to the middle."""
    words = ["queen"] * (length + 3)
    place = seed % (length + 1)
    far = [word if abs(number - place) <= SIZE else "king" for number, word in enumerate(words)]
    rows = [ENCODER.read(talk, [(place, place + 3)])["kinds"][0, 0] for talk in (words, far)]
    assert rows[0] == pytest.approx(rows[1], abs=1e-4)


def test_empty_and_strange_words_are_read() -> None:
    rows = ENCODER.read(["", "☃", "ﷺ" * 60, "a"], [(0, 1), (1, 2), (2, 3), (0, 4)])["kinds"]
    assert np.isfinite(rows).all()


def test_of_an_endless_word_only_the_beginning_is_read() -> None:
    assert len(pieces("." * 10_000_000, ENCODER.tokens)) == AT_MOST
    assert cut("x" * 10_000_000) == [UNKNOWN]


def test_each_span_is_read_from_the_window_that_lies_best() -> None:
    words = ["queen"] * 1000
    spans = [(place, place + length) for place in range(0, 995, 3) for length in (1, 4)]
    found = {span: start for start, here in cut_up(words, spans, ENCODER.tokens).windows.items() for span in here}
    starts = range(0, 1000 - SIZE + STRIDE, STRIDE)
    for number, (first, last) in enumerate(spans):
        middle = (first + last - 1) / 2
        assert found[number] == min(starts, key=lambda start: abs(middle - (start + SIZE / 2)))
