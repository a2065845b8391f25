"""Doubtful squares are held to the sound again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import chess
import pytest

from sync.errors import InputError
from sync.mentions import spot
from sync.mentions.lost_squares import lost_squares, readings
from sync.mentions.second_hearing import DOUBTFUL as LEAST
from sync.mentions.second_hearing import FAR, Score, hear_again, with_rivals
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

    sure = transcript(("bishop", 0.99), ("A7,", LEAST))
    assert with_rivals(sure, nothing) == sure
    coarse = replace(DOUBTFUL, words=tuple(replace(word, spread=4.0) for word in DOUBTFUL.words))
    assert with_rivals(coarse, nothing) == coarse


def tried(piece: str, square: str, probability: float) -> dict[str, float]:
    """The squares that were held to a sound which fits all of them alike."""
    talk = transcript((piece, 0.99), (square, probability))
    return dict(with_rivals(talk, lambda start, end, texts: [-2.0 for _ in texts]).words[1].rivals)


def test_squares_that_are_easily_others_are_asked_about_however_sure_the_words() -> None:
    assert tried("bishop", "B7,", 0.999) == {"b7": 0.0, "e7": 0.0}


@pytest.mark.parametrize(("probability", "count"), [(0.97, 4), (0.9, 4), (0.89, 7)])
def test_the_surer_the_word_the_fewer_squares_are_tried(probability: float, count: int) -> None:
    assert len(tried("rook", "d7,", probability)) == count


def heard_as(best: str, behind: float = 1.0) -> Score:
    """A sound that fits one text best, and what was heard so much worse (nats)."""

    def score(start: float, end: float, texts: Sequence[str]) -> list[float]:
        return [0.0 if text == best else -behind if text == texts[0] else -30.0 for text in texts]

    return score


LOST = transcript(("White", 0.99), ("plays", 0.99), ("king", 0.9), ("need", 0.4), ("a.", 0.7), ("Now", 0.99))


def test_words_behind_a_piece_become_the_square_that_fits_the_sound() -> None:
    judged = with_rivals(LOST, heard_as("king e8"))
    assert judged.words[3] == replace(LOST.words[3], rivals=(("e8", 0.0),), rivals_for=2)
    assert [*judged.words[:3], *judged.words[4:]] == [*LOST.words[:3], *LOST.words[4:]]
    (named,) = [each for each in spot(judged) if each.heard == "king need a."]
    assert named.to is not None
    assert min(chess.SQUARES, key=named.to.__getitem__) == chess.E8
    assert from_json(to_json(judged), "talk.transcript.json") == judged
    assert with_rivals(judged, heard_as("king e8")) == judged


def test_a_square_may_stand_for_the_first_of_the_words_alone() -> None:
    talk = transcript(("rook", 0.9), ("beat", 0.4), ("and", 0.7), ("then", 0.99))
    judged = with_rivals(talk, heard_as("rook b8 and then"))
    assert (judged.words[1].rivals, judged.words[1].rivals_for) == ((("b8", 0.0),), 1)
    (named,) = [each for each in spot(judged) if each.heard == "rook beat"]
    assert named.to is not None
    assert min(chess.SQUARES, key=named.to.__getitem__) == chess.B8


@pytest.mark.parametrize("text", ["Nf3", "rook-d8"])
def test_a_square_that_was_heard_within_a_word_is_no_other_word(text: str) -> None:
    """Only its own part of the word may be another square, not the piece's letter or name."""
    talk = transcript(("plays", 0.99), (text, 0.6))
    again = replace(talk, words=(talk.words[0], replace(talk.words[1], rivals=(("b8", 0.0),))))
    assert [(each.form, each.parts) for each in spot(again)] == [(each.form, each.parts) for each in spot(talk)]


def test_words_that_fit_the_sound_far_better_stay_words() -> None:
    near = with_rivals(LOST, lambda start, end, texts: [0.0, *(-FAR for _ in texts[1:])])
    assert near.words[3].rivals
    far = with_rivals(LOST, lambda start, end, texts: [0.0, *(-FAR - 0.1 for _ in texts[1:])])
    assert far == LOST


@pytest.mark.parametrize(
    "words",
    [
        (("The", 0.9), ("king", 0.9), ("need", 0.4), ("a", 0.7)),  # a piece, not a move
        (("king", 0.9), ("needs", 0.95), ("air", 0.95)),  # surely heard
        (("king,", 0.9), ("need", 0.4), ("a", 0.7)),
        (("king.", 0.9), ("need", 0.4), ("a", 0.7)),
        (("king", 0.9), ("and", 0.4), ("a", 0.7)),
        (("king", 0.9), ("a8", 0.99), ("need", 0.4)),  # its square is named
        (("a", 0.4), ("king", 0.4)),  # nothing behind it
    ],
)
def test_pieces_that_lack_no_square(words: tuple[tuple[str, float], ...]) -> None:
    talk = transcript(*words)
    assert list(lost_squares(talk, spot(talk))) == []


def test_an_a_that_ends_a_sentence_may_be_a_square_however_sure() -> None:
    talk = transcript(("rook", 0.99), ("a.", 0.99), ("Then", 0.99))
    (lost,) = lost_squares(talk, spot(talk))
    assert (lost.piece, lost.last, lost.name) == (0, 2, "rook")


def test_what_is_held_to_the_sound_ends_with_the_sentence_and_spans_no_comma() -> None:
    talk = transcript(("rook", 0.9), ("beat", 0.4), ("us,", 0.4), ("again.", 0.9), ("No", 0.9), ("more", 0.9))
    (lost,) = lost_squares(talk, spot(talk))
    texts = readings(talk.words, lost)
    assert texts["b8", 1] == "rook b8 us, again"
    assert texts["b8", 2] == "rook b8, again"
    assert {length for _, length in texts} == {1, 2}


@pytest.mark.parametrize(("text", "longest"), [("king takes queen h3", 1), ("rook key to e4", 2)])
def test_neither_a_square_that_was_heard_nor_the_next_piece_is_part_of_a_lost_one(text: str, longest: int) -> None:
    piece, doubted, *others = text.split()
    talk = transcript((piece, 0.8), (doubted, 0.4), *((word, 0.98) for word in others))
    (lost,) = lost_squares(talk, spot(talk))
    texts = readings(talk.words, lost)
    assert texts["d6", longest] == " ".join([piece, "d6", *text.split()[longest + 1 :]])
    assert {length for _, length in texts} == set(range(1, longest + 1))


@pytest.mark.parametrize("length", ["0", "4", "1.5", '"2"', "true", "null"])
def test_a_broken_rivals_for_is_told(length: str) -> None:
    text = to_json(DOUBTFUL).replace('"probability": 0.6', f'"probability": 0.6, "rivals_for": {length}')
    with pytest.raises(InputError, match="rivals_for must be 1 to 3; hear the recording again"):
        from_json(text, "talk.transcript.json")


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
    assert all(max(fit for _, fit in word.rivals) == 0.0 for word in asked)

    def no_model(*_: object) -> None:
        raise AssertionError("heard again")

    monkeypatch.setattr("sync.transcript.acoustic.load_recogniser", no_model)
    assert hear_again(heard, recording, cache=tmp_path) == judged
    (kept,) = (tmp_path / "heard-again").iterdir()
    kept.write_text("{")
    with pytest.raises(AssertionError, match="heard again"):
        hear_again(heard, recording, cache=tmp_path)
