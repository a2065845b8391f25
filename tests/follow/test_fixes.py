"""An editor's fixes: what the search has to keep to, and what it leaves alone."""

from __future__ import annotations

import pytest

from sync.follow import Fix
from sync.follow.fixes import Role
from sync.follow.tree import Game
from tests.follow.talk import at, before, followed, line, ply

TALK = (
    "White begins with pawn to e4, and black answers with pawn to e5. "
    "Now white plays knight to f3, and black plays knight to c6. "
    "White plays bishop to b5, and black answers a6. White plays bishop to a4, and black plays knight to f6."
)
PLAYED = "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6"


def fix(
    words: str, uci: str | None = None, role: Role | None = None, line: tuple[str, ...] | None = None, text: str = TALK
) -> Fix:
    start, end = at(text, words)
    return Fix(start, end, uci, role, line)


def plain(game: Game) -> list[tuple[str, bool, str, list[str]]]:
    return [(each.san, each.played, before(game, each), [m.heard for m in each.moments]) for each in game.plies]


def test_without_fixes() -> None:
    assert line(followed(TALK)) == PLAYED


def test_another_move() -> None:
    game = followed(TALK, fixes=[fix("pawn to e5.", "c7c5", "played")])
    assert line(game).split()[:4] == ["e4", "c5", "Nf3", "Nc6"]
    fixed = ply(game, "c5")
    assert fixed.confidence == 1.0
    assert fixed.moments[0].heard == "pawn to e5."


def test_the_rest_is_followed_from_the_fixed_move() -> None:
    """With d5 in place of e5, e takes d5 can be read as a move of the game."""
    text = "White begins with pawn to e4, and black answers with e5. Now white plays e takes d5, and queen takes d5."
    game = followed(text, fixes=[fix("e5.", "d7d5", "played", text=text)])
    assert line(game) == "e4 d5 exd5 Qxd5"


def test_a_role() -> None:
    words = "bishop to a4,"
    assert ply(followed(TALK), "Ba4").played
    game = followed(TALK, fixes=[fix(words, "b5a4", "considered")])
    assert not ply(game, "Ba4").played
    assert before(game, ply(game, "Ba4")) == "a6"


def test_a_role_alone_leaves_the_move_to_the_search() -> None:
    game = followed(TALK, fixes=[fix("bishop to a4,", role="considered")])
    assert not ply(game, "Ba4").played


def test_no_move() -> None:
    game = followed(TALK, fixes=[fix("knight to f6.")])
    assert line(game) == "e4 e5 Nf3 Nc6 Bb5 a6 Ba4"
    assert not any("f6" in moment.heard for each in game.plies for moment in each.moments)


def test_a_line_says_where_the_move_starts_from() -> None:
    """The last words name a knight's move; the editor says that it is one instead of 2...Nc6."""
    to = ("e2e4", "e7e5", "g1f3")
    game = followed(TALK, fixes=[fix("knight to f6.", "g8f6", "considered", to)])
    knight = ply(game, "Nf6")
    assert not knight.played
    assert before(game, knight) == "Nf3"
    assert line(game) == "e4 e5 Nf3 Nc6 Bb5 a6 Ba4"


def test_a_repeat() -> None:
    text = TALK + " And that bishop move from before is the point."
    to = ("e2e4", "e7e5", "g1f3", "b8c6")
    game = followed(text, fixes=[fix("bishop move", "f1b5", "repeat", to, text=text)])
    assert [moment.heard for moment in ply(game, "Bb5").moments] == ["bishop to b5,", "bishop move"]
    assert len([each for each in game.plies if each.san == "Bb5"]) == 1


def test_words_that_were_no_mention_can_name_a_move() -> None:
    text = "White begins with pawn to e4. Black answers in the same manner. Now white plays knight to f3."
    game = followed(text, fixes=[fix("the same manner.", "e7e5", "played", text=text)])
    assert line(game) == "e4 e5 Nf3"
    assert not ply(game, "e5").inferred


IMPOSSIBLE = [
    ("knight to f6.", "a1a8", None),
    ("knight to f6.", "g8f6", ("e2e4", "e2e5")),
    ("begins with", "e7e4", None),
]
"""A move that is never legal there, a line that is not, a move for words that are no mention."""


@pytest.mark.parametrize(("words", "uci", "to"), IMPOSSIBLE)
@pytest.mark.parametrize("role", ["played", "considered", None])
def test_an_impossible_fix_leaves_all_other_words_alone(
    words: str, uci: str, to: tuple[str, ...] | None, role: Role | None
) -> None:
    others = [each for each in plain(followed(TALK)) if each[3] != [words]]
    found = plain(followed(TALK, fixes=[fix(words, uci, role, to)]))
    assert [each for each in found if each[3] != [words]] == others


@pytest.mark.parametrize(("start", "end"), [(900.0, 901.0), (3.0, 2.0), (0.31, 0.32)])
def test_a_fix_of_no_words_changes_nothing(start: float, end: float) -> None:
    assert followed(TALK, fixes=[Fix(start, end, "e7e5", "played")]) == followed(TALK)


def test_the_words_of_an_impossible_fix_are_not_read_as_some_other_move() -> None:
    text = "White begins with pawn to e4, and black answers with pawn to c6. Now white plays knight to f3."
    game = followed(text, fixes=[fix("pawn to c6.", "a1a8", "played", text=text)])
    assert not any(each.san not in ("e4", "c6", "Nf3") for each in game.plies)


def test_several_fixes() -> None:
    game = followed(
        TALK,
        fixes=[fix("pawn to e5.", "c7c5", "played"), fix("a6.", "g7g6", "played"), fix("knight to f6.")],
    )
    assert line(game).startswith("e4 c5 Nf3 Nc6 Bb5 g6")
