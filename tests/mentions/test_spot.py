"""Readings that are kept beside each other, readings that are none, and what holds for all of them."""

from __future__ import annotations

from dataclasses import replace

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sync.mentions import named_moves, spot
from sync.mentions.match import LegalMoves
from sync.mentions.patterns import ROWS
from sync.transcript.words import Transcript
from tests.mentions.talk import best, cost, mentions, transcript

WORDS = """knight bishop rook queen king pawn knights night queens takes take takes, castles check mate e4 f3 d5, c8. a8
to on the with and goes back other file f e b d one four 95 Nf3 bxc3 exd5 O-O Ra8# h2f1 this should be en passant
promotes becomes new Sicilian kassling beefour rank third white his from two squares pushes there""".split()


def heard_again(talk: Transcript, lengths: dict[int, int]) -> Transcript:
    """The talk with words that may be e8 or a8, each with so many words as lengths says, also past the end."""
    rivals = (("e8", 0.0), ("a8", -1.5))
    words = [
        replace(word, rivals=rivals, rivals_for=lengths[index]) if index in lengths else word
        for index, word in enumerate(talk.words)
    ]
    return replace(talk, words=tuple(words))


def forms(text: str) -> list[tuple[str, str]]:
    return [(mention.form, mention.heard) for mention in mentions(text)]


@pytest.mark.parametrize(
    ("talk", "kept"),
    [
        ("knight c3 takes d5", [("piece-takes-square", "knight c3 takes d5"), ("piece-square", "knight c3"),
                                ("takes-square", "takes d5")]),
        ("bishop on g7 bites on c3", [("piece-square", "bishop on g7"), ("takes-square", "bites on c3")]),
        ("the door for the other bishop d6", [("piece-square", "other bishop d6"), ("square", "d6")]),
        ("e4 e5, knight f3", [("square", "e4"), ("square", "e5,")]),
        ("the g pawn moves one step", [("push", "g pawn moves one step")]),
        ("takes takes", [("takes", "takes"), ("takes", "takes")]),
        ("white tucks her king away", [("castles", "tucks her king away")]),
        ("brings his own king to safety", [("castles", "brings his own king to safety")]),
        ("she brings out the queen's knight", [("wing", "brings out the queen's knight")]),
        ("the king's pawn, two squares", [("push", "king's pawn, two squares")]),
        ("and we both castled, me, him", [("castles", "both"), ("castles", "castled,")]),
        ("both of the players castle short", [("castles", "both"), ("castles", "castle short")]),
        ("he has eaten the b pawn", [("takes-piece", "eaten the b pawn")]),
        ("the bishop nabbed his h pawn", [("piece-takes-piece", "bishop nabbed his h pawn")]),
        ("d takes the c pawn", [("file-takes", "d takes the c pawn")]),
        ("so knight f3", [("piece-square", "knight f3"), ("square", "f3")]),
        ("the h pawn marches", [("push", "h pawn marches")]),
        ("rook d8, the one from a8,", [("piece-square", "rook d8, the one from a8,"), ("piece-square", "rook d8,")]),
        ("rook d8, the a rook, and", [("piece-square", "rook d8, the a rook,"), ("piece-square", "rook d8,")]),
        ("the c8 rook to c7", [("piece-square", "c8 rook to c7")]),
        ("and the f2 knight takes on e4", [("piece-takes-square", "f2 knight takes on e4")]),
        ("the b4 bishop takes the knight", [("piece-takes-piece", "b4 bishop takes the knight")]),
        ("his e7 bishop drops back", [("piece-back", "e7 bishop drops back")]),
        ("moves the rook a, d8 and", [("piece-square", "rook a, d8")]),
        ("pawn to g8. Promoting to a queen", [("promotes", "pawn to g8. Promoting to a queen")]),
        ("doubles rooks on the c file", [("doubles", "doubles rooks on the c file")]),
        ("promotes to a queen on f8", [("promotes", "promotes to a queen on f8")]),
        ("pushes the d pawn 1 square", [("push", "pushes the d pawn 1 square")]),
        ("pushes the h pawn up two squares", [("push", "pushes the h pawn up two squares")]),
        ("the king creeps into the corner and", [("piece-square", "king creeps into the corner")]),
        ("walked into the corner", [("move-square", "walked into the corner")]),
        ("he doubled on the f file", [("doubles", "doubled on the f file")]),
        ("the rook comes to the d file", [("piece-file", "rook comes to the d file")]),
        ("she goes long, he went short", [("castles", "goes long,"), ("castles", "went short")]),
        ("gave up the bishop for the knight", [("piece-takes-piece", "gave up the bishop for the knight")]),
        ("gives a rook for her knight on c3", [("piece-takes-square", "gives a rook for her knight on c3")]),
        ("swapped his knight for her bishop", [("piece-takes-piece", "swapped his knight for her bishop")]),
        ("two minutes after her. Rook b1", [("piece-square", "Rook b1")]),
        ("rook b8, the a rook of course", [("piece-square", "rook b8, the a rook")]),
        ("went with the other one to b7", [("move-square", "other one to b7")]),
        ("the f pawn starts rolling", [("push", "f pawn starts")]),
        ("f pawn, one more.", [("push", "f pawn, one more.")]),
        ("the a pawn takes two steps", [("push", "a pawn takes two steps")]),
        ("the d pawn makes a step", [("push", "d pawn makes a step")]),
        ("he grabs space with the b pawn", [("with-pawn", "with the b pawn")]),
        ("tucks her king in", [("castles", "tucks her king in")]),
        ("the rook enters the e file", [("piece-file", "rook enters the e file")]),
        ("f2, check. King takes h5, and", [("piece-takes-square", "King takes h5,"), ("piece-takes", "King takes")]),
        ("white gets her king under a roof", [("castles", "gets her king under a")]),
        ("whisks his king into the wings", [("castles", "whisks his king into the")]),
        ("the king to the short side", [("castles", "king to the short")]),
        ("castles, and so does black", [("castles", "castles,"), ("same", "so does black")]),
        ("knight f3, and she does the same", [("piece-square", "knight f3,"), ("same", "does the same")]),
        ("castles short. black follows suit", [("castles", "castles short."), ("same", "follows suit")]),
        ("pawn to d4, black replies in kind", [("piece-square", "pawn to d4,"), ("same", "replies in kind")]),
        ("castles, she answered likewise", [("castles", "castles,"), ("same", "answered likewise")]),
        ("pawn to c4. He copies her", [("piece-square", "pawn to c4."), ("same", "copies her")]),
        ("knight c3, the same from Fergus", [("piece-square", "knight c3,"), ("same", "the same from Fergus")]),
        ("the bishops come off", [("takes-piece", "bishops come off")]),
        ("queens off, rooks are traded", [("takes-piece", "queens off,"), ("takes-piece", "rooks are traded")]),
        ("the rook on f8 comes off", [("takes-square", "rook on f8 comes off")]),
        ("f2 disappears", [("takes-square", "f2 disappears")]),
        ("the g2 pawn is gone", [("takes-square", "g2 pawn is gone")]),
        ("the e pawn vanishes", [("takes-piece", "e pawn vanishes")]),
        ("off comes his knight on f3", [("takes-square", "off comes his knight on f3")]),
        ("off it comes", [("takes", "off it comes")]),
        ("helped myself to the pawn on e4", [("takes-square", "helped myself to the pawn on e4")]),
        ("eliminates the guard on f6", [("takes-square", "eliminates the guard on f6")]),
        ("a7 with the rook", [("square-with", "a7 with the rook"), ("square", "a7")]),
        ("the king pawn, e5", [("wing", "king pawn,")]),
        ("and back comes the king", [("piece-back", "back comes the king")]),
        ("into the corner with the king", [("move-square", "into the corner")]),
        ("the a pawn springs forward", [("push", "a pawn springs")]),
        ("knight c6, d e4", [("piece-square", "knight c6,"), ("file-takes-square", "d e4"), ("square", "e4")]),
        ("ed5", [("file-takes-square", "ed5")]),
        # without commas
        ("rook a1 c1", [("piece-square", "rook a1 c1"), ("piece-square", "rook a1")]),
        ("rook e2 b5", [("piece-square", "rook e2 b5"), ("piece-square", "rook e2")]),
        ("bishop takes and f4", [("piece-takes-square", "bishop takes and f4"), ("piece-takes", "bishop takes")]),
        ("bishop e7 queen takes b4 takes", [("piece-takes-square", "queen takes b4"), ("piece-takes", "queen takes")]),
    ],
)  # fmt: skip
def test_readings_that_are_kept(talk: str, kept: list[tuple[str, str]]) -> None:
    found = forms(talk)
    assert all(found.count(each) >= kept.count(each) for each in kept)


@pytest.mark.parametrize(
    ("talk", "form"),
    [
        ("trades queens", "promotes"),
        ("e8. queen to e7", "promotes"),  # across the end of a sentence
        ("d5 queen", "promotes"),  # not on the last rank
        ("c takes, bishop", "file-takes-piece"),
        ("knight. f3", "piece-square"),
        ("queen f7, takes d3", "piece-takes-square"),  # two moves
        ("of the file", "piece-file"),
        ("tucks her rook away", "castles"),
        ("the king is safe", "castles"),
        ("white won with the knight", "takes-with"),
        ("so he picked", "takes"),
        ("the h pawn stands", "push"),
        ("the h pawn takes h5", "push"),
        ("the side with the pawn", "with-pawn"),
        ("the side with a pawn", "with-pawn"),
        ("gave check with the rook", "piece-takes-piece"),
        ("the knight goes a long way", "castles"),
        ("brings the king into the game", "castles"),
        ("gets his king out of check", "castles"),
        ("puts her king behind f2", "castles"),
        ("takes on d5, and so does black", "same"),  # there is nothing more to take
        ("so does black", "same"),
        ("the knight goes to f3. Black replies with a kind smile", "same"),
        ("knight c3, the same knight", "same"),
        ("this helps white", "takes"),
        ("the bishop drops back", "takes-piece"),
        ("the queen comes to d1", "takes-piece"),
    ],
)
def test_readings_that_are_none(talk: str, form: str) -> None:
    assert form not in [found for found, _ in forms(talk)]


def test_what_the_other_side_does_too_goes_to_the_mirrored_square() -> None:
    same = next(mention for mention in mentions("the knight goes to f3, so does black") if mention.form == "same")
    after = chess.Board()
    after.push_san("Nf3")
    assert after.san(named_moves(same, after)[0].move) == "Nf6"


def test_a_pawn_that_takes_may_be_told_by_its_file_and_the_square_alone() -> None:
    board = chess.Board("rnbqkbnr/ppp1pppp/8/3p4/4P3/8/PPPP1PPP/RNBQKBNR w KQkq - 0 2")  # made up for this test
    takes = next(mention for mention in mentions("and e d5") if mention.form == "file-takes-square")
    assert board.san(named_moves(takes, board)[0].move) == "exd5"


@pytest.mark.parametrize("talk", ["pawn d5 knight c3", "the pawn to d5, knight c3", "a d5 knight goes to c3"])
def test_a_square_before_a_piece_is_where_it_comes_from_only_behind_a_definite_article(talk: str) -> None:
    assert not any(mention.origin and mention.parts[0][0] == "D" for mention in mentions(talk))


@pytest.mark.parametrize(
    ("talk", "goes"),
    [
        ("bishop d3 a6", True),
        ("bishop d3 a5", False),
        ("knight c3 c6", False),
        ("pawn e4 d5", True),
        ("pawn e4 g4", False),
    ],
)
def test_two_squares_behind_a_piece_are_one_move_only_where_it_can_go_so(talk: str, goes: bool) -> None:
    assert (talk in [mention.heard for mention in mentions(talk)]) is goes


def test_what_stands_within_a_tight_name_is_no_name_of_its_own() -> None:
    assert "square" not in [form for form, _ in forms("knight takes e5")]
    assert "takes-square" not in [form for form, _ in forms("e takes d5")]


def test_two_moves_are_not_one() -> None:
    heard = [each for _, each in forms("takes d8, rook d8")]
    assert "takes d8," in heard and "rook d8" in heard
    assert "takes d8, rook" not in heard


@pytest.mark.parametrize("talk", ["rook d1, the f rook goes to e1", "rook d1, the a knight,", "rook d1. the a rook,"])
def test_the_next_move_does_not_tell_pieces_apart(talk: str) -> None:
    assert [mention.last for mention in mentions(talk) if mention.first == 0] == [2]


def test_he_is_a_pronoun_before_a_victim() -> None:
    """ "He takes the pawn" is not "e takes the pawn"."""
    assert "he takes the pawn" not in [heard for _, heard in forms("he takes the pawn")]
    assert ("file-takes", "e takes the pawn") in forms("e takes the pawn")


def test_the_corner_is_the_one_that_the_king_can_reach() -> None:
    assert best("king into the corner", chess.Board("6k1/5q2/8/8/8/8/8/K7 b - - 0 1")) == "Kh8"
    assert best("king into the corner", chess.Board("6k1/5q2/8/8/8/8/1K6/8 w - - 0 1")) == "Ka1"


@pytest.mark.parametrize(("text", "san"), [("the d pawn goes one step", "d3"), ("pushes the d pawn two squares", "d4")])
def test_a_pawn_goes_as_many_squares_as_are_said(text: str, san: str) -> None:
    assert best(text, chess.Board()) == san


def test_a_piece_given_for_another_takes_it() -> None:
    board = chess.Board("r1bqkbnr/pppp1ppp/2n5/1B2p3/4P3/5N2/PPPP1PPP/RNBQK2R w KQkq - 0 4")
    assert best("gives up the bishop for the knight", board) == "Bxc6"


def test_no_pawn_retreats() -> None:
    """A pawn never moves back (FIDE Laws, 3.7), so "retreats to b6" is the knight's move."""
    board = chess.Board("4k3/1p6/8/3n4/8/8/8/4K3 b - - 0 1")
    assert best("retreats to b6", board) == best("withdraws to b6", board) == "Nb6"


@settings(max_examples=150, deadline=None)
@given(
    text=st.lists(st.sampled_from(WORDS), max_size=25).map(" ".join),
    again=st.lists(st.tuples(st.integers(0, 24), st.integers(1, 3)), max_size=6),
)
def test_laws_of_mentions(text: str, again: list[tuple[int, int]]) -> None:
    talk = heard_again(transcript(text), dict(again))
    found = spot(talk)
    assert found == spot(talk)
    assert [mention.first for mention in found] == sorted(mention.first for mention in found)
    names = {form for form, _ in ROWS} | {"opening"}
    for mention in found:
        assert 0 <= mention.first < mention.last <= len(talk.words)
        assert (mention.start, mention.end) == (talk.words[mention.first].start, talk.words[mention.last - 1].end)
        assert mention.heard == " ".join(word.text for word in talk.words[mention.first : mention.last])
        assert mention.form in names
        assert mention.cost >= 0 and mention.gaps >= 0 and mention.breaks >= 0
        for squares in (mention.to, mention.origin):
            assert squares is None or (len(squares) == 64 and min(squares) >= 0)
        for pieces in (mention.piece, mention.victim):
            assert pieces is None or (len(pieces) == 7 and min(pieces) == 0)
        for _, first, last in mention.parts:
            assert mention.first <= first < last <= mention.last


@pytest.mark.parametrize("text", ["rook a d1", "rook a, d1", "the rook a d1"])
def test_a_letter_between_a_piece_and_a_square_is_a_file(text: str) -> None:
    """And hardly ever an article: the other rook costs more."""
    board = chess.Board("r4rk1/8/8/8/8/8/8/R4RK1 w - - 0 20")
    legal = LegalMoves(board)
    from_a, from_f = (cost(text, legal, board.parse_san(san)) for san in ("Rad1", "Rfd1"))
    assert from_a + 1.5 < from_f


def test_castling_is_short_where_no_side_is_told() -> None:
    """Of 665 told so in the scripts of the fit five were long."""
    board = chess.Board("r3k2r/8/8/8/8/8/8/R3K2R w KQkq - 0 20")
    legal = LegalMoves(board)
    short, long = (cost("castles", legal, board.parse_san(san)) for san in ("O-O", "O-O-O"))
    assert short + 1.5 < long < 2.0


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("White brings the f1 rook to d1.", {"f1 rook to d1."}),
        ("his c3 knight to d5.", {"c3 knight to d5."}),
        ("bishop f1 rook to d1.", {"bishop f1", "rook to d1."}),  # two moves
        ("takes f1 rook to d1.", {"rook to d1."}),
    ],
)
def test_a_piece_told_by_its_square_is_one_name(text: str, names: set[str]) -> None:
    assert {each.heard for each in mentions(text) if each.form == "piece-square"} == names


@settings(max_examples=100, deadline=None)
@given(
    text=st.lists(st.sampled_from(WORDS), max_size=8).map(" ".join), choices=st.lists(st.integers(0, 255), max_size=30)
)
def test_laws_of_named_moves(text: str, choices: list[int]) -> None:
    board = chess.Board()
    for choice in choices:
        moves = list(board.legal_moves)
        if moves:
            board.push(moves[choice % len(moves)])
    before = board.fen()
    for mention in mentions(text):
        named = named_moves(mention, board)
        assert all(board.is_legal(each.move) for each in named)
        assert [each.cost for each in named] == sorted(each.cost for each in named)
        assert all(each.cost >= 0 for each in named)
        assert len({each.move for each in named}) == len(named)
    assert board.fen() == before
