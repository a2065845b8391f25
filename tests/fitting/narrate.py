"""Made-up lessons: random games and a talk about them, as lesson scripts (docs/lesson-scripts.md).

python -m tests.fitting.narrate SEED OUT_DIR [--count N] [--plies N] [--games]

The same seed gives the same lessons. --plies: length of the games (else short and long ones are mixed). --games: each
game also as NAME.pgn, without its side lines.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import chess
import chess.pgn

from tests.fitting import narration_asides as asides
from tests.fitting import narration_tables as tables
from tests.fitting.board_facts import SIDES, Fact, in_words, material, move_facts, name, position_facts
from tests.fitting.games import choose, long_game
from tests.fitting.wording import Row, Subject, Talk, Taste, Wording, rows, shaped

LINE_LENGTHS = {1: 4, 2: 72, 3: 27, 4: 217, 5: 51, 6: 130, 7: 26, 8: 47, 9: 3, 10: 7, 11: 4, 12: 2, 14: 1}
"""Moves of a side line, as they are counted in tests/lessons."""
PARAGRAPH_WORDS = (50, 110)
TAIL_WEIGHTS = {"any": 1.6, "eyes": 0.5, "attacks": 2.5}
TURN_WORDS = ((6, 1, 2), (1, 6, 2), (3, 3, 3), (2, 1, 6), (1, 1, 12), (10, 0, 1))
"""How often speakers say colours, names and pronouns for the sides: one of these rows."""
SURE_NAMES = ("castle", "short", "long", "promote", "promote-take", "en-passant", "double", "step", "corner", "king")
"""Tables of names that are clear by what they are."""
FORMS = {"B": "b", "G": "g"}


@dataclass(frozen=True)
class Place:
    """A position of the tree. key: "8" or "a.3", as a script writes it; move: the one that led here."""

    key: str
    board: chess.Board
    before: Place | None = None
    move: chess.Move | None = None

    @property
    def tag(self) -> str:
        return f"V {self.key}" if "." in self.key else f"M {self.key}"

    def after(self, key: str, move: chess.Move) -> Place:
        board = self.board.copy()
        board.push(move)
        return Place(key, board, self, move)


@dataclass
class Line:
    name: str
    start: Place
    places: list[Place]
    inside: list[Line] = field(default_factory=list)
    """Side lines that leave it and have not been told."""


@dataclass
class Style:
    """How one speaker talks: probabilities, and a taste that makes some rows favourites."""

    taste: Taste
    past: float
    bare: float
    full_stop: float
    tail: float
    aside: float
    side_words: float
    side_lines: float
    turn: tuple[float, float, float]
    """Weights of colours, players' names and pronouns for the sides."""
    first_person: chess.Color | None
    late: float
    plans: float
    repeats: float
    fillers: float
    slips: float
    checks: float
    loose_names: float
    unmarked_returns: float
    would: float
    shapes: dict[str, float]
    before: float
    wordy: float
    """How much is said around side lines."""


def style(rng: random.Random) -> Style:
    turn = rng.choice(TURN_WORDS)
    return Style(
        taste=Taste(str(rng.random()), rng.uniform(0.6, 1.3)),
        past=rng.choice((0.0, 0.0, 0.1, 0.5, 0.9, 1.0)),
        bare=rng.betavariate(4, 5),
        full_stop=rng.betavariate(2, 5),
        tail=rng.betavariate(2, 8),
        aside=rng.betavariate(2, 7),
        side_words=rng.betavariate(2, 7),
        side_lines=rng.choice((0.6, 1.0, 1.0, 1.0, 1.1, 1.3)),
        turn=turn,
        first_person=rng.choice((None, None, None, None, chess.WHITE, chess.BLACK)),
        late=rng.choice((0.0, 0.05, 0.1, 0.4)),
        plans=rng.uniform(0.0, 0.16),
        repeats=rng.uniform(0.0, 0.05),
        fillers=rng.choice((0.0, 0.0, 0.01, 0.03, 0.07)),
        slips=rng.choice((0.0, 0.0, 0.0, 0.0, 0.05)),
        checks=rng.betavariate(4, 3),
        loose_names=rng.betavariate(2, 3),
        unmarked_returns=rng.betavariate(1, 3),
        would=rng.choice((0.0, 0.0, 0.05, 0.3)),
        shapes={"N": 1.0, "V": rng.gammavariate(1.2, 1.0), "S": rng.gammavariate(1.2, 1.0)},
        before=rng.betavariate(5, 2),
        wordy=rng.betavariate(5, 2),
    )


class Narrator:
    """Tells one lesson."""

    def __init__(self, rng: random.Random, start: chess.Board, moves: Sequence[chess.Move]) -> None:
        self.rng = rng
        self.style = style(rng)
        self.talk = Talk()
        self.places = [Place("0", start.copy())]
        for number, move in enumerate(moves, 1):
            self.places.append(self.places[-1].after(str(number), move))
        self.lines: list[Line] = []
        self.left: dict[str, set[chess.Move]] = {}
        """Moves by which the position of each key is left."""
        for place in self.places[:-1]:
            self.left[place.key] = {moves[int(place.key)]}
        self.silent = self._silent(len(moves))
        self.paragraph_words = rng.randint(*PARAGRAPH_WORDS)
        self.used: set[str] = set()
        self.players = self._players()
        self.again: Place | None = None
        """A move that the next words may name again."""

    # The whole talk

    def script(self, title: str) -> str:
        self._intro()
        stops = self._stops()
        for place in self.places[1:]:
            number = int(place.key)
            lines = stops.get(number, [])
            if lines:
                self._stop(lines)
            if number in self.silent:
                if number - 1 not in self.silent:
                    self._row(asides.SILENT)
                continue
            self._tell_main(place, after_lines=bool(lines))
            self._after_main(place)
        self._end()
        return self._header(title) + "\n\n" + "\n\n".join(self.talk.paragraphs) + "\n"

    def _header(self, title: str) -> str:
        start = self.places[0].board
        found = [f"# title: {title}", f"# game: {_sans(self.places)}"]
        if self.silent:
            found.append(f"# silent: {', '.join(map(str, sorted(self.silent)))}")
        if start.fen() != chess.STARTING_FEN:
            found.append(f"# start: {start.fen()}")
        for line in self.lines:
            found.append(f"# var {line.name}: after {line.start.key}: {_sans([line.start, *line.places])}")
        return "\n".join(found)

    def _silent(self, plies: int) -> set[int]:
        if self.rng.random() > 0.04 or plies < 24:
            return set()
        first = self.rng.randint(plies // 3, plies - 8)
        return set(range(first, first + self.rng.choice((1, 2, 4))))

    def _players(self) -> dict[chess.Color, tuple[str, str]]:
        first, second = self.rng.sample(asides.PLAYERS, 2)
        return {chess.WHITE: first, chess.BLACK: second}

    def _intro(self) -> None:
        slots = {SIDES[color]: self.players[color][0] for color in chess.COLORS}
        for table in (asides.GREETINGS, asides.INTRODUCTIONS, asides.PROMISES):
            if self.rng.random() < 0.8:
                self._row(table, Wording(slots, {}))
        if self.places[0].board.fen() != chess.STARTING_FEN:
            self._row(asides.POSITION_INTRODUCTIONS, self._wording(self.places[0].board.turn))
        self.talk.paragraph()

    def _end(self) -> None:
        self.talk.stop()
        board = self.places[-1].board
        kind = "mate" if board.is_checkmate() else "drawn" if board.is_game_over() else "open"
        self._row(asides.ENDS[kind], self._wording(board.turn))
        self.talk.paragraph()
        told = [place for place in self.places[1:] if int(place.key) not in self.silent]
        if self.rng.random() < 0.6:
            count = self.rng.choice((2, 4, 4, 6))
            recalled = sorted(self.rng.sample(told, count), key=lambda place: int(place.key))
            for index in range(0, count, 2):
                self._again(tables.RECAPS, recalled[index], recalled[index + 1])
        self._row(asides.GOODBYES)
        self.talk.paragraph()

    # Which side lines there are

    def _stops(self) -> dict[int, list[Line]]:
        """Side lines by the ply of the game before which they are told."""
        plies = len(self.places) - 1
        wanted = round(self.style.side_lines * (plies * 0.175 - 2 + self.rng.gauss(0, 0.8))) if plies > 12 else 1
        stops: dict[int, list[Line]] = {}
        for _ in range(max(1, wanted) * 3):
            if len(self.lines) >= max(1, wanted):
                break
            number = self.rng.randint(min(6, plies), plies)
            if number in stops or number in self.silent:
                continue
            how = self.rng.random()
            if how < self.style.late and number - 1 not in self.silent:
                back = 2 if self.rng.random() < 0.75 else self.rng.randint(3, 12)
                start = self.places[max(0, number - back)]
            else:
                start = self.places[number - 1]
            count = self.rng.choices((1, 2, 3), (80, 17, 3))[0]
            found = [line for _ in range(count) if (line := self._line(start))]
            if found:
                stops[number] = found
        return stops

    def _line(self, start: Place, depth: int = 0) -> Line | None:
        length = self.rng.choices(list(LINE_LENGTHS), list(LINE_LENGTHS.values()))[0]
        left = self.left.setdefault(start.key, set())
        move = choose(self.rng, start.board, 0.8, left)
        if move is None:
            return None
        left.add(move)
        line = Line(_letters(len(self.lines)), start, [])
        self.lines.append(line)
        place = start
        while move is not None and len(line.places) < length:
            if line.places:
                self.left.setdefault(place.key, set()).add(move)
            place = place.after(f"{line.name}.{len(line.places) + 1}", move)
            line.places.append(place)
            move = choose(self.rng, place.board, 0.45)
        if depth < 2 and len(line.places) >= 3 and self.rng.random() < 0.09:
            inner = self._line(self.rng.choice(line.places[:-1]), depth + 1)
            if inner:
                line.inside.append(inner)
        return line

    # Moves of the game

    def _tell_main(self, place: Place, after_lines: bool) -> None:
        assert place.before and place.move
        rng = self.rng
        again, self.again = self.again, None
        if after_lines:
            self._return(place, again)
            return
        if self.talk.ended and self.talk.words > self.paragraph_words and int(place.key) > 1:
            self._break()
        elif int(place.key) > 2 and rng.random() < self.style.aside * 0.8:
            self._asides(place.before.board, rng.choices((1, 2, 3), (5, 4, 2))[0])
            if self.talk.words > self.paragraph_words:
                self._break()
        bare = rng.random() < self.style.bare * (0.6 if self.talk.ended else 1.0) and int(place.key) > 1
        if bare:
            link = Row(". " if rng.random() < self.style.full_stop else ",", self._shape("NNNNNNS"))
        else:
            link = self._link(tables.LINKS)
        self._named(place, link, tense=self._tense())

    def _break(self) -> None:
        self.talk.paragraph()
        self.paragraph_words = self.rng.randint(*PARAGRAPH_WORDS)

    def _tense(self) -> str:
        return "past" if self.rng.random() < self.style.past else "present"

    def _shape(self, shapes: str) -> str:
        return self.rng.choice(shapes)

    def _link(self, links: dict[str, str]) -> Row:
        weights = self.style.shapes
        base = {"N": 6.0, "V": 1.0, "S": 0.6}
        shape = self.rng.choices("NVS", [base[each] * weights[each] for each in "NVS"])[0]
        row = self.style.taste.pick(self.rng, rows(links[shape]))
        return Row(row.text, shape)

    def _after_main(self, place: Place) -> None:
        assert place.before and place.move
        rng = self.rng
        if rng.random() < self.style.tail:
            self._tail(place)
        if rng.random() < self.style.plans and not place.board.is_game_over():
            self._plan(place)
        if rng.random() < self.style.repeats:
            self.talk.stop()
            self._again(tables.AGAIN, place, place)

    def _return(self, place: Place, again: Place | None) -> None:
        assert place.before
        self.talk.stop()
        if self.rng.random() < 0.45:
            self._break()
        if self.rng.random() < self.style.wordy * 0.7:
            self._asides(place.before.board, self.rng.choice((1, 1, 2)))
        if again is not None:
            row = self.style.taste.pick(self.rng, shaped(tables.AGAIN_RETURNS))
            self._say_with_again(row.text, place.before.board.turn, again)
            self._named(place, Row("", row.shape), tense=self._tense())
        elif self.rng.random() < self.style.unmarked_returns:
            self._named(place, Row("", self._shape("NNNNS")), tense=self._tense())
        else:
            self._named(place, self._shaped_pick(tables.RETURNS), tense=self._tense())

    def _shaped_pick(self, table: str) -> Row:
        shapes = self.style.shapes
        base = {"B": shapes["V"], "G": shapes["V"], **shapes}
        found = [Row(row.text, row.shape, row.weight * base[row.shape]) for row in shaped(table)]
        return self.style.taste.pick(self.rng, found)

    # Side lines

    def _stop(self, lines: list[Line]) -> None:
        rng = self.rng
        start = lines[0].start
        told_to = self._told_to()
        self.talk.stop()
        if rng.random() < self.style.wordy and start.before is not None:
            self._asides(start.board, rng.choice((1, 2, 2, 3)))
        if rng.random() < 0.55:
            self._break()
        if rng.random() < self.style.before:
            self._row(asides.BEFORE_SIDES, self._wording(start.board.turn))
        late = told_to - int(start.key)
        for index, line in enumerate(lines):
            opener = self._opener(line, index, late)
            self._tell_line(line, opener)
            if index + 1 < len(lines) and rng.random() < 0.2:
                self._break()
        self.again = self._to_repeat(lines, late)

    def _told_to(self) -> int:
        """The last ply of the game that was announced."""
        text = " ".join([*self.talk.paragraphs, "".join(self.talk._parts)])
        numbers = [int(part.split("|")[0]) for part in text.split("{M ")[1:]]
        return max(numbers, default=0)

    def _opener(self, line: Line, index: int, late: int) -> Row:
        if index:
            return self._shaped_pick(tables.OTHER_OPENERS)
        if late == 0:
            return self._shaped_pick(tables.OPENERS)
        if late == 1:
            return self._shaped_pick(tables.LATE_OPENERS)
        return self._shaped_pick(tables.FAR_OPENERS)

    def _to_repeat(self, lines: list[Line], late: int) -> Place | None:
        if late or self.rng.random() > 0.12:
            return None
        start = lines[0].start
        if start.before and int(start.key) not in self.silent and self.rng.random() < 0.6:
            return start
        return None

    def _tell_line(self, line: Line, opener: Row) -> None:
        rng = self.rng
        would = "would" if rng.random() < self.style.would else "present"
        for index, place in enumerate(line.places):
            if index == 0:
                link = opener
            elif rng.random() < 0.30 + 0.62 * self.style.bare:
                link = Row("." if rng.random() < 0.06 else ",", self._shape("NNNNNNNNS"))
            else:
                link = self._link(tables.SIDE_LINKS)
            self._named(place, link, would if index else "present")
            if index + 1 < len(line.places):
                if index == 0 and rng.random() < 0.12:
                    self.talk.stop("?")
                if rng.random() < self.style.side_words * 0.5:
                    self._tail(place)
                if rng.random() < self.style.side_words * 0.4:
                    self._asides(place.board, 1, general=0.35)
        self._end_line(line)
        for inner in line.inside:
            self._tell_line(inner, self._shaped_pick(tables.INSIDE_OPENERS))

    def _end_line(self, line: Line) -> None:
        rng = self.rng
        last = line.places[-1].board
        mover = line.start.board.turn
        gain = material(last, mover) - material(line.start.board, mover)
        if last.is_checkmate():
            kind, side = "mate", mover
        elif abs(gain) >= 1:
            kind, side = "mover-up", mover if gain > 0 else not mover
        else:
            kind, side = "even", mover
        if rng.random() < 0.2:
            self._tail(line.places[-1])
        if rng.random() < 0.6:
            text = self._wording(side).fill(rng, self.style.taste.pick(rng, rows(asides.SIDE_ENDS[kind])).text)
            joins = rng.random() < 0.5 and text.startswith(("And ", "With "))
            self.talk.say(f", {text[0].lower()}{text[1:]}" if joins else f". {text}")
        self.talk.stop()
        if rng.random() < self.style.wordy * 0.7:
            self._asides(last, rng.choice((1, 1, 2)))
        if rng.random() < self.style.wordy:
            self._row(asides.SIDE_REASONS)

    # Names of moves

    def _named(self, place: Place, link: Row, tense: str) -> None:
        """The link, and then the move by a name that fits it."""
        assert place.before and place.move
        board, move = place.before.board, place.move
        slip = self._slip(board, move) if link.shape == "N" and self.rng.random() < self.style.slips else ""
        wording = self._wording(board.turn, tense, place)
        words = self._name(place, link.shape, wording)
        text = wording.fill(self.rng, link.text)
        if "<repeat>" in link.text and self.again is None:
            self._say_with_again(link.text, board.turn, self.places[int(place.before.key) + 1], place)
        else:
            if "<" not in link.text and text.startswith("."):
                self.talk.stop()
            self.talk.say(self._filled(text))
        if slip:
            self.talk.mark("X", slip)
            self._row(asides.SLIPS)
        self.talk.mark(place.tag, words)
        self._check_after(place)
        sentence_asks = text.split(" ")[0] in ("What", "Why", "Can", "Can't", "How", "Could") and "." not in text
        if sentence_asks and self.rng.random() < 0.5:
            self.talk.stop("?")

    def _name(self, place: Place, shape: str, wording: Wording) -> str:
        """The words that name a move."""
        assert place.before and place.move
        row = self.style.taste.pick(self.rng, self._names(place.before.board, place.move, shape))
        return wording.fill(self.rng, row.text, FORMS.get(shape, "")) + self._check(place)

    def _names(self, board: chess.Board, move: chess.Move, shape: str) -> list[Row]:
        wanted = {"N": "N", "V": "V", "B": "V", "G": "V", "S": "S"}[shape]
        while True:
            found = [
                Row(row.text, row.shape, row.weight * self._clarity(board, move, kind, row.text))
                for kind in self._kinds(board, move)
                for row in shaped(tables.NAMES[kind])
                if row.shape == wanted
            ]
            fit = [row for row in found if row.weight > 0]
            if fit:
                return fit
            wanted = "N"

    def _clarity(self, board: chess.Board, move: chess.Move, kind: str, row: str) -> float:
        """1 for a name that fits no other legal move, less where the listener has to guess."""
        if kind in SURE_NAMES:
            return 1.0
        others = sum(1 for other in board.legal_moves if other != move and _also_fits(board, move, other, kind, row))
        if not others:
            return 1.0
        return 0.5 if "retake" in kind or kind == "trade" else self.style.loose_names * 0.1

    def _kinds(self, board: chess.Board, move: chess.Move) -> list[str]:
        """The tables whose names say enough for the move."""
        rng = self.rng
        if board.is_castling(move):
            return ["castle", "short" if chess.square_file(move.to_square) == 6 else "long"]
        piece = board.piece_type_at(move.from_square)
        takes = board.is_capture(move)
        if move.promotion:
            return ["promote-take" if takes else "promote"]
        if board.is_en_passant(move):
            return ["en-passant"]
        loose = self.style.loose_names
        retakes = takes and bool(board.move_stack) and board.move_stack[-1].to_square == move.to_square
        if piece == chess.PAWN:
            if not takes:
                double = abs(move.to_square - move.from_square) == 16
                return ["pawn", "double" if double else "step"] if rng.random() < loose else ["pawn"]
            found = ["pawn-take"]
            if retakes and rng.random() < loose * 1.4:
                found.append("pawn-retake")
            return found
        twin = _twin(board, move)
        if takes:
            found = ["twin-take" if twin and rng.random() < 0.8 else "take"]
            if retakes and rng.random() < loose * 1.4:
                found.append("retake")
                if board.piece_type_at(move.to_square) == piece:
                    found.append("trade")
            elif rng.random() < loose * 0.3 and sum(1 for _ in board.generate_legal_captures()) <= 2:
                found.append("bare-take")
            return found
        found = ["twin" if twin and rng.random() < 0.85 else "piece"]
        forward = (chess.square_rank(move.to_square) - chess.square_rank(move.from_square)) * (1 if board.turn else -1)
        if forward < 0 and not twin:
            found.append("back")
        if piece == chess.KING:
            found.append("king")
            if move.to_square in (chess.A1, chess.H1, chess.A8, chess.H8):
                found.append("corner")
        elif chess.square_rank(move.from_square) in (0, 7) and board.fullmove_number < 14 and forward > 0:
            found.append("develop")
        own_last = board.move_stack[-2] if len(board.move_stack) > 1 else None
        if own_last and own_last.to_square == move.from_square and rng.random() < loose:
            found.append("obvious")
        return found

    def _check(self, place: Place) -> str:
        if place.board.is_checkmate():
            return self.style.taste.pick(self.rng, rows(tables.MATES)).text if self.rng.random() < 0.7 else ""
        if place.board.is_check() and self.rng.random() < self.style.checks:
            return self.style.taste.pick(self.rng, rows(tables.CHECKS)).text
        return ""

    def _check_after(self, place: Place) -> None:
        told = self.talk._parts[-1]
        if place.board.is_checkmate() and "mate" not in told:
            self.talk.say(self.style.taste.pick(self.rng, rows(tables.MATES_AFTER)).text)
        elif place.board.is_check() and "check" not in told and self.rng.random() < 0.2:
            self.talk.say(self.style.taste.pick(self.rng, rows(tables.CHECKS_AFTER)).text)

    def _slip(self, board: chess.Board, move: chess.Move) -> str:
        """The name of another move that slips out."""
        other = choose(self.rng, board, 1.5, {move})
        return self._plain_name(board, other) if other else ""

    def _plain_name(self, board: chess.Board, move: chess.Move) -> str:
        row = self.style.taste.pick(self.rng, self._names(board, move, "N"))
        return _move_wording(board, move).fill(self.rng, row.text)

    # Sentences that name no move of the line, or name one again

    def _again(self, table: str, place: Place, second: Place) -> None:
        assert place.before
        row = self.style.taste.pick(self.rng, rows(table))
        self._say_with_again(row.text, place.before.board.turn, place, second)

    def _say_with_again(self, row: str, side: chess.Color, place: Place, second: Place | None = None) -> None:
        """Says a row in which <repeat>, and <second>, stand for moves that were told before."""
        marks = {"repeat": place, "second": second or place}
        slots = {tag: f"\x00{tag}\x00" for tag in marks} | {
            "number": in_words(_number(place)),
            "n": self.rng.choice(("two", "a few", "three")),
        }
        subject = self._subjects(side)
        text = Wording({**slots}, subject, self._tense()).fill(self.rng, row)
        for index, part in enumerate(text.split("\x00")):
            if index % 2 == 0:
                self.talk.say(part)
                continue
            again = marks[part]
            assert again.before and again.move
            self.talk.mark(f"R {again.tag}", self._plain_name(again.before.board, again.move))

    def _plan(self, place: Place) -> None:
        """A move that the side would make if it had one more."""
        board = place.board.copy()
        if board.is_check():
            return
        side = not board.turn
        board.push(chess.Move.null())
        move = choose(self.rng, board, 0.6)
        for _ in range(2):
            if move is not None and not (board.is_capture(move) or board.gives_check(move)):
                move = choose(self.rng, board, 0.6)
        if move is None:
            return
        row = self._shaped_pick(tables.PLANS)
        wording = self._wording(side)
        text = wording.fill(self.rng, row.text)
        joins = text[0].islower() and not self.talk.ended
        self.talk.say(f", {text}" if joins else f". {text}")
        name_row = self.style.taste.pick(self.rng, self._names(board, move, row.shape))
        words = _move_wording(board, move, wording.subjects).fill(self.rng, name_row.text, FORMS.get(row.shape, ""))
        self.talk.mark("X", words)
        self._row(tables.PLAN_ENDS)

    def _tail(self, place: Place) -> None:
        assert place.before and place.move
        if self.talk.ended:
            return
        facts = move_facts(place.before.board, place.move)
        kinds = sorted({kind for kind, _ in facts})
        kind = self.rng.choices(kinds, [TAIL_WEIGHTS.get(kind, 1.0) for kind in kinds])[0]
        slots = self.rng.choice([slots for each, slots in facts if each == kind])
        self._row(tables.TAILS[kind], Wording(slots, {}))

    def _asides(self, board: chess.Board, count: int, general: float = 0.5) -> None:
        self.talk.stop()
        for _ in range(count):
            facts = position_facts(board)
            kinds = sorted({kind for kind, _ in facts})
            kind = "any" if self.rng.random() < general or not kinds else self.rng.choice(kinds)
            fact: Fact = ("any", {})
            if kind != "any":
                fact = self.rng.choice([fact for fact in facts if fact[0] == kind])
            rest = [row for row in rows(asides.ASIDES[kind]) if f"{row.text} {fact[1].get('sq')}" not in self.used]
            row = self.style.taste.pick(self.rng, rest or rows(asides.ASIDES["any"]))
            self.used.add(f"{row.text} {fact[1].get('sq')}")
            slots = {tag: words for tag, words in fact[1].items() if tag not in ("side", "other")}
            subjects = {
                tag: self._subject(SIDES.index(side) == 1)
                for tag, side in fact[1].items()
                if tag in ("side", "other")
            }
            self.talk.stop()
            self.talk.say(self._filled(Wording(slots, subjects, main="side").fill(self.rng, row.text)))
        self.talk.stop()

    def _row(self, table: str, wording: Wording | None = None) -> None:
        row = self.style.taste.pick(self.rng, rows(table))
        self.talk.say(self._filled((wording or Wording({}, {})).fill(self.rng, row.text)))

    def _filled(self, text: str) -> str:
        """The text, perhaps with a filler at its first comma."""
        if "," in text and self.rng.random() < self.style.fillers * 3:
            filler = self.style.taste.pick(self.rng, rows(asides.FILLERS)).text
            before, _, after = text.partition(",")
            return f"{before}, {filler},{after}"
        return text

    # Who is who

    def _subject(self, side: chess.Color) -> Subject:
        player, pronoun = self.players[side]
        possessive = {"he": "his", "she": "her"}[pronoun]
        if self.style.first_person == side:
            return Subject("I", "I", "my", 1)
        kind = self.rng.choices((0, 1, 2), self.style.turn)[0]
        if kind == 0:
            return Subject(SIDES[side], pronoun, possessive)
        return Subject(player if kind == 1 else pronoun, pronoun, possessive)

    def _subjects(self, side: chess.Color) -> dict[str, Subject]:
        own, opponent = self._subject(side), self._subject(not side)
        return {"sub": own, "opp": opponent, "side": own, "other": opponent}

    def _wording(self, side: chess.Color, tense: str = "present", place: Place | None = None) -> Wording:
        subjects = self._subjects(side)
        if place is None or place.before is None or place.move is None:
            return Wording({}, subjects, tense)
        slots = _move_slots(place.before.board, place.move) | {
            "number": in_words(_number(place)),
            "n": self.rng.choice(("two", "a few", "three")),
        }
        return Wording(slots, subjects, tense)


def _move_slots(board: chess.Board, move: chess.Move) -> dict[str, str]:
    victim = board.piece_type_at(move.to_square)
    return {
        "piece": name(board.piece_type_at(move.from_square)),
        "sq": chess.square_name(move.to_square),
        "from": chess.square_name(move.from_square),
        "file": chess.FILE_NAMES[chess.square_file(move.from_square)],
        "victim": name(victim),
        "queen": name(move.promotion) if move.promotion else "queen",
    }


def _move_wording(board: chess.Board, move: chess.Move, subjects: Mapping[str, Subject] | None = None) -> Wording:
    return Wording(_move_slots(board, move), subjects or {"sub": Subject("he", "he", "his")})


def _number(place: Place) -> int:
    """The number of the move that led to a place, as players count."""
    assert place.before
    return place.before.board.fullmove_number


def _twin(board: chess.Board, move: chess.Move) -> bool:
    """Another piece of the same kind could go there."""
    piece = board.piece_type_at(move.from_square)
    return any(
        other.from_square != move.from_square and board.piece_type_at(other.from_square) == piece
        for other in board.generate_legal_moves(to_mask=chess.BB_SQUARES[move.to_square])
    )


def _also_fits(board: chess.Board, move: chess.Move, other: chess.Move, kind: str, row: str) -> bool:
    """What a row says of a move is true of the other one too."""
    same_piece = board.piece_type_at(move.from_square) == board.piece_type_at(other.from_square)
    takes = board.is_capture(other)
    if kind.startswith("pawn") and not same_piece:
        return False
    if "take" in kind:
        if not takes or ("<victim>" in row and not _same_piece_at(board, move.to_square, other.to_square)):
            return False
    elif takes and "<sq>" not in row:
        return False
    if "<piece>" in row and not same_piece:
        return False
    if "<sq>" in row and move.to_square != other.to_square:
        return False
    if "<file>" in row and chess.square_file(move.from_square) != chess.square_file(other.from_square):
        return False
    return not ("<from>" in row and move.from_square != other.from_square)


def _same_piece_at(board: chess.Board, first: chess.Square, second: chess.Square) -> bool:
    return board.piece_type_at(first) == board.piece_type_at(second)


def _sans(places: Sequence[Place]) -> str:
    return " ".join(
        before.board.san(place.move)
        for before, place in pairwise(places)
        if place.move is not None
    )


def _letters(number: int) -> str:
    """a to z, then aa, ab and so on."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("a") + rest) + text
    return text


def narration(seed: str, plies: int | None = None) -> str:
    """A lesson script. plies: how long the game is, where it does not end before."""
    rng = random.Random(seed)
    if plies is None:
        plies = rng.randint(20, 30) if rng.random() < 0.28 else rng.randint(47, 65)
    start = chess.Board()
    if rng.random() < 0.07:
        for move in long_game(rng, start, rng.randint(24, 60)):
            start.push(move)
        start = chess.Board(start.fen())
        if start.legal_moves.count() < 2:
            start = chess.Board()
    moves = long_game(rng, start, plies)
    return Narrator(rng, start, moves).script(f"Lesson {seed}")


def main() -> None:
    parser = argparse.ArgumentParser(description="Writes made-up lessons as lesson scripts.")
    parser.add_argument("seed", type=int)
    parser.add_argument("out", type=Path)
    parser.add_argument("--count", type=int, default=1)
    parser.add_argument("--plies", type=int)
    parser.add_argument("--games", action="store_true")
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    for number in range(given.seed, given.seed + given.count):
        text = narration(str(number), given.plies)
        path = given.out / f"z{number}.lesson.txt"
        path.write_text(text, encoding="utf-8")
        if given.games:
            (given.out / f"z{number}.pgn").write_text(_pgn(text), encoding="utf-8")


def _pgn(script: str) -> str:
    header = dict(line[2:].split(": ", 1) for line in script.splitlines() if line.startswith("# "))
    board = chess.Board(header.get("start", chess.STARTING_FEN))
    for san in header["game"].split():
        board.push_san(san)
    return f"{chess.pgn.Game.from_board(board)}\n"


if __name__ == "__main__":
    main()
