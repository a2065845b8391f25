"""The running transcript with its moves as links, in HTML."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import chess
from markupsafe import Markup

from sync.files.page.links import Links
from sync.files.page.speech import clock_text
from sync.files.page.tree import numbered
from sync.files.steps import LessonMoment, lesson_moments
from sync.lesson.lesson import Lesson, Moment, Ply
from sync.lesson.speech import SENTENCE_END, spoken_words
from sync.transcript.words import Transcript, Word

PARAGRAPH_PAUSE = 1.6
"""Seconds of silence that end a paragraph (as those below: common practice, no source)."""

PARAGRAPH_WORDS = 70
"""Words after which a paragraph ends with the sentence."""

PHRASE_WORDS = 24
"""Words after which a phrase ends anyway."""

UNSURE_WORD = 0.3
"""Words that the recogniser was less sure of are marked."""

EDGES = re.compile(r"^\W+|\W+$")

PARAGRAPH = Markup('<p data-w="{}"><a class="at" {}>{}</a> {}</p>')
PHRASE = Markup('<span data-w="{}">{}</span>')
LINK = Markup('<a class="m {}" data-m="{}" {}{}>{}</a>')
SIGN = Markup("<small>{}</small>")
HEARD = Markup(' title="heard: {}"')
DOUBTFUL = Markup("<i>{}</i>")


@dataclass(frozen=True, slots=True)
class Paragraph:
    """phrases: index ranges (first, end) of the transcript's words."""

    phrases: tuple[tuple[int, int], ...]

    @property
    def first(self) -> int:
        return self.phrases[0][0]


def talk_html(lesson: Lesson, transcript: Transcript, links: Links) -> Markup:
    """The talk in paragraphs under the headings of its chapters.

    data-w tells the index of a paragraph's or phrase's first word, data-m the index of a link's moment (in
    lesson_moments). Between links every word stands for itself, parted by single spaces; a link stands for the words
    that name its move.
    """
    words = transcript.words
    moments = lesson_moments(lesson)
    writer = _Writer(words, moments, links, _names(lesson))
    headings = _headings(lesson, words)
    parts: list[Markup] = []
    for paragraph in paragraphs(words, [each.moment for each in moments], set(headings)):
        for number in headings.get(paragraph.first, ()):
            parts.append(Markup('<h3 id="c{}">{}</h3>').format(number, lesson.chapters[number].title))
        parts.append(writer.paragraph(paragraph))
    return Markup("\n").join(parts)


def paragraphs(words: Sequence[Word], moments: Sequence[Moment], breaks: set[int]) -> Iterator[Paragraph]:
    """The talk in paragraphs of phrases; breaks: indices of words that must open a paragraph.

    No phrase ends between the words that name one move.
    """
    naming = {index for moment in moments for index in range(moment.first_word + 1, moment.named_end)}
    phrases: list[tuple[int, int]] = []
    first = 0
    for index, word in enumerate(words, start=1):
        last = index == len(words)
        if not last and index in naming and index not in breaks:
            continue
        pause = 0.0 if last else words[index].start - word.end
        sentence = bool(SENTENCE_END.search(word.text)) or pause >= PARAGRAPH_PAUSE
        if not (last or index in breaks or sentence or index - first >= PHRASE_WORDS):
            continue
        phrases.append((first, index))
        first = index
        long = index - phrases[0][0] >= PARAGRAPH_WORDS
        if last or index in breaks or pause >= PARAGRAPH_PAUSE or (sentence and long):
            yield Paragraph(tuple(phrases))
            phrases = []


@dataclass(frozen=True, slots=True)
class _Name:
    """written: the move with its number; square: the name of the square it goes to."""

    written: str
    square: str
    played: bool


class _Writer:
    def __init__(
        self,
        words: Sequence[Word],
        moments: Sequence[LessonMoment],
        links: Links,
        names: dict[tuple[int, int], _Name],
    ) -> None:
        self.words = words
        self.links = links
        self.names = names
        self.by_word: dict[int, list[tuple[int, LessonMoment]]] = {}
        for index, moment in enumerate(moments):
            self.by_word.setdefault(moment.moment.first_word, []).append((index, moment))

    def paragraph(self, paragraph: Paragraph) -> Markup:
        start = self.words[paragraph.first].start
        phrases = Markup(" ").join(PHRASE.format(first, self._phrase(first, end)) for first, end in paragraph.phrases)
        return PARAGRAPH.format(paragraph.first, self.links.attributes(0, None, start), clock_text(start), phrases)

    def _phrase(self, first: int, end: int) -> Markup:
        parts: list[Markup] = []
        index = first
        while index < end:
            named = self.by_word.get(index, [])
            # Moments named by the same words share one link; those named inside them follow it, with their signs.
            owner = max(named, key=lambda each: each[1].moment.named_end, default=None)
            after = max(index + 1, min(owner[1].moment.named_end, end)) if owner else index + 1
            parts.append(self._link(*owner) if owner else self._word(self.words[index]))
            inside = [each for place in range(index, after) for each in self.by_word.get(place, [])]
            parts += [self._sign_link(*each) for each in inside if each is not owner]
            index = after
        return Markup(" ").join(parts)

    def _word(self, word: Word) -> Markup:
        shown = DOUBTFUL if word.probability < UNSURE_WORD else Markup("{}")
        return shown.format(word.text)

    def _link(self, index: int, each: LessonMoment) -> Markup:
        moment, name = each.moment, self.names[each.game, each.ply]
        says = bool(moment.spoken.split()) and moment.first_word < moment.named_end
        words = spoken_words(self.words, moment) if says else self.words[moment.first_word : moment.first_word + 1]
        text = " ".join(word.text for word in words)
        sign = "" if name.square in text.lower() else SIGN.format(name.written)
        heard = HEARD.format(moment.heard) if _bare(moment.heard) != _bare(moment.spoken) else ""
        return self._anchor(index, each, heard, Markup("{}{}").format(text, sign))

    def _sign_link(self, index: int, each: LessonMoment) -> Markup:
        return self._anchor(index, each, Markup(""), SIGN.format(self.names[each.game, each.ply].written))

    def _anchor(self, index: int, each: LessonMoment, heard: Markup | str, text: Markup) -> Markup:
        kind = "played" if self.names[each.game, each.ply].played else "considered"
        return LINK.format(kind, index, self.links.attributes(each.game, each.ply, each.moment.start), heard, text)


def _names(lesson: Lesson) -> dict[tuple[int, int], _Name]:
    names = {}
    for index, game in enumerate(lesson.games):
        numbers = numbered(game)
        for ply in game.plies:
            names[index, ply.id] = _Name(f"{numbers[ply.id]}{ply.san}".replace("...", "…"), _square(ply), ply.played)
    return names


def _square(ply: Ply) -> str:
    return chess.square_name(chess.Move.from_uci(ply.uci).to_square)


def _headings(lesson: Lesson, words: Sequence[Word]) -> dict[int, list[int]]:
    """Numbers of the chapters by the first word they hold."""
    headings: dict[int, list[int]] = {}
    for number, chapter in enumerate(lesson.chapters):
        first = next((index for index, word in enumerate(words) if word.end > chapter.start), None)
        if first is not None:
            headings.setdefault(first, []).append(number)
    return headings


def _bare(text: str) -> list[str]:
    return [EDGES.sub("", word).casefold() for word in text.split()]
