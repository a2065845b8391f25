"""Small talks whose trees leave no doubt."""

from __future__ import annotations

from itertools import pairwise

import chess
import pytest

from sync.follow.tree import Game
from tests.follow.talk import PACE, before, followed, game_moves, line, ply, talk

SIDE_LINES = (
    "White begins with pawn to e4, and black answers with pawn to e5. "
    "Now white plays knight to f3, and black plays knight to c6. "
    "The Spanish move would be bishop to b5, and then black would play a6, and white bishop to a4. "
    "But in the game white played bishop to c4, and black played bishop to c5. "
    "Instead of bishop to c5, black could play knight to f6, and white goes knight to g5. "
    "So bishop to c5 was played, and white played pawn to d3, and black played d6."
)


@pytest.fixture(scope="module")
def side_lines() -> Game:
    return followed(SIDE_LINES)


def test_what_was_played_and_what_was_only_considered(side_lines: Game) -> None:
    assert line(side_lines) == "e4 e5 Nf3 Nc6 Bc4 Bc5 d3 d6"
    assert sorted(line(side_lines, played=False).split()) == ["Ba4", "Bb5", "Nf6", "Ng5", "a6"]


def test_a_side_line_told_before_the_move_and_one_after_it(side_lines: Game) -> None:
    assert before(side_lines, ply(side_lines, "Bb5")) == "Nc6"
    assert before(side_lines, ply(side_lines, "a6")) == "Bb5"
    assert before(side_lines, ply(side_lines, "Ba4")) == "a6"
    considered = ply(side_lines, "Nf6")
    assert before(side_lines, considered) == "Bc4"
    assert before(side_lines, ply(side_lines, "Ng5")) == "Nf6"
    assert considered.moments[0].start > ply(side_lines, "Bc5").moments[0].start


def test_a_move_named_again_has_one_ply_and_more_moments(side_lines: Game) -> None:
    bishop = ply(side_lines, "Bc5")
    assert [moment.heard for moment in bishop.moments] == ["bishop to c5.", "bishop to c5,", "bishop to c5"]
    starts = [moment.start for moment in bishop.moments]
    assert starts == sorted(starts)


def test_moments_are_where_the_words_are(side_lines: Game) -> None:
    words = talk(SIDE_LINES).words
    for each in side_lines.plies:
        for moment in each.moments:
            assert moment.start == words[moment.first_word].start
            assert moment.heard == " ".join(word.text for word in words[moment.first_word : moment.named_end])
            assert moment.first_word < moment.named_end <= moment.end_word <= len(words)
            assert moment.end >= words[moment.named_end - 1].end


def test_the_talk_about_a_move_ends_where_the_next_one_is_named(side_lines: Game) -> None:
    moments = sorted((moment for each in side_lines.plies for moment in each.moments), key=lambda each: each.first_word)
    for moment, following in pairwise(moments):
        assert moment.end_word == following.first_word
    assert moments[-1].end_word == len(talk(SIDE_LINES).words)


def test_takes_takes() -> None:
    game = followed(
        "White begins with pawn to e4, and black answers with pawn to e5. "
        "Now white plays knight to f3, and black plays knight to c6. "
        "Now white plays d4, e takes d4, knight takes d4, takes, takes. And white has the queen in the centre."
    )
    assert line(game) == "e4 e5 Nf3 Nc6 d4 exd4 Nxd4 Nxd4 Qxd4"
    taken, back = game.plies[-2:]
    assert [moment.spoken for moment in (*taken.moments, *back.moments)] == ["takes", "takes"]
    assert back.moments[0].start - taken.moments[0].start == pytest.approx(PACE)


def test_another_start_position() -> None:
    fen = "r5k1/5ppp/8/8/8/8/5PPP/R5K1 b - - 0 1"
    game = followed("The rook goes to d8. White answers h3. Then rook to d1 check, rook takes d1.", fen)
    assert game.start_fen == fen
    assert [each.san for each in game.plies][:3] == ["Rd8", "h3", "Rd1+"]
    assert game.plies[-1].san == "Rxd1"


def test_misheard_words_name_their_moves() -> None:
    assert line(followed("Pond to e4, see five, and now night to f three.")) == "e4 c5 Nf3"


TOO_SHORT = pytest.mark.xfail(reason="the encoder was fitted on whole lessons; docs/following.md, The encoder")


@pytest.mark.parametrize("pawn", ["Pawn", pytest.param("Pond", marks=TOO_SHORT)])
def test_misheard_words_are_put_right_in_the_moments(pawn: str) -> None:
    game = followed(f"{pawn} to e4, see five, and now night to f three.")
    assert line(game) == "e4 c5 Nf3"
    assert [each.moments[0].spoken.lower() for each in game.plies] == ["pawn to e4", "c5", "knight to f3"]
    assert game.plies[-1].moments[0].heard == "night to f three."


def test_a_named_opening_stands_for_its_moves() -> None:
    game = followed("This is the Sicilian defence. Then knight to f3, d6, d4. Black takes, knight takes.")
    assert line(game) == "e4 c5 Nf3 d6 d4 cxd4 Nxd4"
    assert [each.inferred for each in game.plies] == [True, *[False] * 6]


GIVEN = "e4 e5 Nf3 Nc6 Bc4 Bc5 d3 d6"


def test_every_ply_of_a_given_game_is_placed() -> None:
    game = followed(SIDE_LINES, moves=game_moves(GIVEN))
    assert line(game) == GIVEN
    assert not any(each.inferred for each in game.plies)
    starts = [each.moments[0].start for each in game.plies if each.played]
    assert starts == sorted(starts)


@pytest.mark.parametrize("unnamed", ["c5", pytest.param("e5", marks=TOO_SHORT)])
def test_what_nobody_names_of_a_given_game_is_inferred(unnamed: str) -> None:
    game = followed(
        "White begins with e4. Then knight f3 was played, and knight c6. White put the bishop on c4.",
        moves=game_moves(f"e4 {unnamed} Nf3 Nc6 Bc4"),
    )
    assert line(game) == f"e4 {unnamed} Nf3 Nc6 Bc4"
    assert [each.san for each in game.plies if each.inferred] == [unnamed]
    assert ply(game, unnamed).moments == ()


def test_what_nobody_names_at_the_end_of_a_given_game_is_kept() -> None:
    game = followed("White begins with e4, and black plays e5.", moves=game_moves("e4 e5 Nf3 Nc6"))
    assert line(game) == "e4 e5 Nf3 Nc6"
    assert [each.san for each in game.plies if each.inferred] == ["Nf3", "Nc6"]


def test_a_given_game_settles_what_the_words_leave_open() -> None:
    talked = "White begins with e4 and black answers e5. Knight f3, knight c6. Bishop to b four."
    assert line(followed(talked, moves=game_moves("e4 e5 Nf3 Nc6 Bb5"))) == "e4 e5 Nf3 Nc6 Bb5"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "Hello.",
        "Good evening everybody. Thank you for coming. The kettle is on, and there are biscuits in the other room.",
    ],
)
def test_no_moves(text: str) -> None:
    game = followed(text)
    assert game.plies == ()
    assert (game.start_fen, game.start, game.first_word) == (chess.STARTING_FEN, 0.0, 0)
    assert (game.end, game.end_word) == (talk(text).duration, len(talk(text).words))


TWO_ROOKS = "6k1/5ppp/8/8/8/8/5PPP/R4RK1 w - - 0 20"


@pytest.mark.parametrize(
    ("first", "then", "wanted"),
    [
        ("rook f to d1", "the other rook to b1", "Rfd1 Kf8 Rab1"),
        ("rook a to d1", "the other rook to e1", "Rad1 Kf8 Rfe1"),
        ("rook a to b1", "the other rook to c1", "Rab1 Kf8 Rfc1"),
    ],
)
def test_the_other_rook_is_the_one_that_did_not_move_last(first: str, then: str, wanted: str) -> None:
    said = f"Now white plays {first}. Black plays king to f8. And white plays {then}."
    assert line(followed(said, TWO_ROOKS)) == wanted
