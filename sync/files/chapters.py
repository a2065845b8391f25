"""Chapters as a WebVTT file and as a list to paste under a video."""

from __future__ import annotations

from sync.files.captions import vtt_text
from sync.files.text import clock, one_line
from sync.lesson.lesson import Lesson


def chapters_vtt(lesson: Lesson) -> str:
    """WebVTT of the kind "chapters" (W3C, "WebVTT: The Web Video Text Tracks Format", "WebVTT chapter title text")."""
    return vtt_text(
        [
            (round(chapter.start * 1000), round(chapter.end * 1000), [one_line(chapter.title)])
            for chapter in lesson.chapters
        ]
    )


def chapter_list(lesson: Lesson) -> str:
    """A line for each chapter: when it begins in whole seconds, then its title.

    >>> from sync.lesson.lesson import Chapter
    >>> print(chapter_list(Lesson("", None, (), (Chapter(0, 75.5, "Start"), Chapter(75.5, 99, "1. e4 e5")))), end="")
    0:00 Start
    1:15 1. e4 e5
    """
    return "".join(f"{_mark(chapter.start)} {one_line(chapter.title)}\n" for chapter in lesson.chapters)


def _mark(start: float) -> str:
    hours, minutes, seconds, _ = clock(int(start * 1000))
    return f"{hours}:{minutes:02}:{seconds:02}" if hours else f"{minutes}:{seconds:02}"
