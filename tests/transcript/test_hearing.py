"""Hearing a real clip with the installed model. Word error rate: jiwer."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jiwer
import numpy as np
import pytest

from sync.errors import InputError
from sync.recording import SAMPLE_RATE, Recording, chunks, probe
from sync.transcript import (
    DEFAULT_MODEL,
    Part,
    Scorer,
    Transcript,
    Word,
    find_model,
    from_json,
    hear,
    hear_parts,
    hearing,
)
from sync.transcript.kept import End, KeptParts
from sync.transcript.recogniser import load_recogniser
from tests.recording.media import tone, write_media
from tests.transcript.talk import TALK, TEXT, TRUTH, onset_errors, plain

Warnings = list[str]


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("heard")


@pytest.fixture(scope="module")
def transcript(cache: Path) -> Transcript:
    return hear(probe(TALK), cache=cache)


@pytest.fixture
def short_chunks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Six or seven chunks of the clip, each a batch of its own."""
    monkeypatch.setattr(chunks, "LONGEST_MS", 4_000)
    monkeypatch.setattr(chunks, "SHORTEST_MS", 3_000)
    monkeypatch.setattr(hearing, "BATCH", 1)


@pytest.fixture
def one_worker(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(load_recogniser(find_model(DEFAULT_MODEL)), "workers", 1)


@pytest.fixture
def batches_heard(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Grows by one with every batch that the model hears."""
    heard: list[int] = []
    from sync.transcript.listen import listen

    def counted(batch: Any, recogniser: Any) -> list[Part]:
        heard.append(len(heard))
        return listen(batch, recogniser)

    monkeypatch.setattr("sync.transcript.hearing.listen", counted)
    return heard


def test_the_words_are_heard(transcript: Transcript) -> None:
    heard = " ".join(plain(" ".join(word.text for word in transcript.words)))
    assert jiwer.wer(" ".join(plain(TEXT)), heard) <= 0.1
    assert transcript.duration == pytest.approx(21.14, abs=0.1)
    assert transcript.source == "tiny.en"


def test_the_words_begin_where_they_are_said(transcript: Transcript) -> None:
    errors = onset_errors(transcript.words)
    assert np.median(errors) <= 0.1
    assert max(errors) <= 0.5


def test_words_are_in_order(transcript: Transcript) -> None:
    for word, following in zip(transcript.words, transcript.words[1:], strict=False):
        assert 0 <= word.start <= word.end <= following.start
        assert 0 < word.probability <= 1
        assert word.spread == 0
        assert word.text == word.text.strip() != ""


def test_hearing_again_needs_no_model(
    cache: Path, transcript: Transcript, monkeypatch: pytest.MonkeyPatch, batches_heard: list[int]
) -> None:
    monkeypatch.setattr(hearing, "decode", None)
    assert hear(probe(TALK), cache=cache) == transcript
    assert batches_heard == []


def test_the_same_sound_gives_the_same_words(tmp_path: Path, transcript: Transcript) -> None:
    assert hear(probe(TALK), cache=tmp_path) == transcript


@pytest.mark.usefixtures("short_chunks", "one_worker")
def test_an_interrupted_run_goes_on_where_it_was(tmp_path: Path, batches_heard: list[int]) -> None:
    progress: list[tuple[float, float]] = []
    whole = hear(probe(TALK), cache=tmp_path / "whole", progress=lambda *seconds: progress.append(seconds))
    assert len(batches_heard) == len(progress) >= 6
    assert [heard for heard, _ in progress] == sorted(heard for heard, _ in progress)
    assert progress[-1][0] == whole.duration

    parts: Iterator[Part] = hear_parts(probe(TALK), cache=tmp_path / "cut")
    next(parts)
    next(parts)
    del parts, batches_heard[:]
    assert hear(probe(TALK), cache=tmp_path / "cut") == whole
    # One worker has begun at most two more than the two that were asked for.
    assert len(progress) - 4 <= len(batches_heard) <= len(progress) - 2


@pytest.mark.usefixtures("short_chunks")
def test_any_number_of_workers_hears_the_same_in_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    together = list(hear_parts(probe(TALK), cache=tmp_path / "together"))
    monkeypatch.setattr(load_recogniser(find_model(DEFAULT_MODEL)), "workers", 1)
    assert list(hear_parts(probe(TALK), cache=tmp_path / "alone")) == together
    assert [part.start for part in together] == [0.0, *(part.end for part in together[:-1])]


def test_a_fault_in_a_worker_is_told(tmp_path: Path, short_chunks: None, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise ArithmeticError("no such sound")

    monkeypatch.setattr(hearing, "listen", fails)
    with pytest.raises(ArithmeticError, match="no such sound"):
        hear(probe(TALK), cache=tmp_path)


def test_a_damaged_part_is_heard_again(tmp_path: Path, short_chunks: None, batches_heard: list[int]) -> None:
    whole = hear(probe(TALK), cache=tmp_path)
    batches = len(batches_heard)
    next(tmp_path.glob("heard/*/00001.json")).write_text("[")
    del batches_heard[:]
    assert hear(probe(TALK), cache=tmp_path) == whole
    assert len(batches_heard) == batches - 1


@pytest.mark.parametrize(
    "damage", ["", "[", "1", "[]", "{}", "[1]", '{"a": 1}', '[{"start": 0, "end": 1, "loudest": 0, "words": [["x"]]}]']
)
def test_what_is_kept_counts_up_to_the_first_damage(tmp_path: Path, damage: str) -> None:
    kept = KeptParts(tmp_path, "media", "model")
    batches = [[Part(float(n), n + 1.0, -3.0, (Word("f3", n + 0.1, n + 0.2, 0.9),))] for n in range(3)]
    for index, batch in enumerate(batches):
        kept.keep(index, batch)
    kept.keep_end(End(3, ("quiet",)))
    assert kept.batches() == batches
    assert kept.end() == End(3, ("quiet",))
    next(tmp_path.glob("heard/*/00001.json")).write_text(damage)
    next(tmp_path.glob("heard/*/end.json")).write_text(damage)
    assert kept.batches() == batches[:1]
    assert kept.end() is None


def test_a_cache_that_cannot_be_written_is_told_and_does_no_harm(tmp_path: Path, transcript: Transcript) -> None:
    (tmp_path / "file").touch()
    warnings: Warnings = []
    assert hear(probe(TALK), cache=tmp_path / "file", warn=warnings.append) == transcript
    assert len(warnings) == 1
    assert "not kept" in warnings[0]


def test_nothing_goes_over_the_network(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a socket was opened")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    load_recogniser.cache_clear()
    assert hear(probe(TALK), cache=tmp_path).words


def recording_of(path: Path, samples: Any) -> Recording:
    return probe(write_media(path, samples, SAMPLE_RATE, "pcm_s16le"))


def test_a_silent_recording_is_told(tmp_path: Path) -> None:
    for level in (0.0, 0.002):
        warnings: Warnings = []
        silent = recording_of(tmp_path / "silent.wav", tone(4.0, SAMPLE_RATE, level=level))
        for _ in range(2):  # the second time from the cache
            assert hear(silent, cache=tmp_path, warn=warnings.append).words == ()
        assert len(warnings) == 2
        assert "silent.wav is nearly silent" in warnings[0] == warnings[1]


def test_noise_gives_no_words(tmp_path: Path) -> None:
    warnings: Warnings = []
    noise = recording_of(tmp_path / "noise.wav", np.random.default_rng(0).normal(0, 0.1, 5 * SAMPLE_RATE))
    assert hear(noise, cache=tmp_path, warn=warnings.append) == Transcript((), 5.0, "tiny.en")
    assert warnings == ["noise.wav: no speech was heard; check that it is the right recording"]


def test_the_shortest_recording_is_heard(tmp_path: Path) -> None:
    assert hear(recording_of(tmp_path / "click.wav", np.ones(5)), cache=tmp_path).words == ()


def test_a_bad_model_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no model 'huge'"):
        hear(probe(TALK), "huge", cache=tmp_path)


def test_the_scorer_prefers_what_was_said() -> None:
    windows = [(said["words"], said["start"]) for said in TRUTH["said"] if said["words"].split()[-1][-1].isdigit()]
    with Scorer(probe(TALK)) as scorer:
        for words, start in windows:
            head, square = words[:-2], words[-2:]
            others = [f"{head}{letter}{square[1]}" for letter in "abcdefgh" if letter != square[0]]
            scores = scorer.score(start, start + 1.0, [words, *others])
            assert max(scores) == scores[0], (words, scores)


def test_a_text_is_not_better_for_being_shorter() -> None:
    said = TRUTH["said"][0]
    with Scorer(probe(TALK)) as scorer:
        whole, beginning = scorer.score(said["start"], said["start"] + 0.95, ["pawn to e4", "pawn"])
    assert whole > beginning


def test_the_scorer_bears_any_window_and_text() -> None:
    with Scorer(probe(TALK)) as scorer:
        for start, end in ((-5.0, -3.0), (3.0, 3.0), (5.0, 100.0), (500.0, 501.0)):
            scores = scorer.score(start, end, ["knight f3", "", "k" * 100])
            assert np.all(np.isfinite(scores))
            assert scores == scorer.score(start, end, ["knight f3", "", "k" * 100])
        assert scorer.score(0.0, 1.0, []) == []


def test_the_number_of_processors_changes_nothing(tmp_path: Path, transcript: Transcript) -> None:
    code = (
        "import sys, pathlib; from sync.recording import probe; from sync.transcript import hear, to_json; "
        "print(to_json(hear(probe(sys.argv[1]), cache=pathlib.Path(sys.argv[2]))))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code, str(TALK), str(tmp_path)],
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert from_json(run.stdout, "talk") == transcript
