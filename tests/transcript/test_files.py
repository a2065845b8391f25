"""Reading transcripts. WebVTT: W3C Recommendation candidate "WebVTT: The Web Video Text Tracks Format", sections 4 and
6; webvtt-py is an independent reader of it. SubRip and recognisers' JSON: common practice, no source."""

from __future__ import annotations

import json
import string
import time
from pathlib import Path

import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from sync.errors import InputError
from sync.transcript import Transcript, Word, from_json, read_transcript, to_json, write_transcript
from sync.transcript.files import parse_transcript

WEBVTT = """WEBVTT - club evening
Kind: captions

STYLE
::cue { color: white }

REGION
id:below

NOTE the second cue has no hours
and this line belongs to the note

first
00:00:01.000 --> 00:00:03.000 align:start position:0%
<v Anna>Knight to <b>f3</b> &amp; now

00:04.500 --> 00:06.000
<c.move>bishop c4</c>

03:00:00.000 --> 03:00:02.000 line:0
Good&nbsp;night
"""


def write(folder: Path, text: str | bytes, name: str = "talk.vtt") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def said(transcript: Transcript) -> str:
    return " ".join(word.text for word in transcript.words)


def starts(transcript: Transcript) -> list[float]:
    return [round(word.start, 3) for word in transcript.words]


def test_webvtt_cues_are_those_an_independent_reader_finds(tmp_path: Path) -> None:
    path = write(tmp_path, WEBVTT)
    cues = webvtt.read(str(path)).captions
    transcript = read_transcript(path)
    assert said(transcript) == "Knight to f3 & now bishop c4 Good night"
    first_words = [transcript.words[0], transcript.words[5], transcript.words[7]]
    assert [word.start for word in first_words] == [seconds(cue.start) for cue in cues]
    assert transcript.words[4].end == seconds(cues[0].end)
    assert transcript.words[0].spread == 1.0
    assert transcript.duration == seconds(cues[-1].end)


def seconds(timestamp: str) -> float:
    hours, minutes, rest = timestamp.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(rest)


@given(
    st.lists(
        st.tuples(
            st.integers(0, 5000),
            st.integers(100, 5000),
            st.lists(st.text(string.ascii_letters, min_size=1), min_size=1, max_size=5),
        ),
        min_size=1,
        max_size=20,
    )
)
def test_captions_written_by_an_independent_writer_read_back(cues: list[tuple[int, int, list[str]]]) -> None:
    captions = webvtt.WebVTT()
    now = 0
    expected: list[tuple[float, str]] = []
    for gap, length, words in cues:
        start, end, now = now + gap, now + gap + length, now + gap + length
        captions.captions.append(webvtt.Caption(timestamp(start), timestamp(end), " ".join(words)))
        expected.append((start / 1000, words[0]))
    for text in (captions.content, captions.content.replace("\n", "\r\n")):
        words_read = parse_transcript(text, "talk").words
        assert [word.text for word in words_read] == [word for _, _, words in cues for word in words]
        found = {(round(word.start, 3), word.text) for word in words_read}
        assert found >= set(expected)


def timestamp(milliseconds: int) -> str:
    seconds, milliseconds = divmod(milliseconds, 1000)
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}.{milliseconds:03d}"


def test_timestamps_inside_a_cue_give_word_times(tmp_path: Path) -> None:
    text = "WEBVTT\n\n00:01.000 --> 00:04.000\nKnight<00:00:02.000> f3,<00:00:03.500><c> check</c>\n"
    transcript = read_transcript(write(tmp_path, text))
    assert said(transcript) == "Knight f3, check"
    assert starts(transcript) == [1.0, 2.0, 3.5]
    assert transcript.words[1] == Word("f3,", 2.0, 3.5)


def test_lines_that_roll_up_count_once(tmp_path: Path) -> None:
    blank = " "
    text = f"""WEBVTT

00:00.000 --> 00:02.000
{blank}
knight<00:00:01.000><c> f3</c>

00:02.000 --> 00:02.010
knight f3
{blank}

00:02.010 --> 00:04.000
knight f3
takes<00:00:03.000><c> takes</c>

00:04.000 --> 00:06.000
takes
"""
    transcript = read_transcript(write(tmp_path, text))
    assert said(transcript) == "knight f3 takes takes takes"
    assert starts(transcript) == [0.0, 1.0, 2.01, 3.0, 4.0]


def test_subrip_with_strays(tmp_path: Path) -> None:
    text = (
        "\ufeff1\r\n00:00:01,000 --> 00:00:02,000\r\n{\\an8}<i>Knight f3</i>\r\n2\r\n"
        "00:00:02,500 --> 00:00:01,500\r\nrook < queen\r\n\r\n3\r\n0:0:9,5 --> 0:0:10,25\r\nשחמט טוב\r\n"
    )
    transcript = read_transcript(write(tmp_path, text, "talk.srt"))
    assert said(transcript) == "Knight f3 rook < queen שחמט טוב"
    assert transcript.words[2].start == transcript.words[2].end == 2.5
    assert transcript.words[5].start == 9.5


def test_overlapping_and_backward_cues_come_in_order(tmp_path: Path) -> None:
    text = """1
00:10.000 --> 00:14.000
last one

2
00:01.000 --> 00:11.000
first two

3
00:01.000 --> 00:03.000
too
"""
    transcript = read_transcript(write(tmp_path, text, "talk.srt"))
    assert said(transcript) == "first two too last one"
    assert transcript.words[2].end == 10.0


def test_recogniser_json_with_word_times(tmp_path: Path) -> None:
    data = {
        "text": " The e-file. Knight f3",
        "segments": [
            {
                "id": 0,
                "start": 0.0,
                "end": 3.0,
                "text": " The e-file. Knight f3",
                "words": [
                    {"word": " The", "start": 0.1, "end": 0.2, "probability": 0.9},
                    {"word": " e", "start": 0.2, "end": 0.4, "probability": 0.8},
                    {"word": "-file.", "start": 0.4, "end": 0.9, "probability": 0.7},
                    {"word": " Knight", "start": 1.0, "end": 1.5, "probability": 0.6},
                    {"word": " f3"},
                ],
            }
        ],
    }
    transcript = read_transcript(write(tmp_path, json.dumps(data), "talk.json"))
    assert transcript.words == (
        Word("The", 0.1, 0.2, 0.9),
        Word("e-file.", 0.2, 0.9, 0.7),
        Word("Knight", 1.0, 1.5, 0.6),
        Word("f3", 1.5, 3.0),
    )
    assert transcript.source == "talk.json"


def test_recogniser_json_without_word_times(tmp_path: Path) -> None:
    data = {"segments": [{"start": 1, "end": 3, "text": "aa bb"}, {"start": 4.0, "end": 5.0, "text": "c"}]}
    for form in (data, data["segments"]):
        transcript = read_transcript(write(tmp_path, json.dumps(form), "talk.json"))
        assert transcript.words == (
            Word("aa", 1.0, 2.0, spread=1.0),
            Word("bb", 2.0, 3.0, spread=1.0),
            Word("c", 4.0, 5.0),
        )


def test_recogniser_json_as_a_list_of_words(tmp_path: Path) -> None:
    data = [{"word": "f3", "start": 2.0, "end": 1.0, "score": 0.5}, {"word": "Knight", "start": 1.0, "end": 2.0}]
    for form in (data, {"words": data, "duration": 9.0}):
        transcript = read_transcript(write(tmp_path, json.dumps(form), "talk.json"))
        assert transcript.words == (Word("Knight", 1.0, 2.0), Word("f3", 2.0, 2.0, 0.5))


def test_marked_text_is_placed_by_its_lengths(tmp_path: Path) -> None:
    text = "[0:10] aaaa bbbb\nat 12:30 o'clock [0:20] cccc\n\n[1:00:00] end\n"
    transcript = read_transcript(write(tmp_path, text, "talk.txt"))
    assert said(transcript) == "aaaa bbbb at 12:30 o'clock cccc end"
    assert transcript.words[0].spread == 5.0
    assert starts(transcript)[5:] == [20.0, 3600.0]
    assert transcript.duration > 3600.0


def test_bare_marks_at_line_starts_and_a_wrong_mark(tmp_path: Path) -> None:
    text = "welcome\n0:10 one\n9:99:20 two\n(0:30) three\n0:40.5\nfour\n"
    transcript = read_transcript(write(tmp_path, text, "talk.txt"))
    assert said(transcript) == "welcome one two three four"
    assert starts(transcript) == [0.0, 10.0, pytest.approx(20.0, abs=1.5), 30.0, 40.5]


WORDS = st.builds(
    Word,
    st.text(st.characters(exclude_categories=("Cs", "Cc", "Zs", "Zl", "Zp")), min_size=1),
    st.floats(0, 10_000),
    st.just(0.0),
    st.floats(0, 1),
    st.floats(0, 60),
)


@given(st.lists(WORDS, min_size=1), st.floats(0, 20_000), st.text(min_size=1))
def test_own_json_gives_the_same_transcript_back(words: list[Word], duration: float, source: str) -> None:
    ordered = sorted(words, key=lambda word: word.start)
    ended = tuple(Word(w.text, w.start, w.start + 0.25, w.probability, w.spread) for w in ordered)
    transcript = Transcript(ended, max(duration, ended[-1].end), source)
    assert from_json(to_json(transcript), "talk") == transcript


def test_own_json_on_disk(tmp_path: Path) -> None:
    transcript = Transcript((Word("Ünï", 0.1, 0.2, 0.3, 0.4), Word("f3", 1.0, 2.0)), 30.0, "tiny.en")
    write_transcript(transcript, tmp_path / "talk.json")
    assert read_transcript(tmp_path / "talk.json") == transcript


REFUSED = {
    "empty": (b"", "no words"),
    "blank": (b" \n\r\n", "no words"),
    "only a header": (b"WEBVTT\n\n", "no words"),
    "no times": (b"Knight f3 and then bishop c4", "no times"),
    "not a time": (b"WEBVTT\n\nsoon --> later\nhello", "line 3: cannot read the times"),
    "far time": (b"WEBVTT\n\n277777:46:40.000 --> 277777:46:41.000\nhello", "line 3: 1e\\+09 s"),
    "endless time": (b"1\n" + b"9" * 400 + b":00:00,0 --> 00:01,0\nhello", "line 2: inf s"),
    "far mark": (b"[999:59:59] hello", "not a time"),
    "binary": (bytes(range(256)), "not a text file"),
    "broken JSON": (b'{"segments": [', "line 1: not JSON"),
    "deep JSON": (b"[" * 1 + b"{" + b'"a":[' * 100_000, "not JSON"),
    "other JSON": (b'{"moves": []}', "no .segments."),
    "JSON without text": (b'{"segments": [{"start": 1, "end": 2}]}', "segment 1: no text"),
    "JSON with NaN": (b'{"segments": [{"start": NaN, "end": 2, "text": "x"}]}', "segment 1: nan s"),
    "JSON with a far time": (b'{"segments": [{"start": 1e9, "end": 2, "text": "x"}]}', "segment 1: 1e\\+09 s"),
    "JSON with a huge number": (b'{"words": [{"word": "x", "start": 1' + b"0" * 400 + b', "end": 2}]}', "inf s"),
    "JSON with words for numbers": (b'{"words": [{"word": "x", "start": "soon", "end": 2}]}', "'soon' stands where"),
    "JSON with a list of numbers": (b'{"words": [1, 2]}', "must be a list of objects"),
    "a later version": (b'{"format": "plycue transcript", "version": 99, "words": []}', "version 99"),
}


@pytest.mark.parametrize(("data", "message"), REFUSED.values(), ids=REFUSED.keys())
def test_what_cannot_be_read_is_refused_in_one_line(tmp_path: Path, data: bytes, message: str) -> None:
    with pytest.raises(InputError, match=message) as caught:
        read_transcript(write(tmp_path, data, "talk.xyz"))
    assert "\n" not in str(caught.value) and "talk.xyz" in str(caught.value)


def test_no_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "nothing.vtt"):
        with pytest.raises(InputError):
            read_transcript(path)


HUGE = {  # up to ten million characters in a line
    "one line": "[0:01] " + "knight f3 " * 100_000,
    "one word": "[0:01] " + "k" * 10_000_000,
    "open brackets": "WEBVTT\n\n00:01.000 --> 00:02.000\n" + "<" * 10_000_000,
    "open tags": "WEBVTT\n\n00:01.000 --> 00:02.000\n" + "<a" * 5_000_000,
    "open overrides": "1\n00:01.000 --> 00:02.000\n" + "{\\" * 5_000_000,
    "digits": "[0:01] " + "1" * 10_000_000,
    "colons": "[0:01] " + "1:" * 5_000_000,
    "the same cue": "00:01.000 --> 00:02.000\nx\n" * 60_000,
    "marks that fall": "".join(f"[{n}:00:00]x" for n in range(99, 0, -1)) * 1_000,
    "arrows": "-->" * 3_000_000 + "\n00:01.000 --> 00:02.000\nx",
}


@pytest.mark.parametrize("text", HUGE.values(), ids=HUGE.keys())
def test_huge_texts_end_soon(tmp_path: Path, text: str) -> None:
    path = write(tmp_path, text)
    before = time.process_time()
    try:
        assert read_transcript(path).words
    except InputError as error:
        assert "\n" not in str(error)
    assert time.process_time() - before < 60  # quadratic work would take hours


PARTS = st.sampled_from(
    [
        *("WEBVTT", "NOTE x", "STYLE", "-->", "00:01.000", "00:00:02,500", "1:2:3.4", "[1:20]", "(0:05)", "9:99"),
        *("<00:00:01.000>", "<c>", "</c>", "<", "&amp;", "{", "}", "[", "]", '"segments"', ":", '"start"', "1e9", ","),
        *("NaN", "\n", "\r\n", "\n\n", " ", "knight", "f3", "שח", "\u2028", "\ufeff", "\x00", "\x0b"),
    ]
)


@given(st.lists(PARTS | st.text(max_size=5), max_size=40).map("".join))
def test_any_text_gives_words_in_order_or_one_line(text: str) -> None:
    try:
        transcript = parse_transcript(text, "talk")
    except InputError as error:
        assert len(str(error).splitlines()) == 1
        return
    for word in transcript.words:
        assert word.text == word.text.strip() != ""
        assert 0 <= word.start <= word.end <= transcript.duration
    assert starts(transcript) == sorted(starts(transcript))


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["segments", "words", "word", "text", "start", "end", "probability", "format", "version"]),
            inner,
            max_size=5,
        )
    ),
)


@given(JSON)
def test_any_json_gives_words_or_one_line(data: object) -> None:
    try:
        transcript = from_json(json.dumps(data), "talk")
    except InputError as error:
        assert len(str(error).splitlines()) == 1
        return
    assert all(0 <= word.start <= word.end <= transcript.duration for word in transcript.words)
