"""What the desk's page is told, as JSON values. assets/state.js says what each member holds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import chess

from sync.errors import InputError
from sync.files.page.data import changes as square_changes
from sync.follow.tree import Game, RunnerUp
from sync.lesson.doubts import Doubt, doubts
from sync.lesson.edits import edit_to_json, lines_of
from sync.lesson.graft import Changes, Reading, labels_of
from sync.lesson.speaker import load_speaker
from sync.mentions import named_moves, spot
from sync.transcript import Transcript, Word

if TYPE_CHECKING:
    from cli.desk.desk import Desk

MOST_OPTIONS = 5
DEAREST = 4.0
"""Moves that the words might name are offered up to this cost (nats) where the search names no runner-up."""


def revision_shown(desk: Desk) -> dict[str, Any]:
    revision, history = desk.revision, desk.opened.journal.history
    lesson, words = revision.lesson, revision.transcript.words
    ends = [word.end for word in words]
    queue = doubts(lesson.games, desk.opened.edits, ends)
    return {
        "stamp": desk.stamp,
        "number": history.number,
        "name": desk.opened.name,
        "title": lesson.title,
        "media": None if lesson.media is None else lesson.media.name,
        "duration": lesson.media.duration if lesson.media else revision.transcript.duration,
        "speaker": desk.opened.project.settings.speaker,
        "forms": _forms(desk.opened.project.settings.speaker),
        "following": desk.following,
        "fault": desk.fault,
        "edits": [edit_to_json(edit) for edit in history.made],
        "undone": len(history.undone),
        "broken": len(history.broken),
        "unfit": [{"edit": edit_to_json(unfit.edit), "why": unfit.why} for unfit in revision.unfit],
        "words": [[word.text, word.start, word.end] for word in words],
        "games": [_game(game, ends) for game in lesson.games],
        "doubts": doubts_shown(queue, lesson.games),
        "chapters": [[chapter.start, chapter.end, chapter.title] for chapter in lesson.chapters],
        "quizzes": [[quiz.start, quiz.stop, quiz.game, quiz.ply] for quiz in lesson.quizzes],
    }


def position_shown(start_fen: str, line: Sequence[str]) -> dict[str, Any]:
    """position: 64 characters, a1 to h8. legal: UCI, SAN and what changes on the board. Raises InputError."""
    board = chess.Board(start_fen)
    try:
        for uci in line:
            board.push(board.parse_uci(uci))
    except ValueError as error:
        raise InputError("that position is not in the lesson any more") from error
    last = board.peek() if board.move_stack else None
    return {
        "position": _squares(board),
        "white": board.turn == chess.WHITE,
        "number": board.fullmove_number,
        "last": None if last is None else [chess.square_name(last.from_square), chess.square_name(last.to_square)],
        "legal": [
            [move.uci(), board.san(move), square_changes(board, move)]
            for move in sorted(board.legal_moves, key=chess.Move.uci)
        ],
    }


def changes_shown(changed: Changes) -> dict[str, Any]:
    return {
        "moved": changed.moved,
        "readings": [
            {"at": each.at, "heard": each.heard, "before": _reading(each.before), "after": _reading(each.after)}
            for each in changed.readings
        ],
    }


def _forms(speaker: str) -> list[list[str]]:
    return [[form.heard, form.means] for form in load_speaker(speaker).forms] if speaker else []


def _reading(reading: Reading | None) -> dict[str, Any] | None:
    return None if reading is None else {"label": reading.label, "played": reading.played}


def _game(game: Game, ends: Sequence[float]) -> dict[str, Any]:
    labels = labels_of(game)
    opening = chess.Board(game.start_fen)
    return {
        "opening": _squares(opening),
        "white": opening.turn == chess.WHITE,
        "tags": game.tags,
        "plies": [
            {
                "id": ply.id,
                "parent": ply.parent,
                "uci": ply.uci,
                "san": ply.san,
                "label": labels[ply.id],
                "played": ply.played,
                "inferred": ply.inferred,
                "confidence": ply.confidence,
                "nags": list(ply.nags),
                "comment": ply.comment,
                "moments": [
                    [moment.start, moment.end, moment.first_word, moment.named_end, moment.end_word, moment.spoken,
                     ends[moment.named_end - 1] if moment.named_end <= len(ends) else moment.end]
                    for moment in ply.moments
                ],
            }
            for ply in game.plies
        ],
    }  # fmt: skip


def doubts_shown(found: Sequence[Doubt], games: Sequence[Game]) -> list[dict[str, Any]]:
    lines = [lines_of(game) for game in games]
    labels = [labels_of(game) for game in games]
    return [
        _doubt(doubt, games[doubt.game], labels[doubt.game][lines[doubt.game][(*doubt.line, doubt.uci)].id])
        for doubt in found
    ]


def _doubt(doubt: Doubt, game: Game, label: str) -> dict[str, Any]:
    return {
        "at": doubt.at,
        "end": doubt.end,
        "first": doubt.first_word,
        "last": doubt.end_word,
        "heard": doubt.heard,
        "game": doubt.game,
        "line": list(doubt.line),
        "uci": doubt.uci,
        "san": doubt.san,
        "label": label,
        "role": doubt.role,
        "confidence": doubt.confidence,
        "reason": doubt.reason,
        "options": [[runner.uci, runner.san, runner.probability] for runner in _options(doubt, game)],
    }


def _options(doubt: Doubt, game: Game) -> list[RunnerUp]:
    """The runners-up; where they are few, then other moves that the words may name, with probability 0 for unknown."""
    options = [runner for runner in doubt.runners_up if runner.uci != doubt.uci][:MOST_OPTIONS]
    board = chess.Board(game.start_fen)
    for uci in doubt.line:
        board.push_uci(uci)
    texts = doubt.heard.split()
    words = tuple(Word(text, float(number), number + 1.0) for number, text in enumerate(texts))
    named = sorted(
        (each for mention in spot(Transcript(words, float(len(texts)), "")) for each in named_moves(mention, board)),
        key=lambda each: (each.cost, each.move.uci()),
    )
    taken = {doubt.uci, *(runner.uci for runner in options)}
    for each in named:
        if len(options) >= MOST_OPTIONS or each.cost > DEAREST:
            break
        if each.move.uci() not in taken:
            taken.add(each.move.uci())
            options.append(RunnerUp(each.move.uci(), board.san(each.move), 0.0))
    return options


def _squares(board: chess.Board) -> str:
    return "".join(piece.symbol() if (piece := board.piece_at(square)) else "-" for square in chess.SQUARES)
