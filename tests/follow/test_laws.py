"""Laws that hold for any talk, whatever it says."""

from __future__ import annotations

import hashlib
import subprocess
import sys
from random import Random

import chess
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sync.follow import Fix, follow
from sync.mentions import spot
from tests.follow import invariants
from tests.follow.talk import followed, talk
from tests.follow.test_talks import SIDE_LINES

ANY_TALK = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])

STARTS = (
    chess.STARTING_FEN,
    "r3k2r/pppq1ppp/2npbn2/2b1p3/2B1P3/2NPBN2/PPPQ1PPP/R3K2R b KQkq - 4 8",
    "8/P6k/8/3pP3/8/7K/p7/8 w - d6 0 40",
    "7k/5Q2/6K1/8/8/8/8/8 b - - 0 1",
)
"""The usual one, one with everything developed, one with promotions and en passant, and a stalemate."""

WORDS = """knight bishop rook queen king pawn knights night takes take takes, takes. castles check mate
a3 b4 c3 c4 d3 d4 d5 d6 e4 e5 e6 f3 f6 g3 g5 h3 a8 e2 e7 f7 to on f6, e5. c5? Nf3 Bc4 exd5 O-O
e d the b one four white black white's black's plays played instead but back here now then in game could would
what if after before again so let's look variation move two 12 Sicilian French defence queens promotes""".split()

words = st.lists(st.sampled_from(WORDS), max_size=35).map(" ".join)
sentences = SIDE_LINES.split(". ")
shuffled = st.permutations(sentences).map(". ".join)
roles = st.sampled_from([None, "played", "considered", "repeat"])
ucis = st.sampled_from([None, "e2e4", "e7e5", "g1f3", "b8c6", "d2d4", "f8c5", "a7a8q", "a1a8", "e1g1", "f1b5"])
lines = st.sampled_from([None, (), ("e2e4",), ("e2e4", "e7e5", "g1f3"), ("e7e5",)])
spans = st.tuples(st.floats(0, 12), st.floats(0, 3))
any_fixes = st.lists(
    st.builds(lambda span, uci, role, line: Fix(span[0], sum(span), uci, role, line), spans, ucis, roles, lines),
    max_size=3,
)


def apart(fixes: list[Fix]) -> list[Fix]:
    """Those of them that do not begin before another one's end, in time order."""
    kept: list[Fix] = []
    for fix in sorted(fixes, key=lambda each: (each.start, each.end)):
        if not kept or fix.start > kept[-1].end:
            kept.append(fix)
    return kept


def random_game(seed: int) -> list[chess.Move]:
    board, random = chess.Board(), Random(seed)
    for _ in range(random.randrange(20)):
        board.push(random.choice(list(board.legal_moves)))
    return board.move_stack


@ANY_TALK
@given(text=words, start=st.sampled_from(STARTS))
def test_any_words(text: str, start: str) -> None:
    invariants.check(followed(text, start), talk(text))


@settings(ANY_TALK, max_examples=8)
@given(text=shuffled)
def test_a_talk_in_any_order(text: str) -> None:
    invariants.check(followed(text), talk(text))


@settings(ANY_TALK, max_examples=25)
@given(text=st.one_of(words, shuffled), seed=st.integers(0, 999))
def test_any_words_about_any_given_game(text: str, seed: int) -> None:
    moves = random_game(seed)
    game = followed(text, moves=moves)
    invariants.check(game, talk(text))
    played = [ply.uci for ply in game.plies if ply.played]
    assert played == [move.uci() for move in moves[: len(played)]]


@settings(ANY_TALK, max_examples=15)
@given(text=st.one_of(words, st.just(SIDE_LINES)), found=any_fixes.map(apart))
def test_any_fixes(text: str, found: list[Fix]) -> None:
    invariants.check(followed(text, fixes=found), talk(text))


def test_fixes_that_overlap() -> None:
    found = [Fix(3.0, 4.0, "e2e4"), Fix(2.5, 5.5, "b8c6", "repeat", ("e7e5",))]
    invariants.check(followed(SIDE_LINES, fixes=found), talk(SIDE_LINES))


@pytest.mark.parametrize("start", STARTS)
def test_all_words_in_a_row(start: str) -> None:
    text = " ".join(WORDS)
    invariants.check(followed(text, start), talk(text))


def test_the_same_talk_gives_the_same_tree() -> None:
    assert followed(SIDE_LINES) == followed(SIDE_LINES)


def test_nothing_is_kept_from_one_talk_to_the_next() -> None:
    first = followed(SIDE_LINES)
    followed("White begins with d4. Black plays d5, and c4, e6.")
    assert followed(SIDE_LINES) == first


PROGRAM = """
import hashlib
from tests.follow.talk import followed
from tests.follow.test_talks import SIDE_LINES
print(hashlib.sha256(repr(followed(SIDE_LINES)).encode()).hexdigest())
"""


@pytest.mark.parametrize("seed", ["0", "1", "4242"])
def test_the_order_of_hashes_does_not_matter(seed: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], env={"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(sys.path)},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.strip() == hashlib.sha256(repr(followed(SIDE_LINES)).encode()).hexdigest()


def test_mentions_in_any_container() -> None:
    transcript = talk(SIDE_LINES)
    mentions = spot(transcript)
    assert follow(transcript, list(mentions)) == follow(transcript, mentions)
