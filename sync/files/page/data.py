"""What the page's script reads: positions, moments, steps and questions, as compact JSON."""

from __future__ import annotations

import json
from itertools import pairwise
from typing import Any

import chess

from sync.files.page.moves import game_name, glyphs
from sync.files.page.tree import numbered
from sync.files.steps import LessonMoment, Step, board_steps, lesson_moments
from sync.lesson.lesson import Game, Lesson, Quiz
from sync.transcript.words import Transcript

START = -1
"""Index of the start position among a game's plies."""

PLAYED = 1
INFERRED = 2


def page_data(lesson: Lesson, transcript: Transcript, link: str | None) -> str:
    """JSON text; assets/lesson.js says what each array holds.

    Plies are named by their index in the game, positions are told as changes of the position before: square and piece
    (as in FEN), "-" for an emptied square. The square that the move comes from stands first, then the one it goes to.
    Times are in seconds, those of words in hundredths after the word before.
    """
    indices = [{ply.id: index for index, ply in enumerate(game.plies)} for game in lesson.games]

    def index_of(game: int, ply: int | None) -> int:
        return START if ply is None else indices[game][ply]

    moments = lesson_moments(lesson)
    data = {
        "title": lesson.title,
        "duration": _ms(lesson.media.duration if lesson.media else transcript.duration),
        "link": link,
        "games": [_game(game, indices[number]) for number, game in enumerate(lesson.games)],
        "moments": [
            [
                _ms(each.moment.start),
                _ms(each.moment.end),
                each.game,
                index_of(each.game, each.ply),
                each.moment.first_word,
                each.moment.named_end,
            ]
            for each in moments
        ],
        "steps": [_step(step, moments) for step in board_steps(lesson)],
        "words": _word_times(transcript),
        "chapters": [[_ms(chapter.start), _ms(chapter.end), chapter.title] for chapter in lesson.chapters],
        "quizzes": [_quiz(quiz, lesson, transcript, indices[quiz.game]) for quiz in lesson.quizzes],
    }
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def changes(before: chess.Board, move: chess.Move) -> str:
    """What a legal move changes on the board.

    >>> changes(chess.Board(), chess.Move.from_uci("g1f3"))
    'g1-f3N'
    """
    after = before.copy(stack=False)
    after.push(move)
    ends = [move.from_square, move.to_square]
    others = [
        square for square in chess.SQUARES if square not in ends and before.piece_at(square) != after.piece_at(square)
    ]
    return "".join(f"{chess.square_name(square)}{_symbol(after, square)}" for square in [*ends, *others])


def _game(game: Game, indices: dict[int, int]) -> dict[str, Any]:
    board = chess.Board(game.start_fen)
    numbers = numbered(game)
    plies = [
        [
            START if ply.parent is None else indices[ply.parent],
            ply.id,
            f"{numbers[ply.id]}{ply.san}{glyphs(ply)}",
            changes(numbers[ply.id].before, chess.Move.from_uci(ply.uci)),
            (PLAYED if ply.played else 0) + (INFERRED if ply.inferred else 0),
            round(ply.confidence * 100),
            *_doubts(ply.reason, [[runner.san, round(runner.probability * 100)] for runner in ply.runners_up]),
        ]
        for ply in game.plies
    ]
    return {
        "name": game_name(game),
        "opening": "".join(_symbol(board, square) for square in chess.SQUARES),
        "white": board.turn == chess.WHITE,
        "plies": plies,
    }


def _doubts(reason: str, runners_up: list[list[Any]]) -> list[Any]:
    return [reason, runners_up] if reason or runners_up else []


def _quiz(quiz: Quiz, lesson: Lesson, transcript: Transcript, indices: dict[int, int]) -> dict[str, Any]:
    game = lesson.games[quiz.game]
    board = chess.Board(game.start_fen)
    for ply, position in game.boards():
        if ply.id == quiz.ply:
            board = position
    legal = sorted(board.legal_moves, key=chess.Move.uci)
    plies = {ply.id: ply for ply in game.plies}
    return {
        "start": _ms(quiz.start),
        "stop": _ms(quiz.stop),
        "game": quiz.game,
        "ply": START if quiz.ply is None else indices[quiz.ply],
        "white": board.turn == chess.WHITE,
        "asked": " ".join(word.text for word in transcript.words if quiz.start <= word.start < quiz.stop),
        "legal": [[move.uci(), board.san(move), changes(board, move)] for move in legal],
        "answers": [[plies[answer].uci, indices[answer]] for answer in quiz.answers],
    }


def _step(step: Step, moments: list[LessonMoment]) -> int | list[float]:
    """The moment's index where the step begins with it, else start and moment, else start, -1 and game."""
    if step.moment is None:
        return [_ms(step.start), -1, step.game]
    if step.start == moments[step.moment].moment.start:
        return step.moment
    return [_ms(step.start), step.moment]


def _word_times(transcript: Transcript) -> list[int]:
    hundredths = [round(word.start * 100) for word in transcript.words]
    return [after - before for before, after in pairwise([0, *hundredths])]


def _symbol(board: chess.Board, square: chess.Square) -> str:
    piece = board.piece_at(square)
    return piece.symbol() if piece else "-"


def _ms(seconds: float) -> float | int:
    rounded = round(seconds, 3)
    return int(rounded) if rounded == int(rounded) else rounded
