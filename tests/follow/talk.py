"""Small talks with even times, and the games that are followed in them."""

from __future__ import annotations

import re
from collections.abc import Sequence

import chess

from sync.follow import Fix, follow
from sync.follow.tree import Game, Ply
from sync.mentions import spot
from sync.transcript.words import Transcript, Word

PACE = 0.4
"""Seconds from one word to the next; each sounds for three quarters of it, and a sentence is followed by a pause."""
PAUSE = 0.4


def talk(text: str) -> Transcript:
    words: list[Word] = []
    clock = 0.0
    for each in text.split():
        words.append(Word(each, round(clock, 3), round(clock + 0.75 * PACE, 3)))
        clock += PACE + (PAUSE if each.endswith((".", "?", "!")) else 0.0)
    return Transcript(tuple(words), round(clock, 3), "test")


def followed(
    text: str,
    start_fen: str = chess.STARTING_FEN,
    moves: Sequence[chess.Move] | None = None,
    fixes: Sequence[Fix] = (),
) -> Game:
    """The one game of a talk."""
    transcript = talk(text)
    (game,) = follow(transcript, spot(transcript), start_fen=start_fen, moves=moves, fixes=fixes)
    return game


def line(game: Game, played: bool = True) -> str:
    """SAN of the played plies in order, or of the plies that were only considered, apart by spaces."""
    return " ".join(ply.san for ply in game.plies if ply.played == played)


def ply(game: Game, san: str) -> Ply:
    """The first ply with a SAN."""
    return next(each for each in game.plies if each.san == san)


def before(game: Game, each: Ply) -> str:
    """SAN of the ply's parent, empty at the start."""
    return "" if each.parent is None else next(other.san for other in game.plies if other.id == each.parent)


def game_moves(sans: str, start_fen: str = chess.STARTING_FEN) -> list[chess.Move]:
    board = chess.Board(start_fen)
    return [board.push_san(san) for san in sans.split()]


def at(text: str, words: str) -> tuple[float, float]:
    """Seconds of the first place where the words stand in the text, punctuation included."""
    found = re.search(rf"(?<!\S){re.escape(words)}(?!\S)", text)
    assert found is not None
    first = len(text[: found.start()].split())
    transcript = talk(text)
    return transcript.words[first].start, transcript.words[first + len(words.split()) - 1].end
