"""The transcript's words as atoms: for each word the chess meanings that it may have."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import Any

import chess

from sync.mentions import tables
from sync.mentions.sounds import alike, alike_squares, is_plain_english
from sync.transcript.words import MOST_RIVALS_FOR, Word

Option = tuple[Any, float]
"""A meaning's value and its cost in nats."""

SIGNED = re.compile(r"(.*[\dqrbno])(\+\+?|#)")
"""A move in writing with the sign for check or mate (PGN standard, 8.2.3.5; FIDE Laws, Appendix C 14)."""
SAN_WORD = re.compile(r"([kqrbn])([a-h]?[1-8]?)([x-]?)([a-h][1-8])")
PAWN_TAKES_WORD = re.compile(r"([a-h])([1-8]?)x([a-h][1-8])(?:=?([qrbn]))?")
SQUARE = re.compile(r"[a-h][1-8]")
FROM_TO = re.compile(r"([a-h])([1-8])?-?(?:to)?-?([a-h][1-8])")
NOISY_SQUARE = re.compile(r"([a-z]{1,3})-?([1-8])")
PROMOTED = re.compile(r"(?:([a-h])([1-8])-?)?([a-h][18])=?([qrbn])")
NINE_SQUARE = re.compile("9([a-h][1-8])")
"""A knight and a square run together: "knight d5" is heard as "9d5"."""
NINTH = re.compile("([a-h])9")
"""A square that no board has: "the g knight" is heard as "the g9"."""
GLUED = re.compile(r"(pawn|knight|bishop|rook|queen|king)-?([a-h][1-8])")
RHYMING = re.compile("([a-h]3)([1-8])")
"""A file, an e and a rank run together: "rook f e1" is heard as "rook f31"."""
WRITTEN_PIECES = {"k": chess.KING, "q": chess.QUEEN, "r": chess.ROOK, "b": chess.BISHOP, "n": chess.KNIGHT}
LEFT_OVER = 1.0
STRONG_BREAK, WEAK_BREAK = 2, 1


@dataclass(slots=True)
class Atom:
    """One word, or one part of a written-together word.

    word: index into the transcript. text: lower case, without punctuation.
    meanings: kind -> options. pause: 0, WEAK_BREAK or STRONG_BREAK after it, by punctuation.
    inner: it stands behind the first letter of a move in writing ("f3" in "Nf3").
    """

    word: int
    text: str
    meanings: dict[str, list[Option]] = field(default_factory=dict)
    pause: int = 0
    inner: bool = False

    def add(self, kind: str, value: Any, cost: float) -> None:
        self.meanings.setdefault(kind, []).append((value, cost))


def _lookup(table: dict[int, dict[str, float]]) -> dict[str, list[tuple[int, float]]]:
    found: dict[str, list[tuple[int, float]]] = {}
    for value, forms in table.items():
        for form, cost in forms.items():
            found.setdefault(form, []).append((value, cost))
    return found


PIECE_FORMS = _lookup(tables.PIECES)
FILE_FORMS = _lookup(tables.FILES)
RANK_FORMS = _lookup(tables.RANKS)


def plain(text: str) -> str:
    """Lower case, typographic marks made plain, punctuation at both ends cut off."""
    folded = unicodedata.normalize("NFC", text).lower().replace("’", "'").replace("–", "-").replace("—", "-")
    return folded.strip(" .,;:!?\"'()[]{}…-*«»“”")


def pause_after(text: str) -> int:
    ending = text.rstrip("\"')”’» ")
    if ending.endswith((".", "!", "?", "…", ";", ":")):
        return STRONG_BREAK
    if ending.endswith((",", "-", "–", "—")):
        return WEAK_BREAK
    return 0


def talk_text(texts: Iterable[str]) -> str:
    """Words as one text, with their commas, but without a mark at the end."""
    return " ".join(texts).rstrip(" .,;:!?-")


def atoms(words: tuple[Word, ...]) -> list[Atom]:
    """All atoms of a transcript in order; every word gives at least one."""
    found: list[Atom] = []
    for index, word in enumerate(words):
        parts = list(_parts(index, plain(word.text)))
        if PAWN_TAKES_WORD.match(word.text):  # "bxc4" is not "Bxc4"
            parts[0].meanings.pop("P", None)
        parts[-1].pause = pause_after(word.text)
        found += parts
    _join(found)
    _by_sound(found, words)
    _in_place_of_words(found, words)
    return found


def _parts(index: int, text: str) -> Iterator[Atom]:
    if match := SIGNED.fullmatch(text):
        yield from _parts(index, match[1])
        yield _inner(_atom(index, "mate" if match[2] == "#" else "check"))
        return
    if match := SAN_WORD.fullmatch(text):
        yield from _written(index, match)
        return
    if match := PAWN_TAKES_WORD.fullmatch(text):
        yield from _written_pawn_takes(index, match)
        return
    if (match := FROM_TO.fullmatch(text)) and match[3]:
        yield _origin(index, match[1], match[2])
        yield _atom(index, match[3])
        return
    if match := PROMOTED.fullmatch(text):
        if match[1]:
            yield _origin(index, match[1], match[2])
        yield _atom(index, match[3])
        yield _inner(_named(index, WRITTEN_PIECES[match[4]]))
        return
    if match := NINTH.fullmatch(text):
        yield _atom(index, match[1])
        yield _inner(_atom(index, "night"))
        return
    if match := NINE_SQUARE.fullmatch(text):
        square = _atom(index, match[1])
        if match[1][0] == "d":  # more often an e: the d is the end of "knight"
            square.add("S", f"e{match[1][1]}", 0.0)
        yield _atom(index, "9")
        yield square
        return
    if match := GLUED.fullmatch(text) or RHYMING.fullmatch(text):
        yield _atom(index, match[1])
        yield _atom(index, match[2])
        return
    pieces = text.split("-")
    if len(pieces) > 1 and all(pieces) and not _meanings(text):
        for piece in pieces:
            yield _atom(index, piece)
        return
    yield _atom(index, text)


def _written(index: int, match: re.Match[str]) -> Iterator[Atom]:
    letter, origin, between, target = match.groups()
    first = _named(index, WRITTEN_PIECES[letter])
    if letter == "b" and not origin and between != "-":  # "bc4", "bxc4": the pawn of the file, or the bishop
        first.add("F", chess.FILE_NAMES.index("b"), 0.5)
    if letter == "n" and not origin and not between:  # "king nf6": a letter left over from the word before
        first.add("gap", letter, LEFT_OVER)
    yield first
    if origin:
        yield _inner(_origin(index, origin[0], origin[1:]) if origin[0].isalpha() else _atom(index, origin))
    if between == "x":
        yield _inner(_atom(index, "takes"))
    yield _inner(_atom(index, target))


def _written_pawn_takes(index: int, match: re.Match[str]) -> Iterator[Atom]:
    file, _, target, promotion = match.groups()
    yield _atom(index, file)
    yield _inner(_atom(index, "takes"))
    yield _inner(_atom(index, target))
    if promotion:
        yield _inner(_named(index, WRITTEN_PIECES[promotion]))


def _inner(atom: Atom) -> Atom:
    atom.inner = True
    return atom


def _named(index: int, piece: int) -> Atom:
    atom = Atom(index, tables.PIECE_NAMES[piece])
    atom.add("P", piece, 0.0)
    return atom


def _origin(index: int, file: str, rank: str | None) -> Atom:
    """ "h2f1" is "h to f1" more often than "h2, f1"."""
    atom = Atom(index, file + (rank or ""))
    atom.add("F", chess.FILE_NAMES.index(file), 0.0 if rank in (None, "", "2") else 3.0)
    if rank:
        atom.add("S", file + rank, 0.7 if rank == "2" else 0.0)
    return atom


WORDS_BY_KIND: tuple[tuple[str, frozenset[str]], ...] = (
    ("V", tables.MOVES),
    ("A", tables.BACK),
    ("H", tables.HERE),
    ("O", tables.OTHER),
    ("Q", tables.PROMOTES),
    ("gap", tables.FILLERS | tables.TO | tables.BACK | tables.HERE | tables.MOVES),
    ("to", tables.TO),
    ("check", tables.CHECKS),
    ("short", tables.SHORT_SIDE),
    ("long", tables.LONG_SIDE),
    ("E", tables.UNPASSANT_WORDS),
    ("hides", tables.HIDES),
    ("gives", tables.GIVES),
    ("with", tables.WITH),
    ("off", tables.OFF),
)


def _atom(index: int, text: str) -> Atom:
    return Atom(index, text, {kind: list(options) for kind, options in _meanings(text).items()})


@lru_cache(maxsize=8192)
def _meanings(text: str) -> dict[str, list[Option]]:
    """What a word may mean by the tables. Not to be changed."""
    atom = Atom(0, text)
    for piece, cost in PIECE_FORMS.get(text, ()):
        atom.add("P", piece, cost)
    for file, cost in FILE_FORMS.get(text, ()):
        atom.add("F", file, cost)
    for rank, cost in RANK_FORMS.get(text, ()):
        atom.add("R", rank, cost)
    for square, cost in _squares(text):
        atom.add("S", square, cost)
    for square, cost in tables.KNIGHT_NUMBERS.get(text, ()):
        atom.add("PS", (chess.KNIGHT, square), cost)
    if text in tables.TAKES:
        atom.add("X", text, tables.TAKES[text])
    if text in tables.CASTLES:
        atom.add("C", "any", tables.CASTLES[text])
    if text in tables.CASTLE_WRITTEN:
        atom.add("C", tables.CASTLE_WRITTEN[text], 0.0)
    if text in tables.CHECK:
        atom.add("check", True, tables.CHECK[text])
    if text in tables.MATE:
        atom.add("mate", True, tables.MATE[text])
    for kind, words in WORDS_BY_KIND:
        if text in words:
            atom.add(kind, text, 0.0)
    return atom.meanings


def _squares(text: str) -> Iterator[tuple[str, float]]:
    if SQUARE.fullmatch(text):
        yield text, 0.0
        return
    yield from tables.SQUARE_WORDS.get(text, ())
    yield from tables.NUMBER_SQUARES.get(text, ())
    if match := NOISY_SQUARE.fullmatch(text):
        letters, rank = match.groups()
        if len(letters) == 1:
            for file, cost in FILE_FORMS.get(letters, ()):
                yield chess.FILE_NAMES[file] + rank, cost
        elif letters[-1] in chess.FILE_NAMES:  # "nf6", "rkc1": letters left over from the word before
            yield letters[-1] + rank, 0.7


def _join(found: list[Atom]) -> None:
    """Meanings of two words together, kept with the first one."""
    for first, second in pairwise(found):
        pair = first.text, second.text
        if pair in tables.UNPASSANT:
            first.add("E2", True, 0.0)
        if pair in tables.PIECE_PHRASES and first.pause != STRONG_BREAK:
            first.add("P2", *tables.PIECE_PHRASES[pair])
        if first.text in tables.HELPS and second.text in tables.REFLEXIVE:
            first.add("X", first.text, 0.0)


SURE = 0.9
"""A plain English word that the recogniser is surer of than this is what was said."""
SAYS_MORE = frozenset(("P", "P2", "PS", "X", "C", "S", "check", "mate"))
SHORTEST = 3
"""Letters of the shortest word that is worth sounding out."""


def _by_sound(found: list[Atom], words: tuple[Word, ...]) -> None:
    """Meanings by sound for the words that no table has and that may be misheard."""
    doubtful = [at for at, atom in enumerate(found) if _is_doubtful(atom, words[atom.word].probability)]
    for at in doubtful:
        for guess in alike(found[at].text):
            found[at].add(guess.kind, guess.value, guess.cost)
    for first, last in sorted({window for at in doubtful for window in _windows(found, at)}):
        for square, cost in alike_squares(tuple(atom.text for atom in found[first:last])):
            found[first].add(SQUARES_BY_LENGTH[last - first], square, cost)


def _in_place_of_words(found: list[Atom], words: tuple[Word, ...]) -> None:
    """Squares that the second hearing found where other words were heard; they go before guesses by the letters."""
    begins = {atom.word: at for at, atom in reversed(list(enumerate(found)))} | {len(words): len(found)}
    for index, word in enumerate(words):
        first, last = begins[index], begins.get(index + word.rivals_for)
        if not word.rivals or last is None or last - first not in SQUARES_BY_LENGTH:
            continue
        if word.rivals_for > 1 or not any("S" in atom.meanings for atom in found[first:last]):
            costs = tables.LOST_SQUARE
            kind = SQUARES_BY_LENGTH[last - first]
            found[first].meanings[kind] = [(name, costs[name[0]] - tables.BY_SOUND * fit) for name, fit in word.rivals]


SQUARES_BY_LENGTH = {1: "S", 2: "S2", 3: "S3"}


def _is_doubtful(atom: Atom, probability: float) -> bool:
    text = atom.text
    if atom.meanings or len(text) < SHORTEST or text in tables.AROUND or not (text.isascii() and text.isalpha()):
        return False
    return probability <= SURE or not is_plain_english(atom.text)


def _windows(found: list[Atom], at: int) -> Iterator[tuple[int, int]]:
    """The stretches of up to three words around a doubtful one that may be one square."""
    for first in range(max(0, at - MOST_RIVALS_FOR + 1), at + 1):
        for last in range(at + 1, min(len(found), first + MOST_RIVALS_FOR) + 1):
            stretch = found[first:last]
            if any(atom.pause for atom in stretch[:-1]) or any(SAYS_MORE & atom.meanings.keys() for atom in stretch):
                continue
            yield first, last
