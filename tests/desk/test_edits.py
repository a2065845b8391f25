"""Edits find their places by time and line, and an edit that finds none is told."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sync.errors import InputError
from sync.files.pgn import pgn_text
from sync.lesson import Lesson, Project, TranscriptFile, load_lesson, save_lesson
from sync.lesson.edits import (
    KINDS,
    ChapterAdded,
    ChapterEdit,
    ChapterRemoved,
    CommentEdit,
    Edit,
    MomentEdit,
    MoveEdit,
    NagsEdit,
    OrderEdit,
    PlayedEdit,
    QuizAdded,
    QuizEdit,
    QuizRemoved,
    TagsEdit,
    TitleEdit,
    WordsEdit,
    edit_from_json,
    edit_to_json,
    edited,
    fixes_of,
    lines_of,
    moved_words,
    reworded,
)
from sync.transcript import Word
from tests.desk.lessons import line, small_lesson
from tests.lesson.lessons import LAW

LESSON, TRANSCRIPT = small_lesson()
BISHOP = line("e4", "e5", "Nf3", "Nc6", "Bc4")
SPANISH = line("e4", "e5", "Nf3", "Nc6", "Bb5")

EXAMPLES: list[Edit] = [
    MoveEdit(4.0, 4.5, "b2b4", "played", ("e2e4",), "d2d3"),
    MoveEdit(4.0, 4.5, None),
    WordsEdit(1.0, 2.0, "bishop to c4"),
    CommentEdit(2.0, 0, BISHOP, "Eyes f7."),
    NagsEdit(2.0, 0, BISHOP, (1, 14)),
    MomentEdit(2.0, 0, BISHOP, 1.75, 3.0),
    PlayedEdit(2.0, 0, SPANISH, True),
    OrderEdit(0.0, 0, BISHOP[:-1], ("f1b5", "f1c4")),
    TagsEdit(0.0, 0, {"White": "Greta", "Black": None}),
    TitleEdit(0.0, "Quiet games"),
    ChapterEdit(8.0, 8.5, "The quiet line"),
    ChapterAdded(3.0, "A side line"),
    ChapterRemoved(8.0),
    QuizEdit(9.0, 9.5, 10.0),
    QuizAdded(3.0, 4.0, 0, BISHOP),
    QuizRemoved(9.0),
]


@pytest.mark.parametrize("edit", EXAMPLES, ids=lambda edit: type(edit).__name__)
def test_json_keeps_every_edit(edit: Edit) -> None:
    assert edit_from_json(edit_to_json(edit)) == edit


def test_every_kind_has_an_example() -> None:
    assert {type(edit) for edit in EXAMPLES} == set(KINDS.values())


@pytest.mark.parametrize(
    "value",
    [
        {"kind": "colour", "at": 1},
        {"kind": ["move"], "at": 1},
        {"kind": "title", "at": 0},
        {"kind": "title", "at": 0, "text": "x", "more": 1},
        {"kind": "title", "at": -1, "text": "x"},
        {"kind": "words", "at": 2, "end": 1, "text": "x"},
        {"kind": "words", "at": 1, "end": 2, "text": "  "},
        {"kind": "nags", "at": 1, "game": 0, "line": [], "nags": [256]},
        {"kind": "tags", "at": 1, "game": 0, "tags": {"a b": "c"}},
        {"kind": "move", "at": 1, "end": 2, "uci": None, "role": "maybe", "line": None, "was": None},
        {"kind": "move", "at": float("nan"), "end": 2, "uci": None, "role": None, "line": None, "was": None},
    ],
)
def test_what_is_no_edit_is_refused_in_one_line(value: dict[str, object]) -> None:
    with pytest.raises(InputError) as caught:
        edit_from_json(value)
    assert "\n" not in str(caught.value)


def change(*edits: Edit) -> Lesson:
    done = edited(LESSON, edits)
    assert done.unfit == ()
    return done.lesson


def test_comment_and_nags_stand_at_their_ply() -> None:
    lesson = change(CommentEdit(0, 0, BISHOP, "Eyes f7."), NagsEdit(0, 0, BISHOP, (1,)))
    ply = lines_of(lesson.games[0])[BISHOP]
    assert (ply.comment, ply.nags) == ("Eyes f7.", (1,))
    assert "Bc4 $1" in " ".join(pgn_text(lesson, TRANSCRIPT).split())


def test_a_moment_is_nudged() -> None:
    moment = lines_of(LESSON.games[0])[BISHOP].moments[0]
    lesson = change(MomentEdit(moment.start, 0, BISHOP, moment.start - 0.2, moment.end + 0.1))
    nudged = lines_of(lesson.games[0])[BISHOP].moments[0]
    assert nudged == replace(moment, start=moment.start - 0.2, end=moment.end + 0.1)


def test_a_side_line_becomes_the_game_and_goes_back() -> None:
    promoted = change(PlayedEdit(0, 0, (*SPANISH, "a7a6"), True))
    played = [ply.san for ply in promoted.games[0].plies if ply.played]
    assert played == ["e4", "e5", "Nf3", "Nc6", "Bb5", "a6"]
    assert not lines_of(promoted.games[0])[BISHOP].played
    back = edited(promoted, [PlayedEdit(0, 0, BISHOP, True)]).lesson
    assert [ply.san for ply in back.games[0].plies if ply.played] == ["e4", "e5", "Nf3", "Nc6", "Bc4"]


def test_a_demoted_move_ends_the_game_before_it() -> None:
    lesson = change(PlayedEdit(0, 0, BISHOP, False))
    assert [ply.san for ply in lesson.games[0].plies if ply.played] == ["e4", "e5", "Nf3", "Nc6"]


def test_side_lines_change_places() -> None:
    demoted = change(PlayedEdit(0, 0, BISHOP, False), OrderEdit(0, 0, BISHOP[:-1], ("f1b5", "f1c4")))
    parent = lines_of(demoted.games[0])[BISHOP[:-1]].id
    assert [ply.san for ply in demoted.games[0].plies if ply.parent == parent] == ["Bb5", "Bc4"]


def test_every_edited_lesson_can_be_saved(tmp_path: Path) -> None:
    """load_lesson checks all that a lesson has to keep to: parents first, played first, legal moves."""
    for edit in EXAMPLES:
        path = tmp_path / "evening.plycue.json"
        lesson = edited(LESSON, [edit]).lesson
        save_lesson(Project(lesson, TranscriptFile("x.json", "0" * 64)), path)
        assert load_lesson(path).computed == lesson


def test_tags_are_set_and_taken_away() -> None:
    lesson = change(TagsEdit(0, 0, {"White": "Greta", "Event": "Club"}), TagsEdit(0, 0, {"Event": None}))
    assert lesson.games[0].tags == {"White": "Greta"}


def test_chapters_stay_without_gaps() -> None:
    second = LESSON.chapters[1].start
    lesson = change(
        ChapterEdit(second, second + 0.5, "The bishop"), ChapterAdded(3.0, "A side line"), ChapterEdit(0, 7.0, "Hello")
    )
    assert [chapter.title for chapter in lesson.chapters] == ["Hello", "A side line", "The bishop", "End"]
    assert lesson.chapters[0].start == 0 and lesson.chapters[-1].end == LESSON.chapters[-1].end
    ends = [chapter.end for chapter in lesson.chapters[:-1]]
    assert ends == [chapter.start for chapter in lesson.chapters[1:]]
    assert len(change(ChapterRemoved(second)).chapters) == 2


def test_quizzes_are_moved_added_and_removed() -> None:
    start = LESSON.quizzes[0].start
    lesson = change(QuizEdit(start, start + 0.2, start + 0.9), QuizAdded(3.0, 4.0, 0, BISHOP[:-1]))
    assert [(quiz.start, quiz.stop) for quiz in lesson.quizzes] == [(3.0, 4.0), (start + 0.2, start + 0.9)]
    answers = {ply.san for ply in lesson.games[0].plies if ply.id in lesson.quizzes[0].answers}
    assert answers == {"Bc4", "Bb5"}
    assert change(QuizRemoved(start)).quizzes == ()


@pytest.mark.parametrize(
    "edit",
    [
        CommentEdit(0, 0, line("d4"), "x"),
        NagsEdit(0, 4, BISHOP, (1,)),
        MomentEdit(500.0, 0, BISHOP, 1, 2),
        OrderEdit(0, 0, BISHOP, ("a2a3",)),
        ChapterEdit(500.0, 1.0, "x"),
        ChapterRemoved(0.0),
        QuizRemoved(0.0),
        TagsEdit(0, 9, {}),
    ],
    ids=lambda edit: type(edit).__name__,
)
def test_an_edit_without_a_place_is_told(edit: Edit) -> None:
    done = edited(LESSON, [TitleEdit(0, "Kept"), edit])
    assert [unfit.edit for unfit in done.unfit] == [edit] and done.unfit[0].why
    assert done.lesson == replace(LESSON, title="Kept")


def test_a_comment_follows_its_move_through_a_later_fix() -> None:
    """The comment was made when a move before it was still misread."""
    comment = CommentEdit(0, 0, line("e4", "e5", "Nf3", "Nc6", "Bc4", "Bc5", "b4", "Nf6"), "Calm.")
    put_right = MoveEdit(9, 9.3, "d2d3", None, line("e4", "e5", "Nf3", "Nc6", "Bc4", "Bc5"), "b2b4")
    lesson = change(comment, put_right)
    right = line("e4", "e5", "Nf3", "Nc6", "Bc4", "Bc5", "d3", "Nf6")
    assert lines_of(lesson.games[0])[right].comment == "Calm."


def test_fixes_take_the_last_edit_of_the_same_words() -> None:
    edits: list[Edit] = [MoveEdit(9, 9.3, "b2b4"), MoveEdit(2, 3, None), MoveEdit(9.0, 9.35, "d2d3", "played")]
    assert [(fix.start, fix.uci, fix.role) for fix in fixes_of(edits)] == [(2, None, None), (9.0, "d2d3", "played")]


def test_words_keep_their_times_and_moments_their_places() -> None:
    first = next(number for number, word in enumerate(TRANSCRIPT.words) if word.text == "sea")
    words = TRANSCRIPT.words
    edit = WordsEdit(words[first - 1].start, words[first + 1].end, "bishop to the c4 square.")
    done = reworded(TRANSCRIPT, [edit])
    texts = [word.text for word in done.transcript.words]
    assert texts[first - 1 : first + 4] == ["bishop", "to", "the", "c4", "square."]
    new = done.transcript.words[first - 1 : first + 4]
    assert new[0].start == words[first - 1].start and new[-1].end == words[first + 1].end
    moved = moved_words(LESSON.games, done)
    for before, after in zip(LESSON.games[0].plies, moved[0].plies, strict=True):
        was, now = before.moments[0], after.moments[0]
        assert (was.start, was.end) == (now.start, now.end)
        if before.san == "Bc4":
            assert now.spoken == "bishop to the c4 square."
        else:
            old = TRANSCRIPT.words[was.first_word : was.named_end]
            assert done.transcript.words[now.first_word : now.named_end] == old


@pytest.mark.parametrize(
    ("first", "end", "text", "kept"),
    [
        (2, 3, "air", False),  # the second word of those that the square stands for
        (1, 3, "need air", False),
        (0, 2, "king needs", False),
        (1, 3, "needed", False),
        (3, 4, "soon", True),
        (0, 1, "rook", True),
        (0, 3, "rook need a", True),
    ],
)
def test_a_square_in_the_place_of_words_goes_with_them(first: int, end: int, text: str, kept: bool) -> None:
    heard = [Word(each, index, index + 0.8) for index, each in enumerate("king need a now".split())]
    heard[1] = replace(heard[1], rivals=(("e8", 0.0),), rivals_for=2)
    edit = WordsEdit(heard[first].start, heard[end - 1].end, text)
    done = reworded(replace(TRANSCRIPT, words=tuple(heard)), [edit]).transcript.words
    assert [(word.rivals, word.rivals_for) for word in done if word.rivals] == ([((("e8", 0.0),), 2)] if kept else [])
    assert all(word.rivals or word.rivals_for == 1 for word in done)


@LAW
@given(st.data())
def test_rewording_moves_no_other_word(data: st.DataObject) -> None:
    """Law: words outside of the edited ones stay, with their times, and the index says where."""
    words = TRANSCRIPT.words
    first = data.draw(st.integers(0, len(words) - 1))
    end = data.draw(st.integers(first + 1, len(words)))
    text = " ".join(data.draw(st.lists(st.sampled_from(["knight", "f3.", "so", "and"]), min_size=1, max_size=9)))
    done = reworded(TRANSCRIPT, [WordsEdit(words[first].start, words[end - 1].end, text)])
    for number, word in enumerate(words):
        if not first <= number < end:
            assert done.transcript.words[done.index[number]] == word
    assert done.index[len(words)] == len(done.transcript.words)
    starts = [word.start for word in done.transcript.words]
    assert starts == sorted(starts)


@LAW
@given(st.lists(st.sampled_from(EXAMPLES), max_size=12))
def test_any_edits_leave_a_sound_lesson(edits: list[Edit]) -> None:
    """Law: whatever is edited in whatever order, each parent stands before its children and the played line is one."""
    done = edited(LESSON, edits)
    for game in done.lesson.games:
        seen: set[int | None] = {None}
        boards = dict(game.boards())
        assert len(boards) == len(game.plies)
        parents = [ply.parent for ply in game.plies if ply.played]
        assert len(parents) == len(set(parents))
        for ply in game.plies:
            assert ply.parent in seen
            seen.add(ply.id)
