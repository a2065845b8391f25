"""Doubtful squares are held to the sound again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import chess
import pytest

from sync.errors import InputError
from sync.mentions import spot
from sync.mentions.second_hearing import DOUBTFUL as LEAST
from sync.mentions.second_hearing import hear_again, with_rivals
from sync.recording import probe
from sync.transcript import Transcript, Word, from_json, hear, to_json

SAMPLE = Path(__file__).parents[2] / "samples" / "open-centre.ogg"


def transcript(*words: tuple[str, float]) -> Transcript:
    spoken = [
        Word(text, 0.4 * index, 0.4 * index + 0.3, probability) for index, (text, probability) in enumerate(words)
    ]
    return Transcript(tuple(spoken), 60.0, "test")


DOUBTFUL = transcript(("Then", 0.99), ("bishop", 0.98), ("B7,", 0.6), ("and", 0.99), ("castles.", 0.99))


def e7_is_heard(start: float, end: float, texts: Sequence[str]) -> list[float]:
    assert start == pytest.approx(0.4)
    assert end == pytest.approx(1.1)
    return [-2.0 if text == "bishop e7" else -9.0 for text in texts]


def cost_of(talk: Transcript, name: str) -> float:
    mention = next(mention for mention in spot(talk) if mention.heard == "bishop B7,")
    assert mention.to is not None
    return mention.to[chess.parse_square(name)]


def test_a_doubtful_square_becomes_the_one_that_fits_the_sound() -> None:
    assert cost_of(DOUBTFUL, "b7") < cost_of(DOUBTFUL, "e7")
    judged = with_rivals(DOUBTFUL, e7_is_heard)
    rivals = dict(judged.words[2].rivals)
    assert rivals["e7"] == 0.0
    assert rivals["b7"] == -7.0
    assert cost_of(judged, "e7") < cost_of(judged, "b7")
    assert cost_of(judged, "a1") >= cost_of(judged, "b7")


def test_the_words_stay_as_they_were_heard() -> None:
    judged = with_rivals(DOUBTFUL, e7_is_heard)
    assert [replace(word, rivals=()) for word in judged.words] == list(DOUBTFUL.words)
    assert [bool(word.rivals) for word in judged.words] == [False, False, True, False, False]


def test_sure_words_and_coarse_times_are_not_asked_about() -> None:
    def nothing(start: float, end: float, texts: Sequence[str]) -> list[float]:
        raise AssertionError((start, end, texts))

    sure = transcript(("bishop", 0.99), ("B7,", LEAST))
    assert with_rivals(sure, nothing) == sure
    coarse = replace(DOUBTFUL, words=tuple(replace(word, spread=4.0) for word in DOUBTFUL.words))
    assert with_rivals(coarse, nothing) == coarse


def test_squares_that_lead_are_heard_within_the_talk_too() -> None:
    asked = []

    def scored(start: float, end: float, texts: Sequence[str]) -> list[float]:
        asked.append((round(start, 3), round(end, 3), sorted(texts)))
        fits = {"b7": -3.0, "e7": -4.0} if len(asked) == 1 else {"b7": -12.0, "e7": -2.0}
        return [next((fit for name, fit in fits.items() if name in text), -20.0) for text in texts]

    rivals = dict(with_rivals(DOUBTFUL, scored).words[2].rivals)
    assert asked[1] == (0.0, 1.9, ["Then bishop b7, and castles", "Then bishop e7, and castles"])
    assert (rivals["e7"], rivals["b7"]) == (0.0, (0 - 10) / 2 - (-1 - 0) / 2)
    assert all(fit < -10 for name, fit in rivals.items() if name not in ("e7", "b7"))


def test_words_far_from_the_name_are_left_out() -> None:
    words = [replace(word, start=word.start + 5, end=word.end + 5) for word in DOUBTFUL.words]
    talk = replace(DOUBTFUL, words=(Word("Far", 0.0, 0.3), *words, Word("away", 9.0, 9.3)))
    spans = []

    def noted(start: float, end: float, texts: Sequence[str]) -> list[float]:
        spans.append((round(start, 3), round(end, 3)))
        return [0.0 for _ in texts]

    with_rivals(talk, noted)
    assert spans == [(5.4, 6.1), (5.0, 6.9)]


def test_judging_twice_changes_nothing_more() -> None:
    judged = with_rivals(DOUBTFUL, e7_is_heard)
    assert with_rivals(judged, e7_is_heard) == judged


def test_rivals_are_kept_in_the_file() -> None:
    judged = with_rivals(DOUBTFUL, e7_is_heard)
    assert from_json(to_json(judged), "talk.transcript.json") == judged


@pytest.mark.parametrize("rivals", ['{"z9": -1}', '{"e4": "near"}', '["e4"]'])
def test_broken_rivals_are_told(rivals: str) -> None:
    text = to_json(DOUBTFUL).replace('"probability": 0.6', f'"probability": 0.6, "rivals": {rivals}')
    with pytest.raises(InputError, match=r"hear the recording again|export the transcript again"):
        from_json(text, "talk.transcript.json")


def test_a_real_recording_is_asked_once_and_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    recording = probe(SAMPLE)
    heard = hear(recording, cache=tmp_path)
    judged = hear_again(heard, recording, cache=tmp_path)
    asked = [word for word in judged.words if word.rivals]
    assert asked
    assert all(word.probability < LEAST and max(fit for _, fit in word.rivals) == 0.0 for word in asked)

    def no_model(*_: object) -> None:
        raise AssertionError("heard again")

    monkeypatch.setattr("sync.transcript.acoustic.load_recogniser", no_model)
    assert hear_again(heard, recording, cache=tmp_path) == judged
    (kept,) = (tmp_path / "heard-again").iterdir()
    kept.write_text("{")
    with pytest.raises(AssertionError, match="heard again"):
        hear_again(heard, recording, cache=tmp_path)
