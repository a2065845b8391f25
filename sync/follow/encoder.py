"""A small transformer encoder that reads the talk: what words mean among the words around them.

Data from sync/follow/encoder.npz, which tests/fitting/encoder.py makes: the lower layers of a sentence encoder for
English, fitted further on development lessons. Its words are read as WordPiece, in small letters.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

SIZE, STRIDE = 192, 128
"""Tokens that are read together, and from one such window to the next."""
HEADS = 12
NEARLY_ZERO = 1e-12
LONGEST, AT_MOST = 40, 100
"""Characters of a run of letters beyond which it is not read, and of a word beyond which the rest of it is not."""
UNKNOWN = "[UNK]"

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Layer:
    """Matrices as (in, out) with their biases: of attention and of what follows it, and the gains of both norms."""

    attention: tuple[Array, Array]
    attended: tuple[Array, Array]
    attention_norm: tuple[Array, Array]
    wider: tuple[Array, Array]
    back: tuple[Array, Array]
    norm: tuple[Array, Array]


@dataclass(frozen=True)
class Encoder:
    """tokens: the number of each piece of a word. heads: by name, a matrix (twice the width, outputs) and its bias."""

    tokens: dict[str, int]
    words: Array
    positions: Array
    norm: tuple[Array, Array]
    layers: tuple[Layer, ...]
    heads: dict[str, tuple[Array, Array]]

    def read(self, words: Sequence[str], spans: Sequence[tuple[int, int]]) -> dict[str, Array]:
        """What each head says of each span (first word, word after the last) of the words of a talk: a row each, of
        scores that are not yet normalised (nats)."""
        cut = cut_up(words, spans, self.tokens)
        width = self.words.shape[1]
        rows = np.zeros((len(spans), 2 * width), np.float32)
        for start, here in cut.windows.items():
            states = self._states(np.array(cut.tokens[start : start + SIZE]))
            for span in here:
                rows[span] = states[list(cut.ends(span, start))].ravel()
        return {name: rows @ matrix + bias for name, (matrix, bias) in self.heads.items()}

    def _states(self, tokens: NDArray[np.int_]) -> Array:
        states = _normed(self.words[tokens] + self.positions[: len(tokens)], self.norm)
        for layer in self.layers:
            states = _normed(states + _linear(_attention(states, layer), layer.attended), layer.attention_norm)
            states = _normed(states + _linear(_gelu(_linear(states, layer.wider)), layer.back), layer.norm)
        return states


@dataclass(frozen=True)
class Cut:
    """A talk's tokens, the first and last of each span, and the spans that are read from each window, by its start."""

    tokens: list[int]
    spans: list[tuple[int, int]]
    windows: dict[int, list[int]]

    def ends(self, span: int, start: int) -> tuple[int, int]:
        """A span's first and last token as counted in a window; of a span that is longer, what lies in it."""
        most = min(SIZE, len(self.tokens) - start) - 1
        first, last = (min(max(end - start, 0), most) for end in self.spans[span])
        return first, last


def cut_up(words: Sequence[str], spans: Sequence[tuple[int, int]], tokens: dict[str, int]) -> Cut:
    """Each span is read from the window in which its middle is nearest to the window's."""
    begins: list[int] = []
    numbers: list[int] = []
    for word in words:
        begins.append(len(numbers))
        numbers += pieces(word, tokens)
    begins.append(len(numbers))
    ends = [(begins[first], begins[last] - 1) for first, last in spans]
    latest = max(0, len(numbers) - SIZE + STRIDE - 1) // STRIDE
    windows: dict[int, list[int]] = {}
    for span, (first, last) in enumerate(ends):
        nearest = math.ceil(((first + last) / 2 - SIZE / 2) / STRIDE - 0.5)
        windows.setdefault(STRIDE * min(max(nearest, 0), latest), []).append(span)
    return Cut(numbers, ends, windows)


def pieces(word: str, tokens: dict[str, int]) -> list[int]:
    """A word's tokens, at least one: the longest pieces that there are, from its beginning on (WordPiece)."""
    return [number for part in _parts(word[:AT_MOST]) for number in _longest(part, tokens)] or [tokens[UNKNOWN]]


def _longest(part: str, tokens: dict[str, int]) -> list[int]:
    if len(part) > LONGEST:
        return [tokens[UNKNOWN]]
    found: list[int] = []
    at = 0
    while at < len(part):
        begun = "##" if at else ""
        end = next((end for end in range(len(part), at, -1) if begun + part[at:end] in tokens), None)
        if end is None:
            return [tokens[UNKNOWN]]
        found.append(tokens[begun + part[at:end]])
        at = end
    return found


def _parts(word: str) -> Iterator[str]:
    """Runs of letters and figures, and every other sign by itself, in small letters without accents."""
    plain = unicodedata.normalize("NFD", word.lower())
    run = ""
    for sign in plain:
        if unicodedata.category(sign) == "Mn":
            continue
        if sign.isalnum():
            run += sign
            continue
        if run:
            yield run
            run = ""
        if not sign.isspace():
            yield sign
    if run:
        yield run


def _linear(states: Array, weights: tuple[Array, Array]) -> Array:
    return states @ weights[0] + weights[1]


def _normed(states: Array, weights: tuple[Array, Array]) -> Array:
    centred = states - states.mean(axis=-1, keepdims=True)
    spread = np.sqrt((centred * centred).mean(axis=-1, keepdims=True) + NEARLY_ZERO)
    return cast(Array, centred / spread * weights[0] + weights[1])


def _attention(states: Array, layer: Layer) -> Array:
    length, width = states.shape
    queries, keys, values = _linear(states, layer.attention).reshape(length, 3, HEADS, -1).transpose(1, 2, 0, 3)
    scores = queries @ keys.transpose(0, 2, 1) / np.float32(math.sqrt(width // HEADS))
    shares = np.exp(scores - scores.max(axis=-1, keepdims=True))
    shares /= shares.sum(axis=-1, keepdims=True)
    return cast(Array, (shares @ values).transpose(1, 0, 2).reshape(length, width))


def _gelu(states: Array) -> Array:
    """The Gaussian error linear unit, by tanh."""
    inner = np.float32(math.sqrt(2 / math.pi)) * (states + np.float32(0.044715) * states * states * states)
    return cast(Array, np.float32(0.5) * states * (np.float32(1) + np.tanh(inner)))


@cache
def fitted_encoder() -> Encoder:
    """The encoder that comes with Plycue."""
    with resources.files("sync.follow").joinpath("encoder.npz").open("rb") as file, np.load(file) as data:
        return _encoder({name: data[name] for name in data.files})


def _encoder(data: dict[str, NDArray[Any]]) -> Encoder:
    def rows(name: str) -> Array:
        """Stored as bytes, with a scale for each row."""
        return cast(Array, data[name] * data[f"{name}.scale"][:, None])

    def vector(name: str) -> Array:
        return data[name].astype(np.float32)

    def both(name: str) -> tuple[Array, Array]:
        return np.ascontiguousarray(rows(name).T), vector(f"{name}.bias")

    def norm(name: str) -> tuple[Array, Array]:
        return vector(f"{name}.gain"), vector(f"{name}.bias")

    parts = ("attention", "attended", "attention_norm", "wider", "back", "norm")
    count = sum(name.endswith(".wider") for name in data)
    layers = (
        Layer(**{part: (norm if part.endswith("norm") else both)(f"{number}.{part}") for part in parts})
        for number in range(count)
    )
    names = bytes(data["tokens"]).decode().split("\n")
    return Encoder(
        tokens={name: number for number, name in enumerate(names)},
        words=rows("words"),
        positions=vector("positions"),
        norm=norm("norm"),
        layers=tuple(layers),
        heads={
            name.removeprefix("head."): both(name) for name in data if name.startswith("head.") and name.count(".") == 1
        },
    )
