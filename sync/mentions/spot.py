"""Spots the places of a talk that may name a move."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from typing import Any

import chess

from sync.mentions import tables
from sync.mentions.atoms import STRONG_BREAK, Atom, atoms, plain
from sync.mentions.bare_squares import with_pieces_spoken_of
from sync.mentions.legal import ways
from sync.mentions.match import cheap_squares
from sync.mentions.mention import TELLS_APART, Costs, Mention
from sync.mentions.openings import OPENINGS
from sync.mentions.other_side import by_other_side
from sync.mentions.patterns import MAX_GAP, ROWS
from sync.transcript.words import Transcript, Word

BREAK_COST = 0.5
INNER = 1.0
"""Cost of a name that begins behind the first letter of a move in writing."""
RUN_TOGETHER = 1.0
"""Cost of one name where two moves told without a pause are as likely ("knight c3 takes d5")."""
TOLD_ROUND, IN_A_PICTURE = 0.5, 1.0
"""Cost of castling that is told in other words, and in a picture of the speaker's own."""
UNSAID = 1.0
"""Cost of a capture that only the pawn's file tells ("e d5"): so much that the square alone is read beside it."""
RHYMES = 1.0
"""Cost of a file and an e that were heard as a square of the third rank."""
MOST_MISHEARD = 3.0
MOST_ORIGIN_MISHEARD = 1.0
"""Two words that cost more name no square to go to, or to come from."""
MOST_FILE_MISHEARD = 2.0
DEFINITE = tables.ARTICLES - {"a", "an"}
SUFFIX_WORDS = frozenset("with and is it's its gives giving comes that's a again it".split())
OPENINGS_BEGIN = frozenset(name.split()[0] for name in OPENINGS)
WINGS = {"king's": "king", "kings": "king", "queen's": "queen", "queens": "queen"}
ON = frozenset({"on", "from", "at", "of", "upon"})
FILE_WORD = frozenset({"file", "files", "line"})
RANK_WORD = frozenset({"rank", "row"})
SAYS_WHERE = frozenset({"S", "S2", "S3", "P", "P2"})
TAKES_LITTLE = tables.WEAK_TAKES | tables.HELPS
TAKEN_OTHERWISE = SAYS_WHERE | {"PS", "F", "X", "C", "to"}
"""What a word for the piece that is taken is not."""
ONE = frozenset({"1", "one", "a", "single"})
TWO = frozenset({"2", "two", "to", "too"})
PROMOTING = ("_ N", "_ Q", "_ Q _ N")
"""What stands for Z in the rows."""
SQUARES = frozenset({"square", "squares", "step", "steps", "more", "further"})
PLURALS = frozenset(form for forms in tables.PIECES.values() for form in forms if form.endswith("s"))
LAST_RANKS = tuple(chess.SquareSet(chess.BB_RANK_1 | chess.BB_RANK_8))
SKIPPED_BEFORE_SQUARE = frozenset({"to", "into", "2", "two", "too", "on", "for"})


@dataclass(frozen=True, slots=True)
class _Match:
    """Where the next part may begin, and what the parts so far have said."""

    at: int
    slots: tuple[tuple[str, Any], ...] = ()
    cost: float = 0.0
    gaps: int = 0
    breaks: int = 0
    parts: tuple[tuple[str, int, int], ...] = ()

    def step(self, at: int, cost: float, *slots: tuple[str, Any]) -> _Match:
        parts = tuple((part, self.at, at) for part, _ in slots)
        return _Match(at, self.slots + slots, self.cost + cost, self.gaps, self.breaks, self.parts + parts)


def spot(transcript: Transcript) -> tuple[Mention, ...]:
    """Every reading of every stretch of words that may name a move, by first word, longer ones first.

    Readings overlap: which of them are moves, and where, is for the follower to say.

    >>> words = (Word("knight", 0.0, 0.3), Word("F3", 0.3, 0.8))
    >>> [(mention.form, mention.heard) for mention in spot(Transcript(words, 1.0, "example"))]
    [('piece-square', 'knight F3'), ('square', 'F3')]
    """
    found = atoms(transcript.words)
    mentions: list[Mention] = []
    for at in range(len(found)):
        mentions += _openings(found, at, transcript.words)
        if found[at].meanings:
            mentions += _at(found, at, transcript.words)
    mentions += by_other_side(found, mentions, transcript.words)
    kept = _without_contained(sorted(mentions, key=lambda mention: mention.first), transcript.words)
    return tuple(with_pieces_spoken_of(found, kept))


def _openings(found: list[Atom], at: int, words: tuple[Word, ...]) -> Iterator[Mention]:
    """The longest opening's name that begins at a word."""
    if found[at].text not in OPENINGS_BEGIN:
        return
    for length in (3, 2, 1):
        name = " ".join(atom.text for atom in found[at : at + length]).replace("defense", "defence")
        if name not in OPENINGS or at + length > len(found):
            continue
        first, last = found[at].word, found[at + length - 1].word + 1
        yield Mention(
            first=first,
            last=last,
            start=words[first].start,
            end=words[last - 1].end,
            heard=" ".join(word.text for word in words[first:last]),
            form="opening",
            line=tuple(OPENINGS[name].split()),
        )
        return


def _at(found: list[Atom], at: int, words: tuple[Word, ...]) -> Iterator[Mention]:
    best: dict[tuple[int, str], Mention] = {}
    start = _Match(at, cost=INNER if found[at].inner else 0.0)
    matches = sorted(_follow(found, start, _rows_from(frozenset(found[at].meanings))), key=lambda each: each[0])
    for _, form, match in matches:
        for told in (match, *_clarified(found, match)):
            mention = _mention(found, at, told, form, words)
            if not _sensible(mention) or _says_too_little(told, form):
                continue
            key = mention.last, _signature(mention)
            if key not in best or _total(mention) < _total(best[key]):
                best[key] = mention
    yield from sorted(best.values(), key=lambda mention: -mention.last)


def _sensible(mention: Mention) -> bool:
    """Not two names run together across commas, and no promotion away from the last rank."""
    if any(part == "G" for part, _, _ in mention.parts):
        return mention.breaks <= 1
    if mention.may_be_two and not _goes_there(mention):
        return False
    if mention.breaks >= 2 or (mention.breaks and mention.form in ("square-square", "promotes") and mention.cost >= 1):
        return False
    if mention.breaks and (mention.form == "file-takes" or _comes_from_square(mention) or _takes_then_names(mention)):
        return False
    if mention.form == "square-square" or (mention.origin and mention.breaks and mention.form == "piece-square"):
        return not mention.breaks or _is_file_apart(mention)
    if mention.promotion and mention.to:
        return min(mention.to[square] for square in LAST_RANKS) < 1.0
    return True


def _goes_there(mention: Mention) -> bool:
    """On an empty board the piece could go from the one square to the other."""
    assert mention.piece and mention.origin and mention.to
    begins, ends = cheap_squares(mention.origin, 1.0), cheap_squares(mention.to, 1.0)
    return any(
        ways(piece, square) & ends
        for piece in chess.PIECE_TYPES
        if mention.piece[piece] < 1.0
        for square in chess.scan_forward(begins)
    )


def _is_file_apart(mention: Mention) -> bool:
    """A comma behind the file: "rook a, d8"."""
    return [part for part, _, _ in mention.parts] == ["P", "F", "S"] and not mention.gaps and mention.cost <= BREAK_COST


def _says_too_little(match: _Match, form: str) -> bool:
    """A verb that often says something else, and nothing of what it takes or where."""
    return form in ("takes", "takes-with") and dict(match.slots).get("X") in TAKES_LITTLE


def _comes_from_square(mention: Mention) -> bool:
    """The words say the square it comes from and may say two moves: "knight c3 takes d5", "the d5 knight c3"."""
    if mention.form == "piece-square":
        return mention.parts[0][0] == "D"
    return mention.takes and any(part == "D" for part, _, _ in mention.parts)


def _told_of(mention: Mention, words: Sequence[Word]) -> bool:
    """A piece by its square, which is one move: "the f1 rook to d1"."""
    parts = [part for part, _, _ in mention.parts]
    before = words[mention.first - 1].text.lower() if mention.first else ""
    return parts == ["D", "P", "S"] and mention.gaps == 1 and before in tables.DETERMINERS


def _has_and(mention: Mention) -> bool:
    """Two moves may be named: "bishop takes and f4"."""
    return " and " in f" {mention.heard.lower()} "


def _takes_then_names(mention: Mention) -> bool:
    """A promotion by a capture without a word for promoting: "takes d8, rook d8" is two moves."""
    return mention.form == "promotes" and mention.takes and all(part != "Q" for part, _, _ in mention.parts)


def _by_king(mention: Mention) -> bool:
    """ "Check, king takes, h5": what takes the king's checker is often told no more."""
    return mention.piece is not None and not mention.piece[chess.KING]


def _signature(mention: Mention) -> str:
    return "".join(
        "1" if slot else "0"
        for slot in (mention.piece, mention.to, mention.origin, mention.victim, mention.takes, mention.castle,
                     mention.promotion)
    )  # fmt: skip


def _total(mention: Mention) -> float:
    slots = (mention.piece, mention.to, mention.origin, mention.victim)
    return mention.cost + sum(min(slot) for slot in slots if slot) + 0.3 * mention.gaps + mention.breaks


STRANGE_VERB = 0.4
ARTICLE = 2.0
"""Nats by which "a" before a square is hardly ever an article: it is a file ("rook a d8")."""
LEADING = frozenset("to on onto into back up down over across in out".split())

FIRST_MEANINGS = {
    "P": ("P", "P2", "PS"), "S": ("S", "S2", "S3", "F"), "D": ("S",), "e": ("S",), "F": ("F",), "f": ("F",),
    "X": ("X",), "C": ("C",), "K": ("short", "long", "P"), "E": ("E", "E2"), "W": ("P",), "V": ("V",), "O": ("O",),
    "A": ("A",), "Q": ("Q",), "p": ("P",), "c": ("check",), "h": ("hides",), "g": ("V",), "u": ("V",),
    "x": ("X", "gives"), "w": ("with",), "B": ("P", "P2"), "m": ("P",), ">": ("off",), "<": ("off",), "T": ("V", "to"),
    "L": ("F",),
}  # fmt: skip


@dataclass(slots=True)
class _Rows:
    """Rows of patterns.ROWS that begin alike: the ones that end here, as (number, form), and what may come next."""

    ended: list[tuple[int, str]] = field(default_factory=list)
    following: dict[str, _Rows] = field(default_factory=dict)


@cache
def _all_rows() -> _Rows:
    start = _Rows()
    for number, (form, parts) in enumerate(ROWS):
        for ending in PROMOTING if "Z" in parts else ("",):
            rows = start
            for part in parts.replace("Z", ending).split():
                rows = rows.following.setdefault(part, _Rows())
            rows.ended.append((number, form))
    return start


@cache
def _rows_from(meanings: frozenset[str]) -> _Rows:
    """The rows that may begin at a word with these meanings."""
    following = _all_rows().following
    return _Rows(
        following={part: rows for part, rows in following.items() if meanings.intersection(FIRST_MEANINGS[part])}
    )


def _follow(found: list[Atom], match: _Match, rows: _Rows) -> Iterator[tuple[int, str, _Match]]:
    """Every way to the end of a row: the row's number, its form, and what was said."""
    for number, form in rows.ended:
        yield number, form, match
    for part, following in rows.following.items():
        for longer in _part(found, match, part):
            yield from _follow(found, longer, following)


def _part(found: list[Atom], match: _Match, part: str) -> Iterator[_Match]:
    """The ways in which one part of a row can stand at a place."""
    if part == "_":
        yield from _gap(found, match)
        return
    at = match.at
    if part == "S" and match.slots and match.slots[-1][0] == "S":  # said within the piece's word ("95")
        yield match
        return
    if at >= len(found):
        return
    nothing = match  # a part that is left out crosses no comma
    if match.slots:  # not across the end of a sentence
        pause = found[at - 1].pause
        if pause == STRONG_BREAK and not (part in "Qq" and found[at].text in tables.PROMOTING):
            return
        if pause:
            match = replace(match, cost=match.cost + BREAK_COST, breaks=match.breaks + 1)
    atom = found[at]
    meanings = atom.meanings
    match part:
        case "P" | "B" | "N" | "Y":
            for value, cost in meanings.get("P", ()):
                if part != "Y" or atom.text in PLURALS:
                    yield match.step(at + 1, cost, ({"Y": "P"}.get(part, part), value))
            for value, cost in meanings.get("P2", ()):
                if part != "Y":
                    yield match.step(at + 2, cost, (part, value))
            if part == "P":
                for value, cost in meanings.get("PS", ()):
                    piece, square = value
                    yield match.step(at + 1, cost, ("P", piece), ("S", (square, 0.0)))
        case "p":
            for value, cost in meanings.get("P", ()):
                if value == chess.PAWN:
                    yield match.step(at + 1, cost, ("P", value))
        case "F":
            for value, cost in meanings.get("F", ()):
                yield match.step(at + 1, cost, ("F", value))
        case "f":
            for value, cost in meanings.get("F", ()):
                if cost < MOST_ORIGIN_MISHEARD:
                    yield match.step(at + 1, cost, ("F", value))
        case "R":
            for value, cost in meanings.get("R", ()):
                yield match.step(at + 1, cost, ("R", value))
        case "L":
            for value, cost in meanings.get("F", ()):
                if cost < MOST_FILE_MISHEARD:
                    yield match.step(at + 1, cost, ("L", value))
        case "S":
            yield from _square(found, match)
        case "D":
            for value, cost in meanings.get("S", ()):
                yield match.step(at + 1, cost, ("D", value))
            for value, cost in _spelled(found, at):
                if cost < MOST_ORIGIN_MISHEARD:
                    yield match.step(at + 2, cost, ("D", value))
        case "e":
            if at and found[at - 1].text in DEFINITE and not found[at - 1].pause:
                yield from (match.step(at + 1, cost, ("D", value)) for value, cost in meanings.get("S", ()))
        case "X":
            for value, cost in meanings.get("X", ()):
                yield match.step(at + 1, cost, ("X", value))
        case "C":
            for value, cost in meanings.get("C", ()):
                yield match.step(at + 1, cost, ("C", value))
        case "K":
            yield from _castling_side(found, match)
        case "E":
            if "E" in meanings:
                yield match.step(at + 1, 0.0, ("E", True))
            if "E2" in meanings:
                yield match.step(at + 2, 0.0, ("E", True))
        case "A" | "H" | "O" | "Q" | "V":
            if part in meanings:
                yield match.step(at + 1, 0.0, (part, atom.text))
        case "q":
            if "Q" in meanings and "P" not in meanings:
                yield match.step(at + 1, 0.0, ("Q", atom.text))
        case "a":
            yield nothing
            if atom.text in tables.ARTICLES:
                yield match.step(at + 1, 0.0)
        case "d":
            if atom.text in DEFINITE:
                yield match.step(at + 1, 0.0)
        case "w":
            if atom.text in tables.WITH:
                yield match.step(at + 1, 0.0)
        case "o":
            yield from _on(found, match)
        case "G":
            if len(atom.text) == 2 and atom.text[0] in chess.FILE_NAMES and atom.text[1] == "2":
                yield match.step(at + 1, 0.0, ("G", chess.FILE_NAMES.index(atom.text[0])))
        case "J":
            yield from _file_and_e(found, match)
        case "v":
            if atom.text in tables.ADVANCES:
                yield match.step(at + 1, 0.0)
        case "j":
            if atom.text in tables.TAKES_STEPS:
                yield match.step(at + 1, 0.0)
        case "c":
            if "check" in meanings:
                yield match.step(at + 1, 0.0)
        case "h":
            if "hides" in meanings:
                yield match.step(at + 1, 0.0)
        case "s":
            yield from _safe(found, match)
        case "m":
            if any(piece == chess.KING and not cost for piece, cost in meanings.get("P", ())):
                yield match.step(at + 1, TOLD_ROUND, ("C", "any"))
        case "^":
            yield replace(nothing, cost=nothing.cost + UNSAID, slots=(*nothing.slots, ("X", "")))
        case "!":
            yield from _gone(found, match)
        case ">":
            yield from _off_comes(found, match, at + 1)
        case "<":
            if at + 1 < len(found) and found[at + 1].text in ("it", "they"):
                yield from _off_comes(found, match, at + 2)
        case "*":
            if not TAKEN_OTHERWISE & meanings.keys():
                yield match.step(at + 1, 0.0)
        case "W":
            side = WINGS.get(atom.text) or _wing_of_pawn(found, at)
            if side:
                yield match.step(at + 1, 0.0, ("W", side))
        case "z":
            yield from _corner(found, match)
        case "g":
            if atom.text in tables.GOING:
                yield match.step(at + 1, TOLD_ROUND, ("C", "any"))
        case "u":
            if atom.text in tables.DOUBLING:
                yield match.step(at + 1, 0.0, ("P", chess.ROOK))
        case "x":
            yield from _giving(found, match)
        case "y":
            if atom.text == "for":
                yield match.step(at + 1, 0.0)
        case "n":
            if atom.text == "one":
                yield match.step(at + 1, 0.0)
        case "l":
            if atom.text in FILE_WORD:
                yield match.step(at + 1, 0.0)
        case "t":
            yield nothing
            yield from _going_to(found, match)
        case "T":
            yield from _going_to(found, match)
        case "k":
            yield nothing
            if atom.text in FILE_WORD:
                yield match.step(at + 1, 0.0)
        case "r":
            yield from _on_rank(found, match)
        case "~":
            one_word = found[at - 1].word == atom.word
            yield nothing if one_word else replace(nothing, cost=nothing.cost + RUN_TOGETHER)
        case "1":
            if atom.text in ONE and at + 1 < len(found) and found[at + 1].text in SQUARES:
                yield match.step(at + 2, 0.0, ("steps", 1))
        case "2":
            if atom.text in TWO and at + 1 < len(found) and found[at + 1].text in SQUARES:
                yield match.step(at + 2, 0.0, ("steps", 2))


def _gap(found: list[Atom], match: _Match) -> Iterator[_Match]:
    yield match
    breaks, cost = match.breaks, match.cost
    slots = match.slots
    strange = False
    for length in range(1, MAX_GAP + 1):
        at = match.at + length
        if at >= len(found):
            return
        if "gap" not in found[at - 1].meanings:
            if strange or not _is_strange_verb(found, at - 1):
                return
            strange = True
        pause = found[at - 2].pause if at >= 2 else 0
        if pause == STRONG_BREAK:
            return
        if pause:
            breaks, cost = breaks + 1, cost + BREAK_COST
        atom = found[at - 1]
        cost += atom.meanings["gap"][0][1] if "gap" in atom.meanings else STRANGE_VERB
        if atom.text == "a" and at < len(found) and found[at].text in chess.SQUARE_NAMES:
            cost += ARTICLE
        for kind in ("A", "H", "O"):
            if kind in atom.meanings:
                slots = (*slots, (kind, atom.text))
        yield _Match(at, slots, cost, match.gaps + length, breaks, match.parts)


def _is_strange_verb(found: list[Atom], at: int) -> bool:
    """Looks like a verb that no table has, and a way to somewhere follows: "the rook *rises* to d4"."""
    text = found[at].text
    return (
        not found[at].meanings
        and text.endswith(("s", "ed"))
        and len(text) > 3
        and text.isalpha()
        and found[at].pause == 0
        and found[at + 1].text in LEADING
    )


def _going_to(found: list[Atom], match: _Match) -> Iterator[_Match]:
    """ "to", "goes", and "goes to"."""
    at = match.at
    if found[at].text in tables.GOES:
        at += 1
        yield match.step(at, 0.0)
    if at < len(found) and found[at].text in SKIPPED_BEFORE_SQUARE:
        yield match.step(at + 1, 0.0)


def _on(found: list[Atom], match: _Match) -> Iterator[_Match]:
    """ "on", and "on the"."""
    at = match.at
    if found[at].text not in ON:
        return
    yield match.step(at + 1, 0.0)
    if at + 1 < len(found) and found[at + 1].text == "the":
        yield match.step(at + 2, 0.0)


def _giving(found: list[Atom], match: _Match) -> Iterator[_Match]:
    """ "gives up", "gives", "trades": what stands before a piece that is given for another, which it takes."""
    at = match.at
    meanings = found[at].meanings
    if any(word in tables.TRADES for word, _ in meanings.get("X", ())):
        yield match.step(at + 1, 0.0, ("gives", True))
    if "gives" in meanings:
        up = at + 1 < len(found) and found[at + 1].text == "up"
        yield match.step(at + 1 + up, 0.0, ("gives", True))


def _gone(found: list[Atom], match: _Match) -> Iterator[_Match]:
    """ "falls", "come off", "are traded": what is said of pieces that are taken, of two alike if there are more."""
    at = match.at
    plural = found[at - 1].text in PLURALS
    taken = "swaps" if plural else "falls"
    if found[at].text in tables.FALLS or (plural and found[at].text == "off"):
        yield match.step(at + 1, 0.0, ("X", taken))
    if found[at].text not in tables.COMES_OFF or at + 1 >= len(found):
        return
    if found[at + 1].text in tables.OFF:
        yield match.step(at + 2, 0.0, ("X", taken))
    if found[at + 1].text in tables.SWAPPED:
        yield match.step(at + 2, 0.0, ("X", found[at + 1].text))


def _off_comes(found: list[Atom], match: _Match, at: int) -> Iterator[_Match]:
    """ "off" and, at a later word, "comes"."""
    if found[match.at].text == "off" and at < len(found) and found[at].text in tables.COMES_OFF:
        yield match.step(at + 1, 0.0, ("X", "falls"))


def _wing_of_pawn(found: list[Atom], at: int) -> str | None:
    """ "King pawn" stands for "king's pawn"."""
    if found[at].text not in ("king", "queen") or found[at].pause or at + 1 >= len(found):
        return None
    pawn = any(piece == chess.PAWN for piece, _ in found[at + 1].meanings.get("P", ()))
    return found[at].text if pawn else None


def _corner(found: list[Atom], match: _Match) -> Iterator[_Match]:
    """ "the corner", which stands for four squares, of which a king can reach one."""
    for begin in _part(found, match, "a"):
        if begin.at < len(found) and found[begin.at].text == "corner":
            yield begin.step(begin.at + 1, 0.0, ("corner", True))


def _on_rank(found: list[Atom], match: _Match) -> Iterator[_Match]:
    """ "on the third rank"."""
    for on in _on(found, match):
        if on.at + 1 < len(found) and found[on.at].text in tables.ORDINALS and found[on.at + 1].text in RANK_WORD:
            yield on.step(on.at + 2, 0.0, ("R", tables.ORDINALS[found[on.at].text]))


def _clarified(found: list[Atom], match: _Match) -> Iterator[_Match]:
    """The match with what tells two like pieces apart after the move: "rook d1, the one from a1", "the a rook"."""
    slots = dict(match.slots)
    at = match.at
    if slots.get("P") in (None, chess.PAWN) or "S" not in slots or TELLS_APART & slots.keys():
        return
    if at >= len(found) or found[at - 1].pause == STRONG_BREAK:
        return
    while at + 2 < len(found) and found[at].text in tables.CLARIFYING and not found[at].pause:
        at += 1
    yield from _told_apart(found, replace(match, at=at), slots["P"])


def _told_apart(found: list[Atom], match: _Match, piece: int) -> Iterator[_Match]:
    """ "one from a1", "from a1", or "a rook" where it is not the beginning of the next name."""
    at = match.at
    if found[at].text == "one" and at + 2 < len(found) and found[at + 1].text in ON:
        yield from _part(found, replace(match, at=at + 2), "D")
    if found[at].text == "from" and at + 1 < len(found):
        yield from _part(found, replace(match, at=at + 1), "D")
    if at + 1 >= len(found) or (at + 2 < len(found) and not found[at + 1].pause and not _aside(found, at + 2)):
        return
    if any(value == piece and not cost for value, cost in found[at + 1].meanings.get("P", ())):
        for clear in _part(found, match, "f"):
            yield replace(clear, at=at + 2)


def _aside(found: list[Atom], at: int) -> bool:
    """ "The a rook, of course": nothing that belongs to another name follows."""
    return " ".join(atom.text for atom in found[at : at + 2]).startswith(tables.ASIDES)


def _square(found: list[Atom], match: _Match) -> Iterator[_Match]:
    at = match.at
    meanings = found[at].meanings
    options = tuple(meanings.get("S", ()))
    if options:
        value = tuple((str(square), cost) for square, cost in options)
        yield match.step(at + 1, 0.0, ("S", value))
    for kind, length in (("S2", 2), ("S3", 3)):
        if kind in meanings:
            yield match.step(at + length, 0.0, ("S", tuple(meanings[kind])))
    spelled = _spelled(found, at)
    if spelled and min(cost for _, cost in spelled) < MOST_MISHEARD:
        yield match.step(at + 2, 0.0, ("S", spelled))


def _file_and_e(found: list[Atom], match: _Match) -> Iterator[_Match]:
    """ "Rook f3 1": the letter e rhymes with the number three."""
    at = match.at
    text = found[at].text
    if len(text) != 2 or text[0] not in chess.FILE_NAMES or text[1] != "3" or at + 1 >= len(found):
        return
    for rank, cost in found[at + 1].meanings.get("R", ()):
        if cost < MOST_ORIGIN_MISHEARD and found[at].pause < STRONG_BREAK:
            square = (f"e{chess.RANK_NAMES[rank]}", 0.0)
            yield match.step(at + 2, RHYMES + cost, ("F", chess.FILE_NAMES.index(text[0])), ("S", square))


def _spelled(found: list[Atom], at: int) -> tuple[tuple[str, float], ...]:
    """The squares that two words may mean, file and rank, with their costs."""
    files = found[at].meanings.get("F")
    if not files or at + 1 >= len(found) or found[at].pause:
        return ()
    return tuple(
        (chess.FILE_NAMES[file] + chess.RANK_NAMES[rank], file_cost + rank_cost)
        for file, file_cost in files
        for rank, rank_cost in found[at + 1].meanings.get("R", ())
    )


def _safe(found: list[Atom], match: _Match) -> Iterator[_Match]:
    """Where a king is brought to safety, it castles."""
    at = match.at
    if match.slots[-1] != ("P", chess.KING):
        return
    if found[at].text in tables.SAFE:
        yield match.step(at + 1, TOLD_ROUND, ("C", "any"))
    if at + 1 >= len(found) or found[at].pause:
        return
    if found[at].text in tables.TO and found[at + 1].text in tables.SAFETY:
        yield match.step(at + 2, TOLD_ROUND, ("C", "any"))
    if found[at].text in tables.INTO_SHELTER and _is_shelter(found, at + 1):
        yield match.step(at + 2, IN_A_PICTURE, ("C", "any"))


def _is_shelter(found: list[Atom], at: int) -> bool:
    """Nothing of the board and no activity is named in the next words: "under a roof"."""
    for atom in found[at : at + 3]:
        if atom.text in tables.NO_SHELTER or SAYS_WHERE & atom.meanings.keys():
            return False
        if atom.pause:
            break
    return True


def _castling_side(found: list[Atom], match: _Match) -> Iterator[_Match]:
    at = match.at
    atom = found[at]
    for kind, side in (("short", "king"), ("long", "queen")):
        if kind in atom.meanings:
            yield match.step(at + 1, 0.0, ("K", side))
    if at + 1 >= len(found) or found[at + 1].text not in tables.SIDE:
        return
    for piece, _ in atom.meanings.get("P", ()):
        if piece in (chess.KING, chess.QUEEN):
            yield match.step(at + 2, 0.0, ("K", "king" if piece == chess.KING else "queen"))


def _suffix(found: list[Atom], at: int) -> tuple[int, bool, bool]:
    """Where "check" or "mate" behind the move ends, and which it was."""
    end, check, mate = at, False, False
    place, skipped = at, 0
    while place < len(found) and skipped <= 2 and (place == at or found[place - 1].pause < STRONG_BREAK):
        atom = found[place]
        if "check" in atom.meanings or "mate" in atom.meanings:
            check, mate = check or "check" in atom.meanings, mate or "mate" in atom.meanings
            end = place = place + 1
            skipped = 0
            continue
        if atom.text not in SUFFIX_WORDS:
            break
        place, skipped = place + 1, skipped + 1
    return end, check, mate


def _mention(found: list[Atom], at: int, match: _Match, form: str, words: tuple[Word, ...]) -> Mention:
    stop_before = found[match.at - 1].pause == STRONG_BREAK
    end, check, mate = (match.at, False, False) if stop_before else _suffix(found, match.at)
    first, last = found[at].word, found[end - 1].word + 1
    slots = dict(match.slots)
    trade = slots.get("X") in tables.TRADES
    piece, victim = slots.get("P"), slots.get("B")
    if trade and victim and not piece:
        piece = victim
    promotion = slots.get("N")
    if "Q" in slots and promotion is None:
        promotion = chess.QUEEN
    if (form.startswith("file") or form in ("push", "promotes")) and piece is None:
        piece = chess.PAWN
    castle = str(slots.get("K") or slots.get("C") or "") if "C" in slots else ""
    parts = tuple((part, found[begin].word, found[stop - 1].word + 1) for part, begin, stop in match.parts)
    to = _target(slots, parts, words)
    if to is not None:
        to = _as_heard_again(to, parts, words) or _as_sure(to, _sureness(parts, words))
    return Mention(
        first=first,
        last=last,
        start=words[first].start,
        end=words[last - 1].end,
        heard=" ".join(word.text for word in words[first:last]),
        form=form,
        piece=_piece_costs(piece) if isinstance(piece, int) else None,
        to=to,
        origin=_origin(slots, form),
        victim=_piece_costs(victim) if isinstance(victim, int) else None,
        takes="X" in slots or "E" in slots or "gives" in slots,
        trade=trade,
        castle=castle,
        promotion=promotion if isinstance(promotion, int) else None,
        check=check,
        mate=mate,
        en_passant="E" in slots,
        back="A" in slots or slots.get("V") in tables.BACK,
        here="H" in slots,
        other="O" in slots,
        steps=slots.get("steps", 0),
        cost=match.cost,
        gaps=match.gaps,
        breaks=match.breaks,
        parts=parts,
    )


def _sureness(parts: tuple[tuple[str, int, int], ...], words: tuple[Word, ...]) -> float:
    """How much more another square costs than the one heard, by how sure the recogniser was of its words."""
    said = [word.probability for part, first, last in parts if part == "S" for word in words[first:last]]
    least = min(said, default=1.0)
    return next(factor for bound, factor in tables.SURENESS if least >= bound)


def _as_heard_again(costs: Costs, parts: tuple[tuple[str, int, int], ...], words: tuple[Word, ...]) -> Costs | None:
    """The costs with what the sound says, where it was asked again about the one word that names the square."""
    place = square_word(parts)
    return _by_sound(costs, words[place].rivals) if place is not None and words[place].rivals else None


def square_word(parts: tuple[tuple[str, int, int], ...]) -> int | None:
    """The one word of a mention's parts that names where the move goes, if it is one."""
    places = [(first, last) for part, first, last in parts if part == "S"]
    return places[0][0] if len(places) == 1 and places[0][1] - places[0][0] == 1 else None


@lru_cache(maxsize=4096)
def _by_sound(costs: Costs, rivals: tuple[tuple[str, float], ...]) -> Costs:
    least = min(costs)
    judged = {
        chess.parse_square(name): tables.BY_SOUND * -fit + tables.BY_HEARING * (costs[chess.parse_square(name)] - least)
        for name, fit in rivals
    }
    best, worst = min(judged.values()), max(judged.values())
    return tuple(
        least + judged[square] - best if square in judged else max(cost, least + worst - best)
        for square, cost in enumerate(costs)
    )


@lru_cache(maxsize=4096)
def _as_sure(costs: Costs, factor: float) -> Costs:
    least = min(costs)
    return tuple(least + (cost - least) * factor for cost in costs)


@cache
def _piece_costs(heard: int) -> Costs:
    return tuple(0.0 if piece == heard else tables.PIECE_MISHEARD for piece in range(7))


def _target(slots: dict[str, Any], parts: tuple[tuple[str, int, int], ...], words: tuple[Word, ...]) -> Costs | None:
    if "S" in slots:
        value = slots["S"]
        options = value if isinstance(value, tuple) and isinstance(value[0], tuple) else (value,)
        return square_costs(options, _before_square(parts, words))
    if "L" in slots:
        return _file_costs(slots["L"])
    if "corner" in slots:
        return square_costs(tuple((name, 0.0) for name in tables.CORNERS))
    return None


def _origin(slots: dict[str, Any], form: str) -> Costs | None:
    if form == "doubles":
        return _other_files(slots["L"])
    if "W" in slots:
        return _wing_costs(slots["W"] == "king", slots.get("P") == chess.PAWN)
    if "G" in slots:
        return _file_costs(slots["G"])
    if "D" in slots:
        return square_costs(((str(slots["D"]), 0.0),))
    if "F" in slots:
        return _file_costs(slots["F"])
    if "R" in slots:
        return tuple(
            0.0 if chess.square_rank(square) == slots["R"] else tables.RANK_MISHEARD for square in chess.SQUARES
        )
    return None


@cache
def _wing_costs(king: bool, pawn: bool) -> Costs:
    """ "The king's rook" comes from the king's wing, "the king's pawn" from the king's file."""
    files = (4,) if king and pawn else (3,) if pawn else range(4, 8) if king else range(4)
    return tuple(0.0 if chess.square_file(square) in files else 4.0 for square in chess.SQUARES)


@cache
def _other_files(file: int) -> Costs:
    """A rook is not doubled by one that stands on the file already."""
    return tuple(tables.DOUBLED_WITHIN if chess.square_file(square) == file else 0.0 for square in chess.SQUARES)


@cache
def _file_costs(file: int) -> Costs:
    confusion = tables.FILE_CONFUSION[chess.FILE_NAMES[file]]
    by_file = [0.0 if name == chess.FILE_NAMES[file] else confusion[name] for name in chess.FILE_NAMES]
    return tuple(by_file[chess.square_file(square)] for square in chess.SQUARES)


def _before_square(parts: tuple[tuple[str, int, int], ...], words: tuple[Word, ...]) -> str:
    """The word before the square, if the square's sound depends on it."""
    first = next((first for part, first, _ in parts if part == "S"), 0)
    before = plain(words[first - 1].text) if first else ""
    return before if before in tables.FILE_CONFUSION_AFTER else ""


@cache
def square_costs(options: tuple[tuple[str, float], ...], before: str = "") -> Costs:
    """Cost of each of the 64 squares when one of the options (heard square, cost) was heard after a word."""
    costs = [99.0] * 64
    after = tables.FILE_CONFUSION_AFTER.get(before, {})
    for heard, cost in options:
        files = tables.FILE_CONFUSION[heard[0]] | after.get(heard[0], {})
        ranks = tables.RANK_CONFUSION.get(heard[1], {})
        for square in chess.SQUARES:
            name = chess.square_name(square)
            total = cost + files.get(name[0], 0.0)
            if name[1] != heard[1]:
                total += ranks.get(name[1], tables.RANK_MISHEARD)
            costs[square] = min(costs[square], total)
    return tuple(costs)


def _without_contained(mentions: list[Mention], words: Sequence[Word]) -> Iterator[Mention]:
    """Drops readings of a part of the words of a tight and cheap longer one: "f3" inside "knight to f3"."""
    begun = {mention.first for mention in mentions}
    ended = {mention.last for mention in mentions if mention.heard[-1].isalnum()}

    def perhaps_runs_on(mention: Mention) -> bool:
        """Names may follow each other without a comma: "queen takes b4" is two then."""
        runs_on = mention.first in ended and mention.last in ended and mention.last in begun
        return mention.may_be_two or _has_and(mention) or (mention.takes and (runs_on or _by_king(mention)))

    tight = [
        mention
        for mention in mentions
        if mention.full and not mention.breaks and mention.cost < 1.0
        if _told_of(mention, words)
        or not (_comes_from_square(mention) or mention.told_apart_after or perhaps_runs_on(mention))
    ]
    covers: dict[int, list[Mention]] = {}
    for mention in tight:
        if mention.form in ("piece-square", "piece-takes-square", "file-takes-square", "castles", "promotes",
                            "square-square") and mention.gaps <= 2:  # fmt: skip
            for word in range(mention.first, mention.last):
                covers.setdefault(word, []).append(mention)
    for mention in mentions:
        holders = covers.get(mention.first, ())
        if not any(_inside(mention, holder) for holder in holders):
            yield mention


def _inside(mention: Mention, holder: Mention) -> bool:
    if not (holder.first <= mention.first and mention.last <= holder.last):
        return False
    if mention.form == "square" and holder.form == "piece-square" and holder.first < mention.first:
        return False  # "the door for the other bishop d6"
    return holder.last - holder.first > mention.last - mention.first
