"""Where the teacher asks and waits."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from sync.lesson.lesson import Game, Ply, Quiz
from sync.lesson.phrases import ANSWERS, ASKS, NO_QUIZ, STOP, STOPS
from sync.lesson.speech import sentences
from sync.transcript.words import Transcript, Word

WAIT = 2.0
"""Seconds of silence that are a wait (common practice, no source)."""

LONGEST_QUESTION = 25.0
"""Seconds between two sentences of one question."""

ANSWER_WITHIN = 120.0
"""Seconds after the question in which the first move of the answer is named."""

PUNCTUATION = re.compile(r"[^\w' ]+")


def find_quizzes(transcript: Transcript, games: Sequence[Game]) -> tuple[Quiz, ...]:
    """The quizzes of a talk, in time order; none where the talk has no games.

    A quiz begins with a sentence that tells the viewer to stop or sets a task (sync/lesson/phrases.py) and ends before
    the answer: at a wait of WAIT seconds, at a sentence that takes the talk up again, or at the next named move. A task
    alone, answered at once, is no quiz. The position asked about is the one from which the next newly named move is
    played; where none follows, the one that was named last.
    """
    if not games:
        return ()
    spoken = _sentences(transcript.words, _named_words(games))
    quizzes: list[Quiz] = []
    for asked in _questions(spoken, transcript.duration):
        start, stop = transcript.words[asked[0].asks_from].start, transcript.words[asked[-1].end - 1].end
        quizzes.append(_quiz(games, asked[0].asks_from, start, stop))
    return tuple(_merged(quizzes, games))


@dataclass(frozen=True, slots=True)
class _Sentence:
    """first, end: word indices; asks_from: the word after the last move named before the words that ask.

    stops: tells the viewer to stop; stop: is the bare word; asks: sets a task; answers: takes the talk up again;
    names: a move of a game is named in it; question: ends with a question mark.
    """

    first: int
    end: int
    start: float
    finish: float
    asks_from: int
    stops: bool
    stop: bool
    asks: bool
    answers: bool
    names: bool
    question: bool

    @property
    def quizzes(self) -> bool:
        return self.stops or self.stop or self.asks


def _named_words(games: Sequence[Game]) -> dict[int, int]:
    """Where the naming words of each moment begin and end."""
    return {moment.first_word: moment.named_end for game in games for ply in game.plies for moment in ply.moments}


def _sentences(words: Sequence[Word], named: dict[int, int]) -> list[_Sentence]:
    return [_sentence(words, first, end, named) for first, end in sentences(words)]


def _sentence(words: Sequence[Word], first: int, end: int, named: dict[int, int]) -> _Sentence:
    texts = [PUNCTUATION.sub(" ", word.text.lower().replace("’", "'")).strip() for word in words[first:end]]
    text = " ".join(filter(None, texts))
    found = [None if NO_QUIZ.search(text) else pattern.search(text) for pattern in (STOPS, STOP, ASKS)]
    asking = min((match.start() for match in found if match), default=0)
    before = len(text[:asking].split())
    named_before = [named[index] for index in range(first, min(first + before, end)) if index in named]
    return _Sentence(
        first=first,
        end=end,
        start=words[first].start,
        finish=words[end - 1].end,
        asks_from=min(max([first, *named_before]), end - 1),
        stops=bool(found[0]),
        stop=bool(found[1]),
        asks=bool(found[2]),
        answers=bool(ANSWERS.search(text)),
        names=any(index in named for index in range(first, end)),
        question="?" in words[end - 1].text,
    )


def _questions(spoken: Sequence[_Sentence], duration: float) -> Iterator[Sequence[_Sentence]]:
    """The sentences of each question after which the teacher waits."""
    index = 0
    while index < len(spoken):
        end = _question_end(spoken, index) if spoken[index].quizzes else index
        if end == index:
            index += 1
            continue
        if _is_quiz(spoken[index:end], spoken[end] if end < len(spoken) else None, duration):
            yield spoken[_question_start(spoken, index) : end]
        index = end


def _is_quiz(asked: Sequence[_Sentence], following: _Sentence | None, duration: float) -> bool:
    if any(sentence.stops for sentence in asked):
        return True
    if not any(sentence.asks for sentence in asked):
        return False
    pause = (following.start if following else duration) - asked[-1].finish
    answered = following is not None and following.answers
    return pause >= WAIT or answered or any(sentence.stop for sentence in asked)


def _question_start(spoken: Sequence[_Sentence], index: int) -> int:
    """The index of the first question that stands right before the sentence at index ("May he take it? Think.")."""
    while index and spoken[index - 1].question and not spoken[index - 1].names and not spoken[index - 1].answers:
        index -= 1
    return index


def _question_end(spoken: Sequence[_Sentence], first: int) -> int:
    """The index after the last sentence of the question that begins at first."""
    last = first
    for index in range(first + 1, len(spoken)):
        sentence, before = spoken[index], spoken[index - 1]
        if sentence.start - before.finish >= WAIT or sentence.start - spoken[last].finish > LONGEST_QUESTION:
            break
        if sentence.answers or (sentence.names and not sentence.question):
            break
        if sentence.quizzes or sentence.question:
            last = index
    return last + 1


def _quiz(games: Sequence[Game], first_word: int, start: float, stop: float) -> Quiz:
    number, ply = _position(games, first_word, start, stop)
    answers = tuple(answer.id for answer in games[number].plies if answer.parent == ply)
    return Quiz(start, stop, number, ply, answers)


def _position(games: Sequence[Game], first_word: int, start: float, stop: float) -> tuple[int, int | None]:
    """The game and the ply after which the question is asked."""
    firsts = [
        (ply.moments[0].first_word, number, ply)
        for number, game in enumerate(games)
        for ply in game.plies
        if ply.moments
    ]
    later = [entry for entry in firsts if entry[0] >= first_word and entry[2].moments[0].start <= stop + ANSWER_WITHIN]
    if later:
        _, number, ply = min(later, key=_by_word)
        return number, _named_parent(games[number], ply)
    named = [
        (moment.first_word, number, ply)
        for number, game in enumerate(games)
        for ply in game.plies
        for moment in ply.moments
        if moment.first_word < first_word
    ]
    if named:
        _, number, ply = max(named, key=_by_word)
        return number, ply.id
    begun = [number for number, game in enumerate(games) if game.start <= start]
    return (begun[-1] if begun else 0), None


def _by_word(entry: tuple[int, int, Ply]) -> tuple[int, int, int]:
    return entry[0], entry[1], entry[2].id


def _named_parent(game: Game, ply: Ply) -> int | None:
    """The position before ply that the listener knows: before any plies that nobody named."""
    plies = {other.id: other for other in game.plies}
    parent = ply.parent
    while parent is not None and plies[parent].inferred:
        parent = plies[parent].parent
    return parent


def _merged(quizzes: Sequence[Quiz], games: Sequence[Game]) -> Iterator[Quiz]:
    """Questions about one position that follow each other, with no move named between them, are one."""
    named = sorted(moment.start for game in games for ply in game.plies for moment in ply.moments)
    current: Quiz | None = None
    for quiz in quizzes:
        same = current is not None and (quiz.game, quiz.ply) == (current.game, current.ply)
        if current and same and not any(current.stop <= start < quiz.start for start in named):
            current = replace(current, stop=quiz.stop)
            continue
        if current:
            yield current
        current = quiz
    if current:
        yield current
