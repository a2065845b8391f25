"""Small lessons of invented players, built by hand."""

from __future__ import annotations

from dataclasses import dataclass, field

import chess

from sync.lesson.lesson import Chapter, Game, Lesson, Media, Moment, Ply, Quiz, RunnerUp
from sync.transcript.words import Transcript, Word

WORD_SECONDS = 0.5

TREE = (
    # id, parent, uci, played
    (1, None, "e2e4", True),
    (2, 1, "e7e5", True),
    (3, 2, "g1f3", True),
    (4, 2, "f2f4", False),
    (5, 4, "e5f4", False),
    (6, 4, "f8c5", False),
    (7, 3, "b8c6", True),
    (8, 7, "f1b5", True),
    (9, 8, "a7a6", True),
)

TALK: tuple[tuple[str, int | None], ...] = (
    ("Welcome to our club evening.", None),
    ("Pawn to e4,", 1),
    ("says Ilse, and black answers", None),
    ("e5.", 2),
    ("What would you play for white here? Think about it.", None),
    ("Night F3,", 3),
    ("of course, it attacks the pawn. Some people like", None),
    ("pawn f4,", 4),
    ("which gives a pawn, and after", None),
    ("takes", 5),
    ("the game is wild. Black may also play", None),
    ("bishop c5", 6),
    ("and leave it there. But in the game she played", None),
    ("Knight f3,", 3),
    ("and now", None),
    ("knight c6", 7),
    ("came, and a little later", None),
    ("a6.", 9),
    ("That is where we stop for today. Thank you and good night.", None),
)
"""What is said, and the ply that the words name. Ply 8 is never named, ply 3 twice; 5 is named by "takes"."""

SPOKEN = {"Night F3,": "knight f3"}
TAGS = {"White": "Ilse Bramfeld", "Black": "Tove Anders", "Event": "Club evening", "Result": "*"}


@dataclass
class Said:
    words: list[Word] = field(default_factory=list)
    moments: list[tuple[int, Moment]] = field(default_factory=list)


def say(talk: tuple[tuple[str, int | None], ...]) -> Said:
    """Words of WORD_SECONDS each; a moment lasts until the next one begins."""
    said = Said()
    starts: list[tuple[int, int, int, str]] = []
    for text, ply in talk:
        first = len(said.words)
        for word in text.split():
            start = len(said.words) * WORD_SECONDS
            said.words.append(Word(word, start, start + WORD_SECONDS - 0.1))
        if ply is not None:
            starts.append((ply, first, len(said.words), text))
    onsets = [first for _, first, _, _ in starts[1:]] + [len(said.words)]
    for (ply, first, named_end, text), end in zip(starts, onsets, strict=True):
        times = (first * WORD_SECONDS, end * WORD_SECONDS)
        moment = Moment(*times, first, named_end, end, heard=text, spoken=SPOKEN.get(text, text.lower()))
        said.moments.append((ply, moment))
    return said


def small_lesson(
    *, title: str = "An evening at the club", tags: dict[str, str] | None = None
) -> tuple[Lesson, Transcript]:
    said = say(TALK)
    duration = len(said.words) * WORD_SECONDS + 1
    boards: dict[int | None, chess.Board] = {None: chess.Board()}
    plies = []
    for ply, parent, uci, played in TREE:
        board = boards[parent].copy()
        move = chess.Move.from_uci(uci)
        san = board.san_and_push(move)
        boards[ply] = board
        moments = tuple(moment for owner, moment in said.moments if owner == ply)
        unsure = ply == 5
        plies.append(
            Ply(
                id=ply,
                parent=parent,
                uci=uci,
                san=san,
                played=played,
                inferred=not moments,
                confidence=0.55 if unsure else 0.98,
                reason="two captures are legal" if unsure else "",
                moments=moments,
                runners_up=(RunnerUp("e5d4", "exd4", 0.3),) if unsure else (),
                nags=(1,) if ply == 3 else (),
                comment="The old way to play." if ply == 4 else None,
            )
        )
    question = next(index for index, word in enumerate(said.words) if word.text == "What") * WORD_SECONDS
    answer = plies[2].moments[0].start
    game = Game(chess.STARTING_FEN, tuple(plies), 0.0, duration, 0, len(said.words), tags or TAGS)
    lesson = Lesson(
        title=title,
        media=Media("evening.webm", "0" * 64, duration),
        games=(game,),
        chapters=(Chapter(0.0, question, "First moves"), Chapter(question, duration, "A question")),
        quizzes=(Quiz(question, answer - 0.2, 0, 2, (3, 4)),),
    )
    return lesson, Transcript(tuple(said.words), duration, "tiny.en")


CAPTIONS = "WEBVTT\n\n00:00.000 --> 00:02.500\nWelcome to our club evening.\n\n00:02.500 --> 00:04.000\nPawn to e4,\n"
PGN = '[Event "Club evening"]\n\n1. e4 e5 2. Nf3 Nc6 3. Bb5 a6 *\n'


def long_lesson(moments: int = 2000, seconds: float = 7200.0, words_a_moment: int = 9) -> tuple[Lesson, Transcript]:
    """A lesson of a given size: games of 60 played plies with side lines of three plies at every second one."""
    step = seconds / moments
    games: list[Game] = []
    words: list[Word] = []
    made = 0
    fillers = "and that is the point of it because black is late".split()
    while made < moments:
        first_word, start = len(words), made * step
        plies: list[Ply] = []
        board = chess.Board()
        parent: int | None = None

        def add(
            parent: int | None, before: chess.Board, move: chess.Move, played: bool, plies: list[Ply] = plies
        ) -> int:
            nonlocal made
            onset, first = made * step, len(words)
            texts = ["knight", "takes", "back,", *fillers[: words_a_moment - 3]]
            gap = step / words_a_moment
            words.extend(Word(text, onset + n * gap, onset + (n + 0.8) * gap) for n, text in enumerate(texts))
            moment = Moment(
                onset, onset + step, first, first + 3, len(words), "knight takes back,", "knight takes back"
            )
            plies.append(Ply(len(plies), parent, move.uci(), before.san(move), played, moments=(moment,)))
            made += 1
            return plies[-1].id

        for number in range(60):
            if made >= moments:
                break
            legal = sorted(board.legal_moves, key=chess.Move.uci)
            move = legal[(number * 7 + len(games)) % len(legal)]
            here = parent
            parent = add(here, board, move, True)
            if number % 2 and len(legal) > 1:
                aside, before = here, board.copy()
                for depth in range(3):
                    choices = [m for m in sorted(before.legal_moves, key=chess.Move.uci) if depth or m != move]
                    if not choices or made >= moments:
                        break
                    side = choices[(number + depth) % len(choices)]
                    aside = add(aside, before, side, False)
                    before.push(side)
            board.push(move)
            if board.is_game_over():
                break
        end = made * step
        games.append(Game(chess.STARTING_FEN, _played_first(plies), start, end, first_word, len(words), TAGS))
    chapters = tuple(Chapter(game.start, game.end, f"Game {n}") for n, game in enumerate(games, start=1))
    lesson = Lesson("Two hours at the club", Media("evening.wav", "0" * 64, seconds), tuple(games), chapters)
    return lesson, Transcript(tuple(words), seconds, "tiny.en")


def _played_first(plies: list[Ply]) -> tuple[Ply, ...]:
    """Each played ply before the side lines in its place."""
    return tuple(sorted(plies, key=lambda ply: (not ply.played, ply.id)))
