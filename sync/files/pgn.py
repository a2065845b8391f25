"""The lesson as PGN in export format.

Source: Steven J. Edwards, "Standard: Portable Game Notation Specification and Implementation Guide", 1994. The numbers
of its sections stand beside the rules below. Encoding is the one departure: the standard (4.1) knows ISO 8859-1 only,
names from the rest of the world need UTF-8.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import chess

from sync.files.text import clock, one_line
from sync.lesson.lesson import Game, Lesson, Media, Moment, Ply
from sync.lesson.speech import flat_text, moments_of, shown_words, spoken_words
from sync.transcript.words import Transcript, Word

LINE_WIDTH = 79
"""Printing characters a line (8.2.1: "less than 80")."""

STRING_LENGTH = 255
"""Characters between the quotes of a tag value (7)."""

SEVEN_TAG_ROSTER = {
    "Event": "?",
    "Site": "?",
    "Date": "????.??.??",
    "Round": "?",
    "White": "?",
    "Black": "?",
    "Result": "*",
}
"""Names in their order (8.1.1), each with the value for unknown."""

TAG_NAME = re.compile(r"[A-Za-z0-9_]{1,255}")  # 8.1
RESULTS = ("1-0", "0-1", "1/2-1/2")

ONLY_CONSIDERED = "Only considered:"
"""Opens the comment of the first main-line move that was not played."""

MOMENTS_APART = " ... "
"""Stands in a comment between the talk of one moment and of the next."""

GLUE = "\0"
"""A space at which no line may break; never part of a comment, which holds no control characters."""

COMMENT_CHARACTERS = {"{": "(", "}": ")", "[%": "(%"}
"""What would end a comment (5) or pass for an embedded command in it."""

LINE_ESCAPE = re.compile(r"(?<!\S)%+")
"""Percent signs that could come to stand in a line's first column, where they hide the line (6)."""

LONG_WORD = re.compile(r"(\S{70})(?=\S)")
"""More than fits in a line with braces around it: cut, for no line may be longer (8.2.1)."""


def pgn_text(lesson: Lesson, transcript: Transcript) -> str:
    """All games of the lesson, each as one PGN game, with what was said about each move as its comment.

    Empty when the lesson has no games.
    """
    shown = shown_words(transcript.words, moments_of(lesson.games))
    games = (_game_text(game, lesson, _Talk(transcript.words, shown)) for game in lesson.games)
    return "\n".join(games)


def main_line(game: Game) -> list[Ply]:
    """The plies that PGN's main line holds: those played, then the first side line after the last of them."""
    children = _children(game)
    line: list[Ply] = []
    while following := children.get(line[-1].id if line else None):
        line.append(following[0])
    return line


def result(game: Game) -> str:
    """The Result tag where the game has one, else what the last played position says, else "*" (8.1.1.7)."""
    if (told := game.tags.get("Result", "*")) in RESULTS:
        return told
    played = [board for ply, board in game.boards() if ply.played]
    outcome = played[-1].outcome() if played else None
    return outcome.result() if outcome else "*"


def cue(start: float, end: float) -> str:
    """The embedded command that ties a move to a stretch of the recording (seconds).

    >>> cue(83.45, 91.05)
    '[%cue 0:01:23.450 0:01:31.050]'
    """
    return f"[%cue {_time(start)} {_time(end)}]"


@dataclass(frozen=True, slots=True)
class _Talk:
    """The heard words, and for each of them the words that are shown."""

    words: Sequence[Word]
    shown: Sequence[tuple[Word, ...]]

    def about(self, moment: Moment) -> str:
        if not moment.spoken.split() or moment.first_word >= moment.named_end:
            return flat_text(self.shown[moment.first_word : moment.end_word])
        return flat_text([spoken_words(self.words, moment), *self.shown[moment.named_end : moment.end_word]])


def _game_text(game: Game, lesson: Lesson, talk: _Talk) -> str:
    tags = "\n".join(f'[{name} "{_tag_value(value)}"]' for name, value in _tags(game, lesson).items())
    movetext = " ".join([*_opening(game, talk), *_movetext(game, talk), result(game)])
    lines = textwrap.wrap(movetext, LINE_WIDTH, break_on_hyphens=False)
    return f"{tags}\n\n{chr(10).join(lines).replace(GLUE, ' ')}\n"


def _tags(game: Game, lesson: Lesson) -> dict[str, str]:
    """Seven Tag Roster first, the other tags in ASCII order (8.1.1)."""
    title = {"Event": lesson.title} if lesson.title else {}
    told = {name: value for name, value in game.tags.items() if TAG_NAME.fullmatch(name)}
    known = {name: told[name] for name, unknown in SEVEN_TAG_ROSTER.items() if told.get(name, "") not in ("", unknown)}
    roster = SEVEN_TAG_ROSTER | title | known
    others = {name: value for name, value in told.items() if name not in roster and name not in ("FEN", "SetUp")}
    others |= _recording_tags(lesson.media) | _start_tags(game)
    return roster | {"Result": result(game)} | dict(sorted(others.items()))


def _recording_tags(media: Media | None) -> dict[str, str]:
    return {"Recording": media.name, "RecordingSHA256": media.sha256} if media else {}


def _start_tags(game: Game) -> dict[str, str]:
    """9.7: both tags for any start position but the usual one."""
    return {} if game.start_fen == chess.STARTING_FEN else {"SetUp": "1", "FEN": game.start_fen}


def _tag_value(value: str) -> str:
    """7: backslash and quote escaped, no control characters, 255 characters at most."""
    written = ""
    for char in one_line(value):
        escaped = f"\\{char}" if char in '\\"' else char
        if len(written) + len(escaped) > STRING_LENGTH:
            break
        written += escaped
    return written


def _opening(game: Game, talk: _Talk) -> Iterator[str]:
    """The talk before the first move, as a comment."""
    first = min((moment for ply in game.plies for moment in ply.moments), key=_onset, default=None)
    end_word, end = (first.first_word, first.start) if first else (game.end_word, game.end)
    if text := _comment_text(flat_text(talk.shown[game.first_word : end_word])):
        yield f"{{{_glued(cue(game.start, end))} {text}}}"


def _onset(moment: Moment) -> tuple[int, float]:
    return moment.first_word, moment.start


def _movetext(game: Game, talk: _Talk) -> Iterator[str]:
    children = _children(game)
    boards: dict[int | None, chess.Board] = {None: chess.Board(game.start_fen)}
    boards |= {ply.id: board for ply, board in game.boards()}
    first_considered = next((ply for ply in main_line(game) if not ply.played), None)

    def line(siblings: list[Ply]) -> Iterator[str]:
        """The first of the siblings, the others as variations to it (8.2.5), then what follows the first."""
        number_due = True
        while siblings:
            ply, *others = siblings
            comment = _comment(ply, talk, ply is first_considered)
            yield from _move(boards[ply.parent], ply, number_due)
            yield from comment
            for other in others:
                number, *middle, last = line([other])
                yield from [f"({number}", *middle, f"{last})"]
            number_due = bool(comment or others)
            siblings = children.get(ply.id, [])

    yield from line(children.get(None, []))


def _children(game: Game) -> dict[int | None, list[Ply]]:
    children: dict[int | None, list[Ply]] = {}
    for ply in game.plies:
        children.setdefault(ply.parent, []).append(ply)
    return children


def _move(board: chess.Board, ply: Ply, number_due: bool) -> Iterator[str]:
    """Move number indication (8.2.2.2: black's only where something stood between), SAN (8.2.3), NAGs (8.2.4)."""
    if board.turn == chess.WHITE:
        yield f"{board.fullmove_number}."
    elif number_due:
        yield f"{board.fullmove_number}..."
    yield board.san(chess.Move.from_uci(ply.uci))
    yield from (f"${nag}" for nag in ply.nags)


def _comment(ply: Ply, talk: _Talk, first_considered: bool) -> list[str]:
    """The ply's comment in braces (5), as one item; none when there is nothing to say."""
    said = MOMENTS_APART.join(talk.about(moment) for moment in ply.moments)
    cues = [_glued(cue(moment.start, moment.end)) for moment in ply.moments]
    marker = [_glued(ONLY_CONSIDERED)] if first_considered else []
    text = _comment_text(said if ply.comment is None else ply.comment)
    inside = " ".join([*cues, *marker, *filter(None, [text])])
    return [f"{{{inside}}}"] if inside else []


def _comment_text(text: str) -> str:
    text = one_line(text)
    for forbidden, written in COMMENT_CHARACTERS.items():
        text = text.replace(forbidden, written)
    return LINE_ESCAPE.sub("percent ", LONG_WORD.sub(r"\1 ", text))


def _glued(text: str) -> str:
    return text.replace(" ", GLUE)


def _time(seconds: float) -> str:
    hours, minutes, whole, milliseconds = clock(round(seconds * 1000))
    return f"{hours}:{minutes:02}:{whole:02}.{milliseconds:03}"
