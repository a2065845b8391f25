"""Spotted mentions as a file to look at."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import chess

from sync.mentions import Mention

SAID = ("takes", "trade", "castle", "check", "mate", "en_passant", "back", "here", "other", "steps")
"""Fields of a mention that hold when they are not empty."""


def mentions_json(mentions: Sequence[Mention]) -> str:
    """A list with an object a line; times in seconds, words as indices into the transcript."""
    rows = ",\n".join(f" {json.dumps(_row(mention), ensure_ascii=False)}" for mention in mentions)
    return f"[\n{rows}\n]\n" if rows else "[]\n"


def _row(mention: Mention) -> dict[str, Any]:
    row: dict[str, Any] = {
        "start": mention.start,
        "end": mention.end,
        "words": [mention.first, mention.last],
        "heard": mention.heard,
        "form": mention.form,
    }
    for field, costs in (("piece", mention.piece), ("victim", mention.victim)):
        if costs:
            row[field] = chess.piece_name(min(chess.PIECE_TYPES, key=costs.__getitem__))
    for field, costs in (("from", mention.origin), ("to", mention.to)):
        if costs:
            cheapest = min(costs)
            row[field] = [chess.square_name(square) for square in chess.SQUARES if costs[square] == cheapest]
    if mention.promotion:
        row["promotion"] = chess.piece_name(mention.promotion)
    if mention.line:
        row["line"] = list(mention.line)
    return row | {field: value for field in SAID if (value := getattr(mention, field))}
