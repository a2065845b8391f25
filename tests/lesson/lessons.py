"""Lessons for tests: written down by hand in a small notation, and random ones."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from random import Random

import chess
from hypothesis import settings
from hypothesis import strategies as st

from sync.lesson.lesson import Chapter, Game, Lesson, Media, Moment, Ply, Quiz, RunnerUp
from sync.transcript.words import Transcript, Word

LAW = settings(deadline=None, max_examples=80)
"""For laws that hold for any lesson: no time limit, for the machine may be busy."""

MEDIA = Media("club evening.mp4", "0f" * 32, 600.0)
MARK = re.compile(r"\{([^|{}]+)\|([^{}]+)\}|(\[)|(\])|<pause ([\d.]+)>|([^\s{}\[\]<>]+)")

STARTS = (
    chess.STARTING_FEN,
    "r3k2r/pppq1ppp/2npbn2/2b1p3/2B1P3/2NPBN2/PPPQ1PPP/R3K2R b KQkq - 4 8",
    "8/P6k/8/3pP3/8/7K/p7/8 w - d6 0 40",
    "4k3/8/8/8/8/8/4P3/R3K2R w KQ - 0 1",
)


def told(
    talk: str, *, start: float = 0.0, pace: float = 0.4, fen: str = chess.STARTING_FEN
) -> tuple[Lesson, Transcript]:
    """A lesson of one game from a talk in which moves are marked.

    {Nf3|knight f3} plays Nf3; [ opens a side line from the present position, or from the one before the move just
    marked where it begins with ^ ({^c5|c5}); ] closes it. {Nf3|Night F3=knight f3} was
    misheard. Each word takes pace seconds; <pause 2> is silence.

    >>> lesson, transcript = told("Hello. {e4|pawn to e4}. [What about {^d4|d4}?] {e5|e5}")
    >>> [(ply.san, ply.parent, ply.played) for ply in lesson.games[0].plies]
    [('e4', None, True), ('e5', 0, True), ('d4', None, False)]
    """
    words: list[Word] = []
    plies: list[Ply] = []
    boards: dict[int | None, chess.Board] = {None: chess.Board(fen)}
    here: int | None = None
    opened: list[int | None] = []
    clock = start
    for mark in MARK.finditer(talk):
        san, spoken, opens, closes, silence, plain = mark.groups()
        if plain and words and not any(map(str.isalnum, plain)):
            words[-1] = replace(words[-1], text=words[-1].text + plain)
            continue
        first_word = len(words)
        heard, _, right = (spoken or plain or "").partition("=")
        for text in heard.split():
            words.append(Word(text, round(clock, 3), round(clock + pace * 0.9, 3)))
            clock += pace
        if silence:
            clock += float(silence)
        if opens:
            opened.append(here)
        if closes:
            here = opened.pop()
        if san:
            parent = plies[here].parent if san.startswith("^") and here is not None else here
            board = boards[parent].copy()
            move = board.push_san(san.removeprefix("^"))
            here = len(plies)
            boards[here] = board
            moment = Moment(words[first_word].start, 0.0, first_word, len(words), len(words), heard, right or heard)
            plies.append(Ply(here, parent, move.uci(), boards[parent].san(move), played=not opened, moments=(moment,)))
    plies = [_with_talk_after(ply, plies, words) for ply in plies]
    game = Game(fen, in_order(plies), words[0].start, words[-1].end, 0, len(words))
    return Lesson("A club evening", MEDIA, (game,)), Transcript(tuple(words), words[-1].end, "by hand")


def _with_talk_after(ply: Ply, plies: list[Ply], words: list[Word]) -> Ply:
    (moment,) = ply.moments
    later = [other.moments[0].first_word for other in plies if other.moments[0].first_word > moment.first_word]
    end_word = min(later, default=len(words))
    return replace(ply, moments=(replace(moment, end=words[end_word - 1].end, end_word=end_word),))


def in_order(plies: list[Ply]) -> tuple[Ply, ...]:
    """Parents before children, and the played ply first among the children of one parent."""
    return tuple(sorted(plies, key=lambda ply: (not ply.played, ply.id)))


ODD_WORDS = (
    *(
        "night",
        "F3,",
        "and",
        "yes.",
        "Ready?",
        "takes",
        "{",
        "}",
        "}}",
        "{x}",
        "[%cue",
        "0:00:01]",
        "%",
        "%x",
        "50%",
        "-->",
    ),
    *(
        "<b>",
        "&amp;",
        ";",
        "(",
        ")",
        "$1",
        "1.",
        "*",
        "1-0",
        '"',
        "\\",
        '\\"',
        "[x]",
        "two words",
        " ",
        "\t",
        "a\nb",
        "\x00",
        "\x85",
    ),
    *(
        "\u2028",
        "\u00a0",
        "\ufeff",
        "é",
        "Zoë",
        "♞f3",
        "e\u0301",
        "كش",
        "\U0001f600",
        "a" * 79,
        "%" * 90,
        "b[%{" * 60,
        "\\" * 300,
    ),
)
LONGEST_TALK = 20_000_000
"""Milliseconds."""


@st.composite
def lessons(draw: st.DrawFn) -> tuple[Lesson, Transcript]:
    """Any lesson: one number decides all but the sizes, which hypothesis makes small when a test fails."""
    chance = Random(draw(st.integers(0, 2**32)))
    transcript = random_transcript(chance, draw(st.integers(0, 30)))
    games = tuple(
        random_game(chance, draw(st.integers(0, 20)), len(transcript.words)) for _ in range(draw(st.integers(0, 2)))
    )
    media = chance.choice([None, MEDIA])
    chapters = random_chapters(chance)
    return Lesson(chance.choice(ODD_WORDS), media, games, chapters, random_quizzes(chance, games)), transcript


def random_transcript(chance: Random, word_count: int) -> Transcript:
    words, clock = [], 0
    for _ in range(word_count):
        length = chance.choice([0, 1, 200, 400, 9000])
        words.append(Word(chance.choice(ODD_WORDS), clock / 1000, (clock + length) / 1000, chance.random()))
        clock += max(0, length + chance.choice([-500, 0, 1, 100, 3000]))
    return Transcript(tuple(words), max((word.end for word in words), default=0.0), "by hand")


def random_moment(chance: Random, word_count: int) -> Moment:
    first, named_end, end_word = sorted(chance.randint(0, word_count) for _ in range(3))
    start, end = _times(chance, 2)
    spoken = chance.choice(["knight f3", "e4", "", "}", "takes back"])
    return Moment(start, end, first, named_end, end_word, chance.choice(ODD_WORDS), spoken)


def random_game(chance: Random, most_plies: int, word_count: int) -> Game:
    fen = chance.choice(STARTS)
    boards: dict[int | None, chess.Board] = {None: chess.Board(fen)}
    plies: list[Ply] = []
    played_end: int | None = None
    for _ in range(most_plies):
        number = len(plies)
        parent = chance.choice([None, *range(number), number - 1 if number else None])
        taken = {ply.uci for ply in plies if ply.parent == parent}
        legal = sorted(move.uci() for move in boards[parent].legal_moves if move.uci() not in taken)
        if not legal:
            continue
        played = parent == played_end and not taken and chance.random() < 0.7
        played_end = number if played else played_end
        uci = chance.choice(legal)
        boards[number] = boards[parent].copy()
        boards[number].push_uci(uci)
        plies.append(random_ply(chance, number, parent, boards, uci, played, word_count))
    first_word, end_word = sorted(chance.randint(0, word_count) for _ in range(2))
    names = chance.sample(["White", "ECO", "Annotator", "Result", "FEN", "Event"], 3)
    tags = {name: chance.choice(ODD_WORDS) for name in names}
    start, end = _times(chance, 2)
    return Game(fen, tuple(plies), start, end, first_word, end_word, tags)


def random_ply(
    chance: Random,
    number: int,
    parent: int | None,
    boards: dict[int | None, chess.Board],
    uci: str,
    played: bool,
    word_count: int,
) -> Ply:
    moments = sorted(
        (random_moment(chance, word_count) for _ in range(chance.choice([0, 1, 1, 2]))), key=lambda m: m.start
    )
    return Ply(
        id=number,
        parent=parent,
        uci=uci,
        san=boards[parent].san(chess.Move.from_uci(uci)),
        played=played,
        inferred=not moments,
        confidence=chance.random(),
        reason=chance.choice(ODD_WORDS),
        moments=tuple(moments),
        runners_up=(RunnerUp(uci, "x", chance.random()),) * chance.choice([0, 1]),
        nags=tuple(chance.sample(range(1, 140), chance.choice([0, 0, 1, 3]))),
        comment=chance.choice([None, None, chance.choice(ODD_WORDS), " ".join(chance.sample(ODD_WORDS, 12))]),
    )


def random_chapters(chance: Random) -> tuple[Chapter, ...]:
    bounds = [0.0, *_times(chance, 3)]
    return tuple(Chapter(start, end, chance.choice(ODD_WORDS)) for start, end in pairwise(bounds))


def random_quizzes(chance: Random, games: tuple[Game, ...]) -> tuple[Quiz, ...]:
    if not games:
        return ()
    number = chance.randrange(len(games))
    ply = chance.choice([None, *(ply.id for ply in games[number].plies)])
    answers = tuple(answer.id for answer in games[number].plies if answer.parent == ply)
    start, stop = _times(chance, 2)
    return (Quiz(start, stop, number, ply, answers),)


def _times(chance: Random, count: int) -> list[float]:
    return sorted(chance.randint(0, LONGEST_TALK) / 1000 for _ in range(count))
