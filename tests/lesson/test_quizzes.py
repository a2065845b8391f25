"""Where the teacher asks and waits. How teachers talk is common practice, no source: the talks here are invented."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given

from sync.lesson.lesson import Lesson, Quiz
from sync.lesson.quizzes import find_quizzes
from sync.transcript.words import Transcript
from tests.lesson.lessons import LAW, lessons, told

OPENING = "{e4|Pawn e4}, {e5|pawn e5}. {Nf3|Knight f3}. "
ANSWER = " {Nc6|Knight c6}, of course. [Not {^d6|d6}.]"


def quizzes_in(talk: str) -> list[tuple[str, str | None, list[str]]]:
    """What is asked, the move before the position, and the answers."""
    lesson, transcript = told(talk)
    (game,) = lesson.games
    sans = {ply.id: ply.san for ply in game.plies} | {None: None}
    return [
        (asked(quiz, transcript), sans[quiz.ply], [str(sans[answer]) for answer in quiz.answers])
        for quiz in find_quizzes(transcript, lesson.games)
    ]


def asked(quiz: Quiz, transcript: Transcript) -> str:
    return " ".join(word.text for word in transcript.words if quiz.start <= word.start < quiz.stop)


@pytest.mark.parametrize(
    "question",
    [
        "Pause the video here.",
        "What would you play? <pause 4>",
        "Which piece would you take with? I'll wait.",
        "Stop here and think.",
        "Paws, which knight do you move?",
        "Black to move. Take two minutes.",
        "Find the best move. <pause 3>",
        "Black to move and mate in three. <pause 5>",
        "Which knight? <pause 2.5>",
        "How does black save the pawn? Don't continue until you know.",
        "Here is a question for you. Think about it.",
        "May he leave the pawn alone? I'll give you thirty seconds.",
        "Try it yourself.",
        "Have a think about this one.",
        "Question three. Stop.",
        "See if you can find it before I tell you.",
        "Can you spot the idea? Before you go on, work it out for yourselves.",
    ],
)
def test_the_teacher_asks_and_waits(question: str) -> None:
    ((text, before, answers),) = quizzes_in(f"{OPENING}{question}{ANSWER}")
    assert text == re.sub(r" <pause [\d.]+>", "", question)
    assert (before, answers) == ("Nf3", ["Nc6", "d6"])


@pytest.mark.parametrize(
    "taken_up", ["Ready? So,", "Okay.", "The answer is", "Did you find it?", "Time's up.", "Alright."]
)
def test_a_task_counts_when_the_talk_is_taken_up_again(taken_up: str) -> None:
    ((text, before, _),) = quizzes_in(f"{OPENING}What would you play? {taken_up}{ANSWER}")
    assert (text, before) == ("What would you play?", "Nf3")


@pytest.mark.parametrize(
    "talk",
    [
        "What would you play?",
        "Which knight? Which knight? Come on.",
        "What is black threatening? Nothing.",
        "Each time I say pause, you pause the video and find a move.",
        "He had to stop and think here, and he stopped.",
        "Let's stop and look at that.",
        "White to move would win here.",
        "First question, and an easy one. Which piece is bad? The bishop.",
        "I'll give you a reason.",
        "Have a good look at this position, I will need it again.",
        "Stop it. He played fast.",
    ],
)
def test_asking_without_waiting_is_no_quiz(talk: str) -> None:
    assert quizzes_in(f"{OPENING}{talk}{ANSWER}") == []


def test_it_stops_after_the_last_sentence_of_the_question() -> None:
    ((text, _, _),) = quizzes_in(
        f"{OPENING}Pause here. Black would like to protect the pawn. How? There are two ways. Ready? So{ANSWER}"
    )
    assert text == "Pause here. Black would like to protect the pawn. How?"


def test_a_move_named_before_the_question_in_its_sentence_is_no_part_of_it() -> None:
    ((text, before, answers),) = quizzes_in(
        f"{{e4|Pawn e4}}, {{e5|e5}}, and {{Nf3|knight f3}}, pause the video.{ANSWER}"
    )
    assert (text, before, answers) == ("pause the video.", "Nf3", ["Nc6", "d6"])


def test_moves_offered_in_the_question_are_answers() -> None:
    ((text, before, answers),) = quizzes_in(
        f"{OPENING}Pause. Would you play {{Nc6|knight c6}} or [{{^d6|d6}}? Take a minute.] Well, I would."
    )
    assert (text, before, answers) == ("Pause. Would you play knight c6 or d6? Take a minute.", "Nf3", ["Nc6", "d6"])


def test_wrong_answers_first_still_puts_the_played_move_first() -> None:
    ((_, before, answers),) = quizzes_in(f"{OPENING}Pause the video. [{{d6|D6}} is too slow.] {{Nc6|Knight c6}}.")
    assert (before, answers) == ("Nf3", ["Nc6", "d6"])


def test_a_question_at_the_start_position() -> None:
    ((_, before, answers),) = quizzes_in("White to play and win. Pause the video. {e4|Pawn e4}.")
    assert (before, answers) == (None, ["e4"])


def test_a_question_at_the_end_is_about_the_last_move() -> None:
    ((_, before, answers),) = quizzes_in(f"{OPENING}What would you play? Pause the video and write to me.")
    assert (before, answers) == ("Nf3", [])


def test_plies_that_nobody_named_are_part_of_the_answer() -> None:
    lesson, transcript = told(f"{OPENING}Pause the video. {{Nc6|Knight c6}}, {{Bc4|bishop c4}}.")
    plies = [replace(ply, inferred=True, moments=()) if ply.san == "Nc6" else ply for ply in lesson.games[0].plies]
    (quiz,) = find_quizzes(transcript, [replace(lesson.games[0], plies=tuple(plies))])
    assert quiz.ply == 2


def test_two_pauses_at_one_position_are_one_quiz() -> None:
    ((text, _, _),) = quizzes_in(f"{OPENING}Pause the video. <pause 4> Think about the pawn. <pause 4> So,{ANSWER}")
    assert text == "Pause the video. Think about the pawn."


def test_each_quiz_has_its_own_position() -> None:
    found = quizzes_in(f"{OPENING}Pause the video. {{Nc6|Knight c6}}. And now? I'll wait. {{Bb5|Bishop b5}}.")
    assert [(text, before) for text, before, _ in found] == [
        ("Pause the video.", "Nf3"),
        ("And now? I'll wait.", "Nc6"),
    ]


def test_the_quiz_belongs_to_the_game_of_the_answer() -> None:
    first, transcript = told(f"{OPENING}Next game. Pause the video.{ANSWER}")
    early, late = first.games[0].plies[:3], first.games[0].plies[3:]
    second = tuple(replace(ply, parent=None, uci="e2e4", san="e4") for ply in late[:1])
    games = [replace(first.games[0], plies=early), replace(first.games[0], plies=second)]
    (quiz,) = find_quizzes(transcript, games)
    assert (quiz.game, quiz.ply, quiz.answers) == (1, None, (second[0].id,))


def test_no_games_no_quizzes() -> None:
    _, transcript = told("{e4|Pawn e4}. Pause the video.")
    assert find_quizzes(transcript, []) == ()


@LAW
@given(lessons())
def test_quizzes_point_into_the_games_and_follow_each_other(drawn: tuple[Lesson, Transcript]) -> None:
    lesson, transcript = drawn
    stop = 0.0
    for quiz in find_quizzes(transcript, lesson.games):
        assert stop <= quiz.stop
        stop = quiz.stop
        plies = {ply.id: ply for ply in lesson.games[quiz.game].plies}
        assert quiz.ply is None or quiz.ply in plies
        assert [plies[answer].parent for answer in quiz.answers] == [quiz.ply] * len(quiz.answers)
