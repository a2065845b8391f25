"""A speech model at work: sound in, words with times out."""

from __future__ import annotations

import ctypes
import os
import re
import sys
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from ctranslate2 import StorageView
from faster_whisper import WhisperModel
from faster_whisper.audio import pad_or_trim
from faster_whisper.tokenizer import Tokenizer
from numpy.typing import NDArray

from sync.errors import InputError
from sync.processors import usable_processors
from sync.transcript.models import Model
from sync.transcript.words import Word

Sound = NDArray[np.float32]

BEAM = 5
WINDOW = 3000  # feature frames that the model was made for
SHORT_WINDOW = 600  # does as well for a few words, in a tenth of the time
SCORED_TOGETHER = 16
IMPOSSIBLE = 1e-9
MOST_TOKENS = 240  # in one window; nobody says more in 30 s
MOST_WORKERS = 4  # batches heard at the same time; each takes about 160 MB
MOST_THREADS = 8
MALLOPT = {-1: 2**31 - 1, -4: 0, -8: 1}  # glibc's M_TRIM_THRESHOLD, M_MMAP_MAX and M_ARENA_MAX, from its malloc.h
HOP = 160  # samples a feature frame
ALIGNED_FRAMES_PER_SECOND = 50
LETTER_OR_DIGIT = re.compile(r"\w")


@dataclass(frozen=True, slots=True)
class Hearing:
    """What was heard in one piece of sound.

    words: times in seconds from the start of the piece, as the model's attention gives them: rough.
    log_probability: mean of the tokens', in nats. compression: how often the text repeats itself (length over length
    when compressed). complete: it ended by itself, not at the limit of length. silence: how likely it is that nobody
    speaks, 0 to 1.
    """

    words: tuple[Word, ...]
    log_probability: float
    compression: float
    complete: bool
    silence: float

    @property
    def text(self) -> str:
        return " ".join(word.text for word in self.words)


class MelFilters(np.ndarray[Any, np.dtype[np.float32]]):
    """Multiplies without numpy's threads, whose sums end in other digits on another number of processors.

    The model makes other words of such digits.
    """

    def __matmul__(self, other: Any) -> Any:
        return np.einsum("mf,ft->mt", self.view(np.ndarray), other)


@lru_cache(maxsize=1)
def load_recogniser(model: Model) -> Recogniser:
    """The model, loaded once. Raises InputError when it cannot be loaded."""
    return Recogniser(model)


class Recogniser:
    """A loaded model. Nothing is fetched: a model's folder has all it needs.

    workers: how many threads may use it at once, each to hear something else. A matrix of this model is too small to be
    shared well between processors. Raises InputError when the model cannot be loaded.
    """

    def __init__(self, model: Model) -> None:
        _keep_freed_memory()
        self.workers = min(_threads(), MOST_WORKERS)
        try:
            self._whisper = WhisperModel(
                str(model.folder),
                device="cpu",
                compute_type="int8",
                cpu_threads=_threads() // self.workers,
                num_workers=self.workers,
                local_files_only=True,
            )
        except Exception as error:  # the libraries beneath raise many kinds
            reason = next(iter(str(error).splitlines()), type(error).__name__)[:200]
            raise InputError(f"{model.folder}: the model cannot be loaded ({reason}); choose another one") from error
        extract = self._whisper.feature_extractor
        extract.mel_filters = extract.mel_filters.view(MelFilters)
        multilingual = self._whisper.model.is_multilingual
        self.tokenizer = Tokenizer(self._whisper.hf_tokenizer, multilingual, task="transcribe", language="en")

    def encode(self, sounds: Sequence[Sound], window: int = WINDOW) -> Sound:
        """The model's inner picture of pieces of at most window feature frames (10 ms): (pieces, times, features)."""
        extract = self._whisper.feature_extractor
        features = (pad_or_trim(extract(sound)[..., :-1], window) for sound in sounds)
        # One by one: more at once take more memory and no less time.
        return np.concatenate([np.asarray(self._whisper.encode(each[np.newaxis])) for each in features])

    def hear(self, sounds: Sequence[Sound], prompt: str, longest_repeat: int = 0) -> list[Hearing]:
        """The words of each piece (16 kHz, full scale = 1, at most 30 s).

        prompt: text in the style to expect. longest_repeat: no run of that many tokens comes twice; 0 for any run.
        """
        encoded = self.encode(sounds)
        start = self._start(prompt)
        results = self._whisper.model.generate(
            StorageView.from_array(encoded),
            [[*start, self.tokenizer.no_timestamps]] * len(sounds),
            beam_size=BEAM,
            max_length=len(start) + 1 + MOST_TOKENS,
            no_repeat_ngram_size=longest_repeat,
            return_scores=True,
            return_no_speech_prob=True,
        )
        texts = [[token for token in result.sequences_ids[0] if token < self.tokenizer.eot] for result in results]
        frames = [-(-len(sound) // HOP) for sound in sounds]
        alignments = self._align(encoded, start, texts, frames)
        return [
            Hearing(
                tuple(self._words(text, alignment)),
                result.scores[0],
                compression_ratio(self.tokenizer.decode(text)),
                len(text) < MOST_TOKENS,
                result.no_speech_prob,
            )
            for text, alignment, result in zip(texts, alignments, results, strict=True)
        ]

    def log_likelihoods(self, sound: Sound, texts: Sequence[str]) -> list[float]:
        """How likely each text is for the sound (at most 30 s), in nats: summed over its tokens, each after the last.

        The model is not prompted: it shall tell what it hears, not what it expects.
        """
        tokens = [self.tokenizer.encode(f" {text}")[:MOST_TOKENS] for text in texts]
        frames = min(-(-len(sound) // HOP), WINDOW)
        encoded = self.encode([sound], SHORT_WINDOW if frames <= SHORT_WINDOW else WINDOW)
        likelihoods: list[float] = []
        for first in range(0, len(tokens), SCORED_TOGETHER):
            some = tokens[first : first + SCORED_TOGETHER]
            results = self._whisper.model.align(
                StorageView.from_array(np.repeat(encoded, len(some), axis=0)),
                self._start(""),
                some,
                [frames] * len(some),
            )
            likelihoods += [float(np.sum(np.log(np.maximum(r.text_token_probs, IMPOSSIBLE)))) for r in results]
        return likelihoods

    def _align(self, encoded: Sound, start: list[int], texts: list[list[int]], frames: list[int]) -> Iterator[Any]:
        for piece, text, count in zip(encoded, texts, frames, strict=True):
            yield from self._whisper.model.align(StorageView.from_array(piece[np.newaxis]), start, [text], [count])

    def _start(self, prompt: str) -> list[int]:
        """The tokens before the text: the prompt as if it had been said before, then the task."""
        before = [self.tokenizer.sot_prev, *self.tokenizer.encode(f" {prompt}")] if prompt else []
        return [*before, *self.tokenizer.sot_sequence]

    def _words(self, text: list[int], alignment: Any) -> Iterator[Word]:
        """Words at spaces; times where the attention moves on to a word's first token."""
        pieces, tokens = self.tokenizer.split_to_word_tokens([*text, self.tokenizer.eot])
        bounds = np.cumsum([0, *map(len, tokens)])
        path = np.array(alignment.alignments, dtype=np.int64).reshape(-1, 2)
        # The first place of each token on the path; the last entry is the end of the text.
        times = path[np.unique(path[:, 0], return_index=True)[1], 1] / ALIGNED_FRAMES_PER_SECOND
        word: Word | None = None
        for piece, first, end in zip(pieces[:-1], bounds[:-2], bounds[1:-1], strict=True):
            spoken = LETTER_OR_DIGIT.search(piece) is not None
            said = Word(
                piece.strip(),
                float(times[first]),
                float(times[end]),
                float(np.mean(alignment.text_token_probs[first:end])),
            )
            if word and not piece.startswith(" "):
                word = (
                    _joined(word, said)
                    if spoken
                    else Word(word.text + said.text, word.start, word.end, word.probability)
                )
                continue
            if word:
                yield word
            word = said if said.text else None
        if word:
            yield word


def _joined(word: Word, rest: Word) -> Word:
    return Word(word.text + rest.text, word.start, rest.end, min(word.probability, rest.probability))


def compression_ratio(text: str) -> float:
    """Bytes over bytes when compressed; 1 to 2 for talk, more when it repeats itself. 0 for no text."""
    data = text.strip().encode()
    return len(data) / len(zlib.compress(data)) if data else 0.0


def as_sound(samples: bytes) -> Sound:
    """16-bit samples as numbers from -1 to 1."""
    sound: Sound = np.frombuffer(samples, np.int16).astype(np.float32) / np.float32(32768)
    return sound


def _keep_freed_memory() -> None:
    """Has glibc hand freed memory on to what asks next, where it would give it back to the system.

    Each layer of the model takes and frees some 50 MB; to fetch them anew each time costs a sixth of the hearing.
    Other systems are left as they are.
    """
    for parameter, value in MALLOPT.items():
        _glibc("mallopt", parameter, value)


def give_back_memory() -> None:
    """Gives freed memory back to the system, for when there is nothing to hear for a while."""
    _glibc("malloc_trim", 0)


def _glibc(function: str, *arguments: int) -> None:
    found = getattr(ctypes.CDLL(None), function, None) if sys.platform == "linux" else None
    if found is not None:
        found(*arguments)


def _threads() -> int:
    """OMP_NUM_THREADS, as other libraries for calculation have it, is for those who want fewer than there are."""
    usable = usable_processors()
    wanted = os.environ.get("OMP_NUM_THREADS", "")
    return min(usable, MOST_THREADS, max(1, int(wanted)) if wanted.isdecimal() else usable)
