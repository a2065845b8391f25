"""Transcripts that no program should write: what is read of them can be written, or they are refused in one line."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sync.errors import InputError
from sync.recording import LONGEST
from sync.transcript import from_json, read_transcript, to_json
from sync.transcript.files import LARGEST, MOST_WORDS, parse_transcript

NUMBERS: st.SearchStrategy[Any] = st.sampled_from(
    [0, -1, 0.5, 7, 1e9, 1e-9, LONGEST, float("nan"), float("inf"), 10**400, None, "1", [], True]
)
TEXTS = st.sampled_from(
    ["e4", " knight", "f3.", "\ud800", "", " ", "a\nb", "\0", "\u202eabc", "שחמט", None, 5, "k" * 999]
)
WORD = st.fixed_dictionaries(
    {"word": TEXTS, "start": NUMBERS | st.floats(0, 60)},
    optional={
        "end": NUMBERS | st.floats(0, 60),
        "probability": NUMBERS,
        "spread": NUMBERS,
        "rivals": st.dictionaries(st.sampled_from(["e4", "d9", ""]), NUMBERS, max_size=2) | NUMBERS,
        "rivals_for": st.integers(-1, 5) | NUMBERS,
    },
)
WORDS = st.lists(WORD, max_size=4)
SEGMENT = st.fixed_dictionaries({"start": NUMBERS, "end": NUMBERS}, optional={"text": TEXTS, "words": WORDS | NUMBERS})
FORMS = st.one_of(
    WORDS,
    st.fixed_dictionaries({"words": WORDS, "duration": NUMBERS}),
    st.fixed_dictionaries({"segments": st.lists(SEGMENT, max_size=3)}),
    st.fixed_dictionaries(
        {
            "format": st.just("plycue transcript"),
            "version": st.sampled_from([1, 1, 1, 2, "x\ny", None]),
            "words": WORDS,
        },
        optional={"source": TEXTS, "duration": NUMBERS},
    ),
)


@given(FORMS)
@settings(deadline=None, max_examples=300)
def test_any_json_in_a_recogniser_s_form(value: Any) -> None:
    try:
        transcript = parse_transcript(json.dumps(value), "talk.json")
    except InputError as error:
        assert len(str(error).splitlines()) == 1 and "talk.json" in str(error)
        return
    text = to_json(transcript)
    text.encode()
    assert from_json(text, "talk.json").words == transcript.words
    for word in transcript.words:
        assert 0 <= word.start <= word.end <= LONGEST
        assert 0 <= word.probability <= 1


def test_words_without_times_end_no_later_than_any_recording() -> None:
    text = json.dumps([{"word": "e4", "start": LONGEST, "end": LONGEST}, {"word": "castles"}])
    transcript = from_json(text, "talk.json")
    assert [word.text for word in transcript.words] == ["e4", "castles"]
    assert from_json(to_json(transcript), "talk.json").words == transcript.words


def test_a_probability_on_another_scale_says_nothing() -> None:
    for number in ("NaN", "97", "-0.2"):
        (word,) = from_json(f'[{{"word": "e4", "start": 1, "end": 2, "confidence": {number}}}]', "talk").words
        assert word.probability == 1.0


def test_a_talk_longer_than_any_lesson_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "talk.txt"
    path.write_text("[0:01] " + "e4 " * (MOST_WORDS + 1), encoding="utf-8")
    with pytest.raises(InputError, match=f"more than {MOST_WORDS} words"):
        read_transcript(path)


@pytest.mark.skipif(not os.path.exists("/dev/zero"), reason="no /dev/zero on this system")
def test_a_device_without_end_is_read_no_further_than_the_largest_transcript() -> None:
    with pytest.raises(InputError, match=f"larger than {LARGEST // 1_000_000} MB"):
        read_transcript("/dev/zero")
