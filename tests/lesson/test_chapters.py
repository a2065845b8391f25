"""Chapters: first at 0:00, three or more, ten seconds or longer each (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import chess
import pytest
from hypothesis import given

from sync.lesson.chapters import find_chapters, move_labels
from sync.lesson.lesson import Lesson
from sync.lesson.quizzes import find_quizzes
from sync.transcript.words import Transcript, Word
from tests.lesson.lessons import LAW, lessons, told

WELCOME = "Welcome back to the club, everybody. Today we look at a quiet game that was played last week. " * 2
FILLER = "And that is a very natural move in this position, as you can see. " * 4


def chapters_of(talk: str) -> list[tuple[int, str]]:
    lesson, transcript = told(talk)
    found = find_chapters(transcript, lesson.games, find_quizzes(transcript, lesson.games))
    return [(round(chapter.start), chapter.title) for chapter in found]


def titles(talk: str) -> list[str]:
    return [title for _, title in chapters_of(talk)]


def silence(seconds: float, *begins: float) -> Transcript:
    return Transcript(tuple(Word("Well.", begin, begin + 0.5) for begin in begins), seconds, "by hand")


@LAW
@given(lessons())
def test_chapters_cover_the_talk_and_are_long_and_many_enough(drawn: tuple[Lesson, Transcript]) -> None:
    lesson, transcript = drawn
    found = find_chapters(transcript, lesson.games, lesson.quizzes)
    duration = transcript.duration
    if duration == 0:
        assert found == ()
        return
    assert (found[0].start, found[-1].end) == (0.0, duration)
    assert all(chapter.end == following.start for chapter, following in pairwise(found))
    assert all(chapter.title.strip() for chapter in found)
    if duration < 30:
        assert len(found) == 1
        return
    assert 3 <= len(found) <= max(3, round(duration / 60))
    assert all(chapter.end - chapter.start >= 9.999_999 for chapter in found)


def test_the_talk_before_the_first_move_is_the_start() -> None:
    assert chapters_of(f"{WELCOME}{{e4|Pawn e4}}. {FILLER}{{e5|Pawn e5}}. {FILLER}{{Nf3|knight f3}}. {FILLER}")[:2] == [
        (0, "Start"),
        (14, "1. e4 e5"),
    ]


def test_without_opening_talk_the_first_chapter_is_called_after_its_moves() -> None:
    assert titles(f"{{e4|Pawn e4}}. {FILLER}{{e5|Pawn e5}}. {FILLER}{{Nf3|knight f3}}. {FILLER}")[0] == "1. e4"


def test_a_side_line_is_asked_about_and_the_game_goes_on_after_it() -> None:
    talk = f"{WELCOME}{{e4|Pawn e4}}, {{e5|e5}}, {{Nf3|knight f3}}, {{Nc6|knight c6}}. {FILLER}"
    talk += (
        f"But why not [{{Bc4|bishop c4}}? {FILLER}{FILLER}] In the game she played {{Bb5|bishop b5}}. {FILLER}{FILLER}"
    )
    assert chapters_of(talk)[1:] == [
        (14, "1. e4 e5 – 2... Nc6"),
        (40, "What about 3. Bc4?"),
    ]
    assert titles(talk + FILLER * 10)[1:4] == ["1. e4 e5 – 2... Nc6", "What about 3. Bc4?", "3. Bb5"]


def test_it_begins_with_the_sentence_that_names_the_move() -> None:
    lesson, transcript = told(f"{WELCOME}So they begin with {{e4|pawn e4}}. {FILLER}{FILLER}{FILLER}")
    begin = find_chapters(transcript, lesson.games, [])[1].start
    assert next(word.text for word in transcript.words if word.start == begin) == "So"


def test_it_does_not_begin_with_a_move_named_before_in_the_same_sentence() -> None:
    lesson, transcript = told(
        f"{WELCOME}{{e4|Pawn e4}}. {FILLER}{FILLER}{{e5|Pawn e5}} and not [{{^c5|c5}}. {FILLER}{FILLER}]"
    )
    begin = find_chapters(transcript, lesson.games, [])[2].start
    assert next(word.text for word in transcript.words if word.start == begin) == "and"


def test_a_quiz_has_a_chapter() -> None:
    talk = f"{WELCOME}{{e4|Pawn e4}}, {{e5|e5}}. {FILLER}"
    talk += f"Pause the video. Which move would you play? <pause 5> {{Nf3|Knight f3}}. {FILLER}"
    assert titles(talk) == ["Start", "1. e4 e5", "Quiz after 1... e5"]


def test_a_quiz_at_the_start_position() -> None:
    talk = f"{WELCOME}White to play and win. Pause the video. <pause 5> {{e4|Pawn e4}}. {FILLER}{FILLER}"
    assert "Quiz: the start position" in titles(talk)


@pytest.mark.parametrize(
    "words", ["So what did we learn?", "To sum up, castle early.", "Thank you for watching.", "Homework for next week."]
)
def test_the_summary_begins_after_all_moves(words: str) -> None:
    talk = f"{WELCOME}{words} {{e4|Pawn e4}}, {{e5|e5}}. {FILLER}{words} {FILLER}"
    assert titles(talk)[-1] == "Summary"
    assert titles(talk).count("Summary") == 1


def test_a_second_game_has_a_chapter() -> None:
    lesson, transcript = told(f"{WELCOME}{{e4|Pawn e4}}. {FILLER}Another game. {FILLER}{{e5|Pawn d4}}. {FILLER}")
    first, second = lesson.games[0].plies
    boundary = second.moments[0].start - 10.8
    games = [
        replace(lesson.games[0], plies=(first,), end=boundary),
        replace(lesson.games[0], plies=(replace(second, parent=None, uci="d2d4", san="d4"),), start=boundary),
    ]
    assert "Game 2" in [chapter.title for chapter in find_chapters(transcript, games, [])]


def test_a_long_stretch_of_moves_is_divided() -> None:
    moves = ["e4", "e5", "Nf3", "Nc6", "Bb5", "a6", "Ba4", "Nf6", "O-O", "Be7", "Re1", "b5"]
    talk = WELCOME + "".join(f"{{{san}|move}}. {FILLER}{FILLER}" for san in moves)
    found = chapters_of(talk)
    assert all(later - earlier < 150 for (earlier, _), (later, _) in pairwise(found))
    assert [title for _, title in found] == [
        "Start",
        "1. e4 e5 – 2. Nf3",
        "2... Nc6 – 3... a6",
        "4. Ba4 Nf6 – 5. O-O",
        "5... Be7 – 6... b5",
    ]


@pytest.mark.parametrize(
    ("duration", "expected"),
    [(29.9, [(0, "Start")]), (30.0, [(0, "Start"), (10, "Part 2"), (20, "Part 3")]), (0.0, [])],
)
def test_a_talk_without_moves(duration: float, expected: list[tuple[int, str]]) -> None:
    assert [(chapter.start, chapter.title) for chapter in find_chapters(silence(duration), [], [])] == expected


def test_parts_begin_with_a_sentence_where_one_leaves_room() -> None:
    found = find_chapters(silence(90, 3, 28, 75), [], [])
    assert [chapter.start for chapter in found] == [0, 28, 75]


def test_labels_count_from_the_start_position() -> None:
    lesson, _ = told("{O-O-O|x} {O-O|x}", fen="r3k2r/pppq1ppp/2npbn2/2b1p3/2B1P3/2NPBN2/PPPQ1PPP/R3K2R b KQkq - 4 8")
    assert list(move_labels(lesson.games[0]).values()) == ["8... O-O-O", "9. O-O"]
    assert lesson.games[0].start_fen != chess.STARTING_FEN
