"""Chapters of a talk: where its parts begin, and what they are called.

A first chapter at 0:00, three or more, each ten seconds or longer: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, pairwise

import chess

from sync.lesson.lesson import Chapter, Game, Ply, Quiz
from sync.lesson.phrases import SUMS_UP
from sync.lesson.speech import sentences
from sync.transcript.words import Transcript

SHORTEST = 10.0
FEWEST = 3
"""A talk shorter than FEWEST times SHORTEST (seconds) is one chapter."""

ONE_IN = 60.0
"""Seconds of talk for each chapter beyond the fewest."""

ROOMY = 25.0
"""Seconds that chapters last where there are enough places to choose from."""

LONG_SIDE_LINE = 20.0
LONG_STRETCH = 150.0
"""Seconds of talk: a side line that has a chapter of its own, and a stretch that is divided once more."""

LOOK_BACK = 8.0
"""Seconds by which a sentence may begin before the move that is named in it, for a chapter to begin with it."""

START, SUMMARY, QUIZ_AT_START = "Start", "Summary", "Quiz: the start position"
PART, GAME, QUIZ, SIDE_LINE = "Part {}", "Game {}", "Quiz after {}", "What about {}?"

NOT_WORDS = re.compile(r"[^\w' ]+")

# How much a place matters: the lower, the sooner it is taken.
BOUNDARY, TURNING_POINT, FIRST_SIDE_LINE, LONG_TALK, SHORT_TALK, ANY_MOVE, ANY_SENTENCE = range(7)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a chapter may begin (seconds). title: None when it is called after the moves played in it."""

    start: float
    rank: int
    length: float
    title: str | None

    def order(self) -> tuple[int, float, float]:
        return self.rank, -self.length, self.start


_OPENING = _Place(0.0, 0, 0.0, None)


def find_chapters(transcript: Transcript, games: Sequence[Game], quizzes: Sequence[Quiz]) -> tuple[Chapter, ...]:
    """Chapters that cover the whole talk, in time order; none for a talk without length.

    They begin where a game, its moves, a quiz, a side line or the summary begins, and where the game goes on. A talk
    without such places is parted in three.
    """
    duration = transcript.duration
    if duration <= 0:
        return ()
    starts = [_OPENING]
    if duration >= FEWEST * SHORTEST:
        places = sorted(_places(transcript, games, quizzes), key=_Place.order)
        starts = _divided(_chosen(places, duration), places, duration)
        starts = starts if len(starts) >= FEWEST else _thirds(duration)
    labels = [move_labels(game) for game in games]
    bounds = [*(place.start for place in starts), duration]
    return tuple(
        Chapter(start, end, place.title or _moves_title(games, labels, start, end) or _plain_title(number))
        for number, (place, (start, end)) in enumerate(zip(starts, pairwise(bounds), strict=True), start=1)
    )


def move_labels(game: Game) -> dict[int, str]:
    """Each ply's id with its number and move.

    >>> plies = Ply(0, None, "e2e4", "e4", True), Ply(1, 0, "e7e5", "e5", True)
    >>> move_labels(Game(chess.STARTING_FEN, plies, 0, 9, 0, 0))
    {0: '1. e4', 1: '1... e5'}
    """
    labels = {}
    for ply, board in game.boards():
        black_to_move = board.turn == chess.BLACK
        number = board.fullmove_number if black_to_move else board.fullmove_number - 1
        labels[ply.id] = f"{number}{'.' if black_to_move else '...'} {ply.san}"
    return labels


def _places(transcript: Transcript, games: Sequence[Game], quizzes: Sequence[Quiz]) -> Iterator[_Place]:
    begin = _sentence_times(transcript, games)
    labels = [move_labels(game) for game in games]
    for number, game in enumerate(games):
        if number:
            yield _Place(game.start, BOUNDARY, 0.0, GAME.format(number + 1))
        played = [ply for ply in _newly_named(game) if ply.played]
        yield from (_first_moves(begin(ply), quizzes, transcript.duration) for ply in played[:1])
        yield from (_Place(begin(ply), ANY_MOVE, 0.0, None) for ply in played)
        yield from _side_line_places(game, labels[number], begin)
    for quiz in quizzes:
        label = QUIZ_AT_START if quiz.ply is None else QUIZ.format(labels[quiz.game][quiz.ply])
        yield _Place(quiz.start, TURNING_POINT, quiz.stop - quiz.start, label)
    if (start := _summary(transcript, games)) is not None:
        yield _Place(start, TURNING_POINT, transcript.duration, SUMMARY)
    yield from (
        _Place(transcript.words[first].start, ANY_SENTENCE, 0.0, None) for first, _ in sentences(transcript.words)
    )


def _first_moves(start: float, quizzes: Sequence[Quiz], duration: float) -> _Place:
    """Where a game's moves begin: a turning point, unless they are the answer to a quiz that has just begun."""
    answer = any(0 <= start - quiz.start < SHORTEST for quiz in quizzes)
    return _Place(start, ANY_MOVE if answer else TURNING_POINT, duration, None)


def _newly_named(game: Game) -> list[Ply]:
    """The plies that are named, in the order in which each is named first."""
    return sorted((ply for ply in game.plies if ply.moments), key=lambda ply: (ply.moments[0].start, ply.id))


def _sentence_times(transcript: Transcript, games: Sequence[Game]) -> Callable[[Ply], float]:
    """A function that tells where a chapter begins that begins with a ply: with its sentence, if nothing else is named
    in it before."""
    words, begins = transcript.words, list[int]()
    named_ends = {moment.named_end for game in games for ply in game.plies for moment in ply.moments}
    for first, end in sentences(words):
        for index in range(first, end):
            first = index if index in named_ends else first
            begins.append(first)

    def begin(ply: Ply) -> float:
        named = ply.moments[0]
        if named.first_word >= len(words):
            return named.start
        start = words[begins[named.first_word]].start
        return start if 0 <= named.start - start <= LOOK_BACK else named.start

    return begin


def _side_line_places(game: Game, labels: dict[int, str], begin: Callable[[Ply], float]) -> Iterator[_Place]:
    """Where each side line begins, and where the game goes on after it."""
    named = _newly_named(game)
    roots = _roots(game)
    lines: dict[int, list[Ply]] = {}
    for ply in named:
        if not ply.played:
            lines.setdefault(roots[ply.id], []).append(ply)
    for number, (root, line) in enumerate(lines.items()):
        length = sum(ply.moments[0].end - ply.moments[0].start for ply in line)
        rank = FIRST_SIDE_LINE if not number else LONG_TALK if length >= LONG_SIDE_LINE else SHORT_TALK
        yield _Place(begin(line[0]), rank, length, SIDE_LINE.format(labels[root]))
        back = (ply for ply in named if ply.played and ply.moments[0].start > line[-1].moments[0].start)
        yield from (_Place(begin(ply), max(rank, LONG_TALK), length, None) for ply in islice(back, 1))


def _roots(game: Game) -> dict[int, int]:
    """For each ply of a side line, the ply with which that line leaves the game."""
    roots: dict[int, int] = {}
    for ply in game.plies:
        if not ply.played:
            roots[ply.id] = ply.id if ply.parent is None else roots.get(ply.parent, ply.id)
    return roots


def _summary(transcript: Transcript, games: Sequence[Game]) -> float | None:
    """Where the teacher begins to sum up: the first such sentence after all moves have been named."""
    words = transcript.words
    last = max((ply.moments[0].named_end for game in games for ply in game.plies if ply.moments), default=0)
    for first, end in sentences(words):
        text = " ".join(word.text.lower().replace("’", "'") for word in words[first:end])
        if first >= last and SUMS_UP.search(" ".join(NOT_WORDS.sub(" ", text).split())):
            return words[first].start
    return None


def _chosen(places: Iterable[_Place], duration: float) -> list[_Place]:
    """The places that matter most, as many as the talk has room for."""
    most = max(FEWEST, round(duration / ONE_IN))
    chosen = [_OPENING]
    for place in places:
        gap = SHORTEST if place.rank <= TURNING_POINT or duration < FEWEST * ONE_IN else ROOMY
        if len(chosen) < most and place.rank < ANY_MOVE and _fits(place, chosen, duration, gap):
            chosen.append(place)
    return sorted(chosen, key=lambda place: place.start)


def _fits(place: _Place, chosen: Sequence[_Place], duration: float, gap: float) -> bool:
    return duration - place.start >= SHORTEST and all(abs(place.start - other.start) >= gap for other in chosen)


def _divided(chosen: list[_Place], places: Sequence[_Place], duration: float) -> list[_Place]:
    """chosen, with the longest stretches divided near their middle until none is too long and there are enough.

    They are divided at moves; at sentences only where there would be too few.
    """
    most = max(FEWEST, round(duration / ONE_IN))
    while len(chosen) < most:
        bounds = [*(place.start for place in chosen), duration]
        start, end = max(pairwise(bounds), key=lambda stretch: stretch[1] - stretch[0])
        if end - start < LONG_STRETCH and len(chosen) >= FEWEST:
            break
        lowest = ANY_MOVE if len(chosen) >= FEWEST else ANY_SENTENCE
        inside = [place for place in places if place.rank <= lowest and start < place.start < end]
        fitting = [place for place in inside if _fits(place, chosen, duration, SHORTEST)]
        if not fitting:
            break
        middle = (start + end) / 2
        best = min(fitting, key=lambda place: (abs(place.start - middle), place.order()))
        chosen = sorted([*chosen, best], key=lambda place: place.start)
    return chosen


def _thirds(duration: float) -> list[_Place]:
    return [_Place(duration * part / FEWEST, 0, 0.0, None) for part in range(FEWEST)]


def _moves_title(games: Sequence[Game], labels: Sequence[dict[int, str]], start: float, end: float) -> str:
    """The first and the last move of a game that are named for the first time in a stretch of the talk."""
    for game, label in zip(games, labels, strict=True):
        played = [ply for ply in game.plies if ply.played and ply.moments and start <= ply.moments[0].start < end]
        if not played:
            continue
        first, last = label[played[0].id], label[played[-1].id]
        if len(played) > 1 and "..." not in first and played[1].parent == played[0].id:
            first = f"{first} {played[1].san}"
        return first if len(played) <= 2 and first != label[played[0].id] else _span(first, last)
    return ""


def _span(first: str, last: str) -> str:
    return first if first == last else f"{first} – {last}"


def _plain_title(number: int) -> str:
    return START if number == 1 else PART.format(number)
