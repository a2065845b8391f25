"""The bundled lesson: what its script says is what its recordings hold."""

from __future__ import annotations

from pathlib import Path

import chess.pgn
import jiwer
import numpy as np
import pytest

from sync.files.score import cue_seconds
from sync.recording import decode, probe
from sync.transcript import hear
from tests.speech.script import build_tree, read_script

SAMPLES = Path(__file__).parents[2] / "samples"
SCRIPT = read_script(SAMPLES / "open-centre.lesson.txt")

PLAIN = jiwer.Compose(
    [
        jiwer.ToLowerCase(),
        jiwer.SubstituteRegexes({r"[^\w\s]": ""}),
        jiwer.RemoveMultipleSpaces(),
        jiwer.Strip(),
        jiwer.ReduceToListOfListOfWords(),
    ]
)


def true_game() -> chess.pgn.Game:
    with (SAMPLES / "open-centre.truth.pgn").open(encoding="utf-8") as file:
        game = chess.pgn.read_game(file)
    assert game is not None
    return game


@pytest.mark.parametrize("suffix", [".webm", ".ogg"])
def test_recordings_are_small_and_of_one_length(suffix: str) -> None:
    path = SAMPLES / f"open-centre{suffix}"
    recording = probe(path)
    assert recording.duration == pytest.approx(135.0, abs=0.3)
    assert recording.has_video == (suffix == ".webm")
    assert path.stat().st_size < 1_500_000


def test_truth_is_the_script() -> None:
    truth, (scripted, _) = true_game(), build_tree(SCRIPT)
    bare = chess.pgn.StringExporter(headers=False, comments=False)
    told = truth.accept(bare)
    assert told == scripted.accept(chess.pgn.StringExporter(headers=False, comments=False))
    assert told.count("(") == 2


def test_true_times_rise_along_the_game_and_stay_within_it() -> None:
    times = [cue_seconds(node.comment) for node in true_game().mainline()]
    assert len(times) == 30
    assert all(time is not None and 10 < time < 130 for time in times)
    assert times == sorted(times, key=lambda time: time or 0)


def test_quiz_pause_is_in_the_sound() -> None:
    """The longest silence is the five seconds of the script and the gap between two paragraphs, 0.8 s."""
    sound = np.concatenate(list(decode(SAMPLES / "open-centre.webm"))).astype(float) / 32768
    frames = sound[: len(sound) // 160 * 160].reshape(-1, 160)
    loud = np.flatnonzero(np.sqrt(np.mean(frames**2, axis=1)) > 0.003)
    assert np.diff(loud).max() / 100 == pytest.approx(5.8, abs=0.3)


def test_word_error_rate_of_real_recognition() -> None:
    """Counted by jiwer. The bound is a good measure above what tiny.en reaches, 0.09 here; chance would be near 1."""
    heard = " ".join(word.text for word in hear(probe(SAMPLES / "open-centre.webm")).words)
    rate = jiwer.wer(SCRIPT.text, heard, reference_transform=PLAIN, hypothesis_transform=PLAIN)
    assert rate < 0.15
