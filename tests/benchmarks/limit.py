"""How near the hearing is to what this processor can do at most.

    python -m tests.benchmarks.limit [--audio FOLDER] [--rounds 3] [--processors N]

Counts the multiply-adds that the model needs for a lesson, by its published size (Radford et al., "Robust Speech
Recognition via Large-Scale Weak Supervision", 2022, table 1 and section 2.2), measures what the same library does in
large matrix products, in 8-bit integers and in 32-bit floats, and compares: all in processor time.
"""

from __future__ import annotations

import os
import statistics
import tempfile
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.children import in_turn, json_told, python, run
from tests.benchmarks.hearing import LESSONS
from tests.benchmarks.lessons import joined, options

WIDTH, LAYERS, MELS, VOCABULARY = 384, 4, 80, 51_864  # tiny.en
TIMES = 1500  # the encoder's, in 30 s
PROMPTED = 48
"""Tokens of the prompt and of the task, read once a window."""

HEAR = """
from sync.mentions.second_hearing import hear_again
from sync.recording import probe
from sync.transcript import find_model, hear_parts
from sync.transcript.recogniser import BEAM, load_recogniser

recogniser = load_recogniser(find_model("tiny.en"))
recording = probe(sys.argv[1])
parts = timed("hearing", lambda: list(hear_parts(recording)))
texts = [" ".join(word.text for word in part.words) for part in parts if part.words]
tokens = [len(recogniser.tokenizer.encode(" " + text)) + 1 for text in texts]
print(json.dumps({"windows": len(tokens), "tokens": sum(tokens), "beam": BEAM, "seconds": recording.duration}))
"""
PRODUCTS = """
import tempfile
import ctranslate2
import numpy as np
from ctranslate2.specs import TransformerEncoderModelSpec, TransformerEncoderSpec

WIDTH, WIDER, TEXTS, LENGTH, TIMES = 2048, 8192, 32, 32, 4
kind, threads = sys.argv[1], int(sys.argv[2])
random = np.random.default_rng(0)

def drawn(*shape):
    return (random.standard_normal(shape) / shape[-1] ** 0.5).astype(np.float32)

def linear(spec, out, into):
    spec.weight, spec.bias = drawn(out, into), np.zeros(out, np.float32)

def norm(spec):
    spec.gamma, spec.beta = np.ones(WIDTH, np.float32), np.zeros(WIDTH, np.float32)

model = TransformerEncoderModelSpec(TransformerEncoderSpec(1, 16))
encoder, layer = model.encoder, model.encoder.layer[0]
encoder.embeddings[0].weight, encoder.position_encodings.encodings = drawn(8, WIDTH), drawn(LENGTH, WIDTH)
linear(layer.self_attention.linear[0], 3 * WIDTH, WIDTH)
linear(layer.self_attention.linear[1], WIDTH, WIDTH)
linear(layer.ffn.linear_0, WIDER, WIDTH)
linear(layer.ffn.linear_1, WIDTH, WIDER)
for each in (encoder.layer_norm, layer.self_attention.layer_norm, layer.ffn.layer_norm):
    norm(each)
model.register_vocabulary(["<unk>", "<s>", "</s>", "a", "b", "c", "d", "e"])
model.validate()
with tempfile.TemporaryDirectory() as folder:
    model.save(folder)
    encoder = ctranslate2.Encoder(folder, compute_type=kind, intra_threads=threads)
texts = [[3] * LENGTH] * TEXTS
encoder.forward_batch(texts)
timed("products", lambda: [encoder.forward_batch(texts) for _ in range(TIMES)])
print(TIMES * TEXTS * LENGTH * (4 * WIDTH**2 + 2 * WIDTH * WIDER))
"""


@dataclass(frozen=True)
class Work:
    """Multiply-adds in 8-bit integers (layers with weights) and in floats (convolutions, attention)."""

    integers: float
    floats: float

    def __add__(self, other: Work) -> Work:
        return Work(self.integers + other.integers, self.floats + other.floats)

    def __mul__(self, times: float) -> Work:
        return Work(self.integers * times, self.floats * times)


ENCODED = Work(
    LAYERS * TIMES * 12 * WIDTH**2,
    2 * TIMES * 3 * MELS * WIDTH + TIMES * 3 * WIDTH**2 + LAYERS * 2 * TIMES**2 * WIDTH,
)
"""A window through the encoder: four matrices of attention and eight of the wider layers; two convolutions."""
LOOKED_AT = Work(LAYERS * TIMES * 2 * WIDTH**2, 0)
"""Keys and values of a window, made once for the search and once for the alignment."""
TOKEN = Work(LAYERS * 14 * WIDTH**2, LAYERS * 2 * TIMES * WIDTH)
"""A token through the decoder."""
CHOSEN = Work(VOCABULARY * WIDTH, 0)
"""How likely each token is to come next."""


def main() -> None:
    given = options(__doc__)
    threads = len(os.sched_getaffinity(0))
    with tempfile.TemporaryDirectory() as temporary:
        audio = given.audio or Path(temporary)
        lesson = joined(LESSONS, audio, Path(temporary) / "lesson.wav")
        runs = in_turn(
            {
                "hearing": lambda: run(python(HEAR, lesson)),
                "int8": lambda: run(python(PRODUCTS, "int8", str(threads))),
                "float32": lambda: run(python(PRODUCTS, "float32", str(threads))),
            },
            given.rounds,
        )
    told = json_told(runs["hearing"][0])
    windows, tokens = told["windows"], told["tokens"]
    parts = {
        "encoder": ENCODED * windows,
        "search": LOOKED_AT * windows + TOKEN * (PROMPTED * windows) + (TOKEN + CHOSEN) * (told["beam"] * tokens),
        "alignment": LOOKED_AT * windows + TOKEN * (PROMPTED * windows) + (TOKEN + CHOSEN) * tokens,
    }
    whole = sum(parts.values(), Work(0, 0))
    print(f"{told['seconds']:.0f} s of sound: {windows} windows, {tokens} tokens, beam {told['beam']}")
    for name, work in (*parts.items(), ("together", whole)):
        print(f"{name}: {work.integers / 1e9:.0f} G multiply-adds in int8, {work.floats / 1e9:.0f} G in float32")
    fastest = {
        kind: max(json_told(each) / each.parts["products"].processor for each in runs[kind])
        for kind in ("int8", "float32")
    }
    for kind, rate in fastest.items():
        print(f"large products in {kind}: {rate / 1e9:.0f} G multiply-adds a second on one processor, at best")
    least = whole.integers / fastest["int8"] + whole.floats / fastest["float32"]
    spent = statistics.median(each.parts["hearing"].processor for each in runs["hearing"])
    print(f"at that rate: {least:.1f} s of processors; spent: {spent:.1f} s, {least / spent:.0%} of the limit")


if __name__ == "__main__":
    main()
