"""Words as a recogniser hands them over, and what the spotting makes of them."""

from __future__ import annotations

from functools import cache

import chess

from sync.mentions import Mention, spot
from sync.mentions.match import LegalMoves
from sync.transcript.words import Transcript, Word

SECONDS_A_WORD = 0.3


def transcript(text: str) -> Transcript:
    """Each word lasts SECONDS_A_WORD, none pauses."""
    texts = text.split()
    words = tuple(
        Word(each, round(index * SECONDS_A_WORD, 3), round((index + 1) * SECONDS_A_WORD, 3))
        for index, each in enumerate(texts)
    )
    return Transcript(words, SECONDS_A_WORD * len(texts), "test")


@cache
def mentions(text: str) -> tuple[Mention, ...]:
    return spot(transcript(text))


def whole(text: str) -> list[Mention]:
    """The readings that take in all words; an article at the start may stand outside."""
    end, start = len(text.split()), int(text.lower().startswith("the "))
    return [mention for mention in mentions(text) if mention.first <= start and mention.last == end]


def cost(text: str, legal: LegalMoves, move: chess.Move) -> float:
    """Nats for the cheapest reading of the whole text as the move, infinite when there is none."""
    named = (each for mention in whole(text) for each in legal.named(mention) if each.move == move)
    return min((each.cost for each in named), default=float("inf"))


def best(text: str, board: chess.Board) -> str:
    """SAN of the move that the whole text names most cheaply; empty when it names none."""
    named = [each for mention in whole(text) for each in LegalMoves(board).named(mention)]
    return board.san(min(named, key=lambda each: each.cost).move) if named else ""
