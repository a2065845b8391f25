"""What an editor is asked about: the places where the reading itself is doubtful, and only those."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sync.lesson.doubts import UNNAMED, Doubt, doubts
from sync.lesson.edits import Edit, MoveEdit, TitleEdit, WordsEdit
from sync.lesson.lesson import Game, Ply
from tests.lesson.lessons import told

TALK = "First {e4|pawn e4} then {e5|e5} and {Nf3|knight f3} [or {^Nc3|knight c3}] then {Nc6|knight c6} bye."


def found(
    sure: dict[str, float], *edits: Edit, unnamed: str = "", talk: str = TALK, reason: str = ""
) -> tuple[Doubt, ...]:
    """The doubts of a talk: sure has confidences by SAN, all else is 1. unnamed: SANs of moves that nobody names."""
    lesson, transcript = told(talk)

    def changed(ply: Ply) -> Ply:
        ply = replace(ply, confidence=sure.get(ply.san, 1.0), reason=reason)
        return replace(ply, moments=(), inferred=True) if ply.san in unnamed.split() else ply

    game: Game = replace(lesson.games[0], plies=tuple(map(changed, lesson.games[0].plies)))
    return doubts((game,), edits, [word.end for word in transcript.words])


def test_a_doubt_tells_where_what_and_how_it_was_read() -> None:
    """Each word takes 0.4 s, of which it sounds for 0.36 s."""
    (doubt,) = found({"Nf3": 0.5}, reason="the square was heard badly")
    assert (doubt.at, doubt.end) == pytest.approx((2.4, 3.16))
    assert (doubt.first_word, doubt.end_word, doubt.heard) == (6, 8, "knight f3")
    assert (doubt.game, doubt.line, doubt.uci, doubt.san) == (0, ("e2e4", "e7e5"), "g1f3", "Nf3")
    assert (doubt.role, doubt.confidence, doubt.reason) == ("played", 0.5, "the square was heard badly")


def test_a_move_of_a_side_line_was_only_considered() -> None:
    (doubt,) = found({"Nc3": 0.5})
    assert (doubt.san, doubt.role, doubt.line) == ("Nc3", "considered", ("e2e4", "e7e5"))


def test_a_sure_reading_is_no_doubt() -> None:
    assert found({}) == ()
    assert found({"e5": 0.9}) == ()


def test_what_is_doubtful_only_because_the_move_before_is_goes_with_that() -> None:
    (doubt,) = found({"e5": 0.5, "Nf3": 0.5, "Nc6": 0.48, "Nc3": 0.5})
    assert doubt.san == "e5"


def test_a_doubt_of_its_own_stays_one_after_a_doubtful_move() -> None:
    """0.2 after 0.5: if the move before is right, this one is at 0.4."""
    first, second = found({"e5": 0.5, "Nf3": 0.2, "Nc6": 0.2, "Nc3": 0.5})
    assert [(first.san, first.confidence), (second.san, second.confidence)] == [("Nf3", 0.4), ("e5", 0.5)]


def test_after_a_move_that_cannot_be_right_nothing_is_surer_than_sure() -> None:
    (doubt,) = found({"e5": 0.0, "Nf3": 0.1, "Nc3": 0.02})
    assert doubt.san == "e5"


def test_the_least_sure_comes_first_and_of_two_the_earlier() -> None:
    assert [doubt.san for doubt in found({"e4": 0.6, "Nc6": 0.3, "Nc3": 0.6})] == ["Nc6", "e4", "Nc3"]


def test_a_move_that_nobody_names_is_doubted_where_the_next_one_is_named() -> None:
    (doubt,) = found({"e5": 0.5, "Nf3": 0.5, "Nc3": 0.5, "Nc6": 0.5}, unnamed="e5")
    assert (doubt.uci, doubt.heard, doubt.line, doubt.reason) == ("e7e5", "knight f3", ("e2e4",), UNNAMED)


def test_several_moves_that_nobody_names_stand_at_the_first_words_after_them() -> None:
    """The side line's move is named before the knight to c6 is; the pawn to e4 stands before both."""
    made = found({"e5": 0.5, "Nf3": 0.2, "Nc3": 0.5, "Nc6": 0.2}, unnamed="e5 Nf3")
    assert [(doubt.san, doubt.heard) for doubt in made] == [("Nf3", "knight c6"), ("e5", "knight c3")]


def test_a_move_that_nobody_names_and_nothing_follows_has_no_place() -> None:
    assert found({"Nc6": 0.5}, unnamed="Nc6") == ()


@pytest.mark.parametrize(
    ("edit", "left"),
    [
        (MoveEdit(2.4, 3.16, "g1f3", "played"), []),
        (MoveEdit(2.5, 2.6, None), []),
        (MoveEdit(0.0, 9.0, None), []),
        (MoveEdit(2.0, 2.4, None), ["Nf3"]),
        (MoveEdit(3.16, 4.0, None), ["Nf3"]),
        (WordsEdit(2.4, 3.16, "knight f3"), ["Nf3"]),
        (TitleEdit(2.5, "Knights"), ["Nf3"]),
    ],
)
def test_a_doubt_is_decided_by_an_edit_of_what_its_words_name(edit: Edit, left: list[str]) -> None:
    assert [doubt.san for doubt in found({"Nf3": 0.5}, edit)] == left


def test_the_doubts_of_all_games_are_told_together() -> None:
    lesson, transcript = told(TALK)
    (game,) = lesson.games
    games = [
        replace(game, plies=tuple(replace(ply, confidence=sure) for ply in game.plies[:1])) for sure in (0.7, 1.0, 0.4)
    ]
    made = doubts(games, (), [word.end for word in transcript.words])
    assert [(doubt.game, doubt.confidence) for doubt in made] == [(2, 0.4), (0, 0.7)]
