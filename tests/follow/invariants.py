"""What holds for the tree of any talk (see sync/follow/tree.py)."""

from __future__ import annotations

from itertools import pairwise

import chess
import pytest

from sync.follow.tree import Game, Ply
from sync.transcript.words import Transcript


def check(game: Game, transcript: Transcript) -> None:
    """Asserts all of it."""
    assert (game.start, game.end) == (0.0, transcript.duration)
    assert (game.first_word, game.end_word) == (0, len(transcript.words))
    _check_order(game)
    _check_moves(game)
    for ply in game.plies:
        _check_moments(ply, transcript)
        assert 0.0 <= ply.confidence <= 1.0
        assert "\n" not in ply.reason
    _check_words(game)


def _check_order(game: Game) -> None:
    """Parents stand before children; the played ply first among its siblings; what was played is one line."""
    seen: dict[int, Ply] = {}
    children: dict[int | None, list[Ply]] = {}
    for ply in game.plies:
        assert ply.id not in seen
        assert ply.parent is None or ply.parent in seen
        assert not ply.played or ply.parent is None or seen[ply.parent].played
        seen[ply.id] = ply
        children.setdefault(ply.parent, []).append(ply)
    for siblings in children.values():
        assert [ply.played for ply in siblings[1:]] == [False] * (len(siblings) - 1)
        assert len({ply.uci for ply in siblings}) == len(siblings)


def _check_moves(game: Game) -> None:
    """Every move and every runner-up is legal, and SAN is that of the position."""
    after: dict[int | None, chess.Board] = {None: chess.Board(game.start_fen)}
    for ply in game.plies:
        board = after[ply.parent]
        move = chess.Move.from_uci(ply.uci)
        assert board.is_legal(move)
        assert board.san(move) == ply.san
        for other in ply.runners_up:
            assert board.is_legal(chess.Move.from_uci(other.uci))
            assert board.san(chess.Move.from_uci(other.uci)) == other.san
            assert other.uci != ply.uci
            assert 0.0 < other.probability <= 1.0
        shares = [other.probability for other in ply.runners_up]
        assert shares == sorted(shares, reverse=True)
        assert sum(shares) <= 1.0 + 1e-6
        after[ply.id] = board.copy(stack=False)
        after[ply.id].push(move)


def _check_moments(ply: Ply, transcript: Transcript) -> None:
    assert ply.inferred == (not ply.moments)
    words = transcript.words
    for moment in ply.moments:
        assert 0 <= moment.first_word < moment.named_end <= moment.end_word <= len(words)
        assert moment.start == pytest.approx(words[moment.first_word].start)
        assert moment.start <= moment.end <= transcript.duration + 1e-6
        assert moment.heard == " ".join(word.text for word in words[moment.first_word : moment.named_end])
        assert moment.spoken
    for one, two in pairwise(ply.moments):
        assert one.start <= two.start


def _check_words(game: Game) -> None:
    """No words name two moves, and the talk about one ends before the next is named."""
    moments = sorted((moment for ply in game.plies for moment in ply.moments), key=lambda each: each.first_word)
    for one, two in pairwise(moments):
        assert one.named_end <= two.first_word
        assert one.end_word <= two.first_word or one.first_word == two.first_word
