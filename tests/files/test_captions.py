"""Captions, read back by independent parsers and held against the WebVTT specification.

WebVTT: W3C, "WebVTT: The Web Video Text Tracks Format", chapter "Syntax". Lengths: common practice, no source.
"""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
import srt  # type: ignore[import-untyped]
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from sync.files.captions import Caption, captions, captions_srt, captions_vtt, vtt_escaped
from sync.lesson.lesson import Lesson, Quiz
from sync.transcript.words import Transcript, Word
from tests.lesson.lessons import LAW, lessons, told

NO_LESSON = Lesson("Talk", None, ())
TIMING = re.compile(r"(\d{2,}:[0-5]\d:[0-5]\d\.\d{3}) --> (\d{2,}:[0-5]\d:[0-5]\d\.\d{3})")
CUE_TEXT = re.compile(r"(?:[^&<]|&(?:amp|lt|gt|lrm|rlm|nbsp);)*")
"""WebVTT caption or subtitle cue text without tags."""


def talk(text: str, pace: float = 0.4) -> Transcript:
    words = [Word(word, index * pace, (index + 1) * pace - 0.05) for index, word in enumerate(text.split())]
    return Transcript(tuple(words), words[-1].end if words else 0.0, "by hand")


def squeezed(text: str) -> str:
    return "".join(text.split())


def unescaped(text: str) -> str:
    return text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


class TestLaws:
    @LAW
    @given(lessons())
    def test_captions_are_in_order_never_overlap_and_are_never_empty(self, drawn: tuple[Lesson, Transcript]) -> None:
        shown = captions(*drawn)
        assert all(0 <= caption.start < caption.end for caption in shown)
        assert all(caption.end <= following.start for caption, following in pairwise(shown))

    @LAW
    @given(lessons())
    def test_two_lines_of_42_characters_and_seven_seconds_at_most(self, drawn: tuple[Lesson, Transcript]) -> None:
        for caption in captions(*drawn):
            assert 1 <= len(caption.lines) <= 2
            assert caption.end - caption.start <= 7000
            assert all(line and (len(line) <= 42 or " " not in line) for line in caption.lines)

    @LAW
    @given(lessons())
    def test_a_second_at_least_unless_the_next_one_follows_sooner(self, drawn: tuple[Lesson, Transcript]) -> None:
        shown = captions(*drawn)
        for caption, following in pairwise(shown):
            assert caption.end - caption.start >= 1000 or caption.end == following.start
        assert all(caption.end - caption.start >= 1000 for caption in shown[-1:])

    @LAW
    @given(lessons())
    def test_without_games_every_heard_word_is_shown_as_it_is(self, drawn: tuple[Lesson, Transcript]) -> None:
        _, transcript = drawn
        shown = "".join(squeezed("".join(caption.lines)) for caption in captions(NO_LESSON, transcript))
        controls = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")
        assert shown == squeezed("".join(controls.sub("", word.text) for word in transcript.words))

    @LAW
    @given(lessons())
    def test_same_lesson_same_text(self, drawn: tuple[Lesson, Transcript]) -> None:
        assert captions_vtt(*drawn) == captions_vtt(*drawn)
        assert captions_srt(*drawn) == captions_srt(*drawn)


class TestWebVtt:
    @LAW
    @given(lessons())
    def test_webvtt_py_reads_the_same_cues(self, drawn: tuple[Lesson, Transcript]) -> None:
        shown = captions(*drawn)
        if not shown:
            assert captions_vtt(*drawn) == "WEBVTT\n"
            return
        read = webvtt.from_string(captions_vtt(*drawn))
        assert [(cue.start_in_seconds, cue.end_in_seconds) for cue in read.captions] == [
            (caption.start // 1000, caption.end // 1000) for caption in shown
        ]
        assert [tuple(unescaped(line) for line in cue.lines) for cue in read.captions] == [
            caption.lines for caption in shown
        ]

    @LAW
    @given(lessons())
    def test_the_file_is_what_the_syntax_allows(self, drawn: tuple[Lesson, Transcript]) -> None:
        """ "WebVTT file body": the word WEBVTT, two line ends, then cue blocks that an empty line parts."""
        head, _, body = captions_vtt(*drawn).partition("\n\n")
        assert head.strip() == "WEBVTT"
        for block in filter(None, body.rstrip("\n").split("\n\n")):
            timing, *lines = block.split("\n")
            assert TIMING.fullmatch(timing)
            assert all(CUE_TEXT.fullmatch(line) and line.strip() and "-->" not in line for line in lines)

    @given(st.text())
    def test_escapes(self, text: str) -> None:
        escaped = vtt_escaped(text)
        assert CUE_TEXT.fullmatch(escaped) and "-->" not in escaped
        assert unescaped(escaped) == text


class TestSubRip:
    @LAW
    @given(lessons())
    def test_srt_reads_the_same_captions(self, drawn: tuple[Lesson, Transcript]) -> None:
        shown = captions(*drawn)
        read = list(srt.parse(captions_srt(*drawn)))
        assert [item.index for item in read] == list(range(1, len(shown) + 1))
        for item, caption in zip(read, shown, strict=True):
            assert round(item.start.total_seconds() * 1000) == caption.start
            assert round(item.end.total_seconds() * 1000) == caption.end
            assert item.content == "\n".join(caption.lines).replace("-->", "->").strip()

    def test_the_usual_form(self) -> None:
        assert captions_srt(NO_LESSON, talk("Hello there. ", 0.8)) == (
            "1\n00:00:00,000 --> 00:00:01,550\nHello there.\n"
        )


class TestBreaks:
    def lines(self, text: str, pace: float = 0.3) -> list[str]:
        return [" / ".join(caption.lines) for caption in captions(NO_LESSON, talk(text, pace))]

    def test_at_sentence_ends(self) -> None:
        assert self.lines(
            "This is a quiet move, but it has a point. You may ask why black cannot take more space in the centre now."
        ) == [
            "This is a quiet move, but it has a point.",
            "You may ask why black cannot take / more space in the centre now.",
        ]

    def test_at_a_long_pause(self) -> None:
        words = talk("and he waits for a while then he plays it").words
        paused = [
            Word(word.text, word.start + 5 * (index > 5), word.end + 5 * (index > 5))
            for index, word in enumerate(words)
        ]
        shown = captions(NO_LESSON, Transcript(tuple(paused), 20.0, "by hand"))
        assert [caption.lines for caption in shown] == [("and he waits for a while",), ("then he plays it",)]

    def test_never_inside_a_move_where_another_place_will_do(self) -> None:
        lesson, transcript = told(
            "I would say that in this position white has the very strong {Nf3|knight to f3} with ideas "
            "on the kingside and in the centre where it looks at {e5|pawn to e5} for a while"
        )
        for caption in captions(lesson, transcript):
            for line in caption.lines:
                assert ("knight" in line) == ("f3" in line)

    def test_after_a_question_that_stops_the_viewer(self) -> None:
        words = talk("Which rook? The f rook.")
        lesson = Lesson("Talk", None, (), quizzes=(Quiz(0.0, 0.75, 0, None, ()),))
        assert [caption.lines for caption in captions(lesson, words)] == [("Which rook?",), ("The f rook.",)]

    def test_a_word_that_lasts_too_long_is_cut_in_time(self) -> None:
        (caption,) = captions(NO_LESSON, Transcript((Word("Hmm.", 1.0, 60.0),), 60.0, "by hand"))
        assert caption == Caption(1000, 8000, ("Hmm.",))

    def test_no_words_no_captions(self) -> None:
        assert captions_vtt(NO_LESSON, Transcript((), 0.0, "")) == "WEBVTT\n"
        assert captions_srt(NO_LESSON, Transcript((), 0.0, "")) == ""


class TestPutRight:
    @pytest.mark.parametrize(
        ("said", "shown"),
        [
            ("So {Nf3|Night F3,=knight f3} attacking.", "So knight f3, attacking."),
            ("{Nf3|Night, F3!=knight f3} Good.", "Knight, f3! Good."),
            ("{e4|E4.=e4} Good.", "e4. Good."),
            ("Well, {Nf3|nightf3,=knight f3} yes.", "Well, knight f3, yes."),
            ("Well, {e4|he for=e4} yes.", "Well, e4 yes."),
            ('He said {Nf3|"night f3"=knight to f3} twice.', 'He said "knight to f3" twice.'),
        ],
    )
    def test_naming_words_give_way_and_punctuation_stays(self, said: str, shown: str) -> None:
        lesson, transcript = told(said)
        (caption,) = captions(lesson, transcript)
        assert " ".join(caption.lines) == shown
