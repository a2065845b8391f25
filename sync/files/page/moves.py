"""The games as score sheets with their side lines, in HTML."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from sync.files.page.links import Links
from sync.files.page.speech import NAGS, clock_text, move_words, time_words
from sync.files.page.tree import Numbered, children_of, continuation, numbered
from sync.lesson.lesson import Game, Lesson, Ply

UNSURE_BELOW = 0.8
"""Plies with less confidence are marked."""

MOVE = Markup('<a class="{}" id="p{}.{}" {} aria-label="{}">{}</a>')
NUMBER = Markup('<span class="no">{}</span>')
ASIDE = Markup('<div class="aside" role="group" aria-label="Side line at {}">{}</div>')
GAME = Markup('<section class="game"><h3>{}</h3><p class="facts">{}</p><div class="sheet">{}</div></section>')


def moves_html(lesson: Lesson, links: Links) -> Markup:
    """All games. Each move is a link to its first moment; its id is p, the game's number, a dot and the ply's id."""
    return Markup("\n").join(_game(index, game, links) for index, game in enumerate(lesson.games))


def game_name(game: Game) -> str:
    """The players' names, empty when neither is known."""
    names = [game.tags.get(side, "?") for side in ("White", "Black")]
    known = [name if name.strip("? ") else side for side, name in zip(("White", "Black"), names, strict=True)]
    return " – ".join(known) if known != ["White", "Black"] else ""


def glyphs(ply: Ply) -> str:
    return "".join(NAGS[nag][0] for nag in ply.nags if nag in NAGS)


def _game(index: int, game: Game, links: Links) -> Markup:
    heading = game_name(game) or ("The game" if index == 0 else f"Game {index + 1}")
    facts = [game.tags.get(name, "").replace(".??", "") for name in ("Event", "Site", "Date", "Result")]
    known = " · ".join(fact for fact in facts if fact.strip("?*. "))
    sheet = _Sheet(index, game, links, children_of(game), numbered(game))
    return GAME.format(heading, known, Markup("").join(sheet.main_line()))


def _place(number: Numbered) -> str:
    return f"move {number.number}" if number.white else f"move {number.number} of black"


@dataclass(frozen=True, slots=True)
class _Sheet:
    index: int
    game: Game
    links: Links
    children: dict[int | None, list[Ply]]
    numbers: dict[int, Numbered]

    def main_line(self) -> Iterator[Markup]:
        """Cells of a grid of three columns: number, white's move, black's move; side lines lie across all of them."""
        before: Ply | None = None
        row_open = False
        while following := self.children.get(before.id if before else None):
            ply = continuation(before, following)
            if ply is not None:
                number = self.numbers[ply.id]
                if not row_open:
                    yield NUMBER.format(number.number)
                if not number.white and not row_open:
                    yield Markup('<span class="gap" aria-hidden="true">…</span>')
                yield self._move(ply, with_time=True)
                row_open = number.white
            asides = [each for each in following if each is not ply]
            for each in asides:
                yield self._aside(each)
            comment = [Markup('<p class="note">{}</p>').format(ply.comment)] if ply and ply.comment else []
            yield from comment
            row_open = row_open and not asides and not comment
            if ply is None:
                return
            before = ply

    def _aside(self, first: Ply) -> Markup:
        return ASIDE.format(_place(self.numbers[first.id]), Markup(" ").join(self._side_line(first)))

    def _side_line(self, first: Ply) -> Iterator[Markup]:
        ply: Ply | None = first
        instead: list[Ply] = []
        number_due = True
        while ply:
            number = self.numbers[ply.id]
            numbered_move = Markup("{}\u00a0{}").format(NUMBER.format(str(number).replace("...", "…")), self._move(ply))
            yield numbered_move if number.white or number_due else self._move(ply)
            if ply.comment:
                yield Markup('<span class="note">{}</span>').format(ply.comment)
            yield from map(self._aside, instead)
            number_due = bool(ply.comment or instead)
            following = self.children.get(ply.id, [])
            ply = continuation(ply, following)
            instead = following[1:]

    def _move(self, ply: Ply, *, with_time: bool = False) -> Markup:
        onset = ply.moments[0].start if ply.moments else None
        classes = ["m", "played" if ply.played else "considered"]
        classes += ["inferred"] if ply.inferred else []
        classes += ["unsure"] if ply.confidence < UNSURE_BELOW else []
        shown = Markup("<b>{}</b>" if with_time else "{}").format(f"{ply.san}{glyphs(ply)}")
        if with_time and onset is not None:
            shown += Markup("<small>{}</small>").format(clock_text(onset))
        attributes = self.links.attributes(self.index, ply.id, onset)
        return MOVE.format(" ".join(classes), self.index + 1, ply.id, attributes, self._label(ply, onset), shown)

    def _label(self, ply: Ply, onset: float | None) -> str:
        number = self.numbers[ply.id]
        parts = [
            f"{ply.san}{glyphs(ply)}: {move_words(ply.san)}",
            _place(number),
            "" if ply.played else "only considered",
            *(NAGS[nag][1] for nag in ply.nags if nag in NAGS),
            "not named in the talk" if ply.inferred else "",
            f"{ply.confidence:.0%} sure" if ply.confidence < UNSURE_BELOW else "",
            "" if onset is None else f"at {time_words(onset)}",
        ]
        return ", ".join(filter(None, parts))
