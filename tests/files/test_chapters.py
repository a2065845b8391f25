"""Chapters as files. WebVTT: W3C, "WebVTT: The Web Video Text Tracks Format", "WebVTT chapter title text"."""

from __future__ import annotations

import re

import webvtt
from hypothesis import given

from sync.files.chapters import chapter_list, chapters_vtt
from sync.lesson.lesson import Chapter, Lesson
from sync.transcript.words import Transcript
from tests.lesson.lessons import LAW, lessons

LESSON = Lesson(
    "A club evening",
    None,
    (),
    (
        Chapter(0.0, 75.5, "Start"),
        Chapter(75.5, 3723.045, "1. e4 e5 – 8. O-O"),
        Chapter(3723.045, 4000.0, "Rook < queen & co"),
    ),
)


def test_webvtt_file() -> None:
    assert chapters_vtt(LESSON) == (
        "WEBVTT\n\n"
        "00:00:00.000 --> 00:01:15.500\nStart\n\n"
        "00:01:15.500 --> 01:02:03.045\n1. e4 e5 – 8. O-O\n\n"
        "01:02:03.045 --> 01:06:40.000\nRook &lt; queen &amp; co\n"
    )


def test_list_to_paste_under_a_video() -> None:
    assert chapter_list(LESSON) == "0:00 Start\n1:15 1. e4 e5 – 8. O-O\n1:02:03 Rook < queen & co\n"


@LAW
@given(lessons())
def test_webvtt_py_reads_the_same_chapters(drawn: tuple[Lesson, Transcript]) -> None:
    lesson, _ = drawn
    read = webvtt.from_string(chapters_vtt(lesson)).captions
    assert [cue.start_in_seconds for cue in read] == [int(round(chapter.start, 3)) for chapter in lesson.chapters]
    for cue, chapter in zip(read, lesson.chapters, strict=True):
        if chapter.title.isalnum():
            assert cue.text == chapter.title


@LAW
@given(lessons())
def test_a_title_is_one_line_without_an_arrow(drawn: tuple[Lesson, Transcript]) -> None:
    lesson, _ = drawn
    lines = [line for line in chapters_vtt(lesson).split("\n") if not re.match(r"\d\d+:\d\d:\d\d\.\d{3} -->", line)]
    assert not any("-->" in line for line in lines)
    assert len(chapter_list(lesson).splitlines()) == len(lesson.chapters)
