"""Mishearings like those of a real recogniser, learned from lessons that were spoken and heard.

python -m tests.fitting.mishear CORPUS_DIR [OUT.json] learns the table mishear.json anew. CORPUS_DIR holds the scripts'
truth, NAME.clean.truth.json, and what tiny.en heard, NAME.clean.json. Lessons of corpus.HELD_OUT are not learned from.
"""

from __future__ import annotations

import json
import math
import random
import re
import sys
from bisect import bisect
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate, groupby
from pathlib import Path
from typing import Any

from rapidfuzz.distance import Levenshtein

from sync.transcript.words import Transcript, Word
from tests.fitting.corpus import HELD_OUT, heard

LONGEST = 3
"""Words of a phrase that is misheard as a whole."""
LEAST = 2
"""How often a mishearing was met that gets a row of its own; the others are pooled."""
NOISE = (-0.15, 0.45)
"""Mean and deviation of the logarithm of how much more than usual is misheard in one lesson."""
LONGEST_POOLED = 14
"""Letters of a pooled mishearing."""
LEVELS = 20
SQUARE = re.compile(r"[a-h][1-8]")
WORD = re.compile(r"(\W*)(.*?)(\W*)", re.S)
SIGNS = (".", "?", "!", ",")
ANY_SQUARE, OTHER_SQUARE = "@", "@?"
"""In a row: any square, and in what was heard the same one; a square that is taken for another one."""

Block = tuple[tuple[str, ...], tuple[str, ...]]


def plain(text: str) -> str:
    """A word without its signs, in lower case; "E-4" as "e4"."""
    bare = re.sub(r"[^\w']", "", text.lower())
    return bare.strip("'")


def sign(text: str) -> str:
    """The last sign after a word that divides speech, or nothing."""
    return next((each for each in reversed(text) if each in SIGNS), "") if not text[-1:].isalnum() else ""


def blocks(spoken: Sequence[str], found: Sequence[str]) -> Iterator[tuple[Block, int, int]]:
    """What became of the spoken words: single words heard right, and the shortest stretches that were not.

    Each with the index of its first spoken and first heard word. A word that nobody said belongs to the one before.
    """
    edits = Levenshtein.opcodes(list(spoken), list(found))
    for right, group in groupby(edits, key=lambda edit: edit.tag == "equal"):
        parts = list(group)
        first, last = parts[0], parts[-1]
        if right:
            for edit in parts:
                for offset in range(edit.src_end - edit.src_start):
                    source, target = edit.src_start + offset, edit.dest_start + offset
                    yield ((spoken[source],), (found[target],)), source, target
        elif last.src_end == first.src_start:
            if first.src_start:
                word = spoken[first.src_start - 1]
                yield ((word,), (word, *found[first.dest_start : last.dest_end])), first.src_start, first.dest_start
        else:
            said, got = spoken[first.src_start : last.src_end], found[first.dest_start : last.dest_end]
            yield (tuple(said), tuple(got)), first.src_start, first.dest_start


def general(block: Block) -> Block:
    """The same for any square, where what was heard is the same square or another one."""
    said, found = block
    squares = [word for word in said if SQUARE.fullmatch(word)]
    if len(squares) != 1:
        return block
    new = tuple(
        ANY_SQUARE if word == squares[0] else OTHER_SQUARE if SQUARE.fullmatch(word) else word for word in found
    )
    if ANY_SQUARE not in new and OTHER_SQUARE not in new:
        return block
    return tuple(ANY_SQUARE if word == squares[0] else word for word in said), new


def phrases(words: Sequence[str]) -> Iterator[str]:
    """All phrases up to the longest, once as they are and once for any square."""
    for length in range(1, LONGEST + 1):
        for start in range(len(words) - length + 1):
            part = words[start : start + length]
            yield " ".join(part)
            squares = [word for word in part if SQUARE.fullmatch(word)]
            if len(squares) == 1:
                yield " ".join(ANY_SQUARE if word == squares[0] else word for word in part)


def learn(corpus: Path) -> dict[str, Any]:
    """The table: see Channel."""
    met: Counter[str] = Counter()
    wrong: dict[str, Counter[str]] = {}
    signs: dict[str, Counter[str]] = {}
    letters: dict[str, Counter[str]] = {}
    digits: dict[str, Counter[str]] = {}
    sure: dict[str, list[float]] = {"right": [], "wrong": [], "square-right": [], "square-wrong": []}
    total = 0
    for path in sorted(corpus.glob("*.clean.json")):
        truth = path.with_name(path.name.replace(".json", ".truth.json"))
        if path.name.startswith(HELD_OUT) or not truth.exists():
            continue
        said_text = json.loads(truth.read_text(encoding="utf-8"))["text"].split()
        said_text = [word for word in said_text if plain(word)]
        words = [word for word in heard(path, truth)[0].words if plain(word.text)]
        said, found = [plain(word) for word in said_text], [plain(word.text) for word in words]
        met.update(phrases(said))
        total += len(said)
        for block, source, target in blocks(said, found):
            is_square = any(SQUARE.fullmatch(word) for word in block[1])
            state = ("square-" if is_square else "") + ("right" if block[0] == block[1] else "wrong")
            sure[state] += [word.probability for word in words[target : target + len(block[1])]]
            if block[0] == block[1]:
                signs.setdefault(sign(said_text[source]), Counter())[sign(words[target].text)] += 1
                continue
            if len(block[0]) > LONGEST or len(block[1]) > LONGEST + 1:
                block = block[0][:LONGEST], block[1][:LONGEST]
            for before, after in zip(block[0], block[1], strict=False):
                if SQUARE.fullmatch(before) and SQUARE.fullmatch(after):
                    letters.setdefault(before[0], Counter())[after[0]] += 1
                    digits.setdefault(before[1], Counter())[after[1]] += 1
            key, value = general(block)
            wrong.setdefault(" ".join(key), Counter())[" ".join(value)] += 1
    return _table(met, wrong, total) | {
        "signs": {key: dict(sorted(counts.items())) for key, counts in sorted(signs.items())},
        "letters": {key: dict(sorted(counts.items())) for key, counts in sorted(letters.items())},
        "digits": {key: dict(sorted(counts.items())) for key, counts in sorted(digits.items())},
        "sure": {key: _levels(values) for key, values in sorted(sure.items())},
    }


def _table(met: Counter[str], wrong: dict[str, Counter[str]], total: int) -> dict[str, Any]:
    rows: dict[str, Any] = {}
    pooled: Counter[str] = Counter()
    pooled_squares: Counter[str] = Counter()
    missed, missed_squares = 0, 0
    for key, counts in sorted(wrong.items()):
        often = {value: count for value, count in sorted(counts.items()) if count >= LEAST}
        if often:
            rows[key] = [met[key], often]
        words = key.replace(ANY_SQUARE, "a1").split()
        squares = sum(bool(SQUARE.fullmatch(word)) for word in words)
        for value in sorted(set(counts) - set(often)):
            missed += len(words) - squares
            missed_squares += squares
            if ANY_SQUARE in value or len(value) > LONGEST_POOLED:
                continue
            if len(words) == squares == 1:
                pooled_squares[value] += 1
            elif not squares and not re.search(r"\d", value):
                pooled[value] += 1
    total_squares = sum(count for key, count in met.items() if SQUARE.fullmatch(key))
    return {
        "words": rows,
        "other": [total - total_squares, missed, sorted(pooled)[::4]],
        "other-square": [total_squares, missed_squares, sorted(pooled_squares)],
    }


def _levels(values: list[float]) -> list[float]:
    values.sort()
    return [round(values[(len(values) - 1) * level // LEVELS], 3) for level in range(LEVELS + 1)]


@dataclass(frozen=True)
class Channel:
    """What is misheard as what.

    words: for a phrase how often it was met, and how often it was heard as each other phrase.
    other, other_square: for mishearings met once: how many words were met, how many misheard so, and some of them.
    signs: punctuation by what stood in the script. letters, digits: of squares taken for others.
    sure: the recogniser's probabilities of words, lowest to highest at even steps of their share.
    """

    words: dict[str, tuple[int, dict[str, int]]]
    other: tuple[int, int, list[str]]
    other_square: tuple[int, int, list[str]]
    signs: dict[str, dict[str, int]]
    letters: dict[str, dict[str, int]]
    digits: dict[str, dict[str, int]]
    sure: dict[str, list[float]]

    def outcome(self, rng: random.Random, said: Sequence[str], noise: float) -> tuple[int, tuple[str, ...]]:
        """How many of the words are taken together, and what is heard for them. noise: times the usual errors."""
        for length in range(min(LONGEST, len(said)), 0, -1):
            part = said[:length]
            squares = [word for word in part if SQUARE.fullmatch(word)]
            keys = [" ".join(part)]
            if len(squares) == 1:
                keys.append(" ".join(ANY_SQUARE if word == squares[0] else word for word in part))
            for key in keys:
                if key not in self.words:
                    continue
                met, counts = self.words[key]
                if rng.random() * met < noise * sum(counts.values()):
                    found = _drawn(rng, counts)
                    return length, tuple(self._word(rng, word, squares) for word in found.split())
        met, missed, pool = self.other_square if SQUARE.fullmatch(said[0]) else self.other
        if rng.random() * met < noise * missed and pool:
            return 1, tuple(rng.choice(pool).split())
        return 1, (said[0],)

    def _word(self, rng: random.Random, word: str, squares: Sequence[str]) -> str:
        if word == ANY_SQUARE:
            return squares[0]
        if word != OTHER_SQUARE:
            return word
        for _ in range(20):
            square = squares[0]
            other = _drawn(rng, self.letters[square[0]]) + _drawn(rng, self.digits[square[1]])
            if other != squares[0]:
                return other
        return squares[0]

    def probability(self, rng: random.Random, word: str, right: bool) -> float:
        levels = self.sure[("square-" if SQUARE.fullmatch(word) else "") + ("right" if right else "wrong")]
        place = rng.random() * (len(levels) - 1)
        low = int(place)
        return round(levels[low] + (place - low) * (levels[min(low + 1, len(levels) - 1)] - levels[low]), 3)


def _drawn(rng: random.Random, counts: dict[str, int]) -> str:
    sums = list(accumulate(counts.values()))
    return list(counts)[bisect(sums, rng.randrange(sums[-1]))]


@cache
def channel() -> Channel:
    data = json.loads(Path(__file__).with_name("mishear.json").read_text(encoding="utf-8"))
    return Channel(
        words={key: (met, counts) for key, (met, counts) in data["words"].items()},
        other=tuple(data["other"]),
        other_square=tuple(data["other-square"]),
        signs=data["signs"],
        letters=data["letters"],
        digits=data["digits"],
        sure=data["sure"],
    )


def misheard(transcript: Transcript, seed: str) -> Transcript:
    """The transcript as the recogniser might have heard it, at the same times: marks with times stay true."""
    rng = random.Random(seed)
    made = channel()
    noise = math.exp(rng.gauss(*NOISE))
    words = [word for word in transcript.words if plain(word.text)]
    said = [plain(word.text) for word in words]
    found: list[Word] = []
    at = 0
    while at < len(words):
        taken, texts = made.outcome(rng, said[at : at + LONGEST], noise)
        source = words[at : at + taken]
        right = texts == tuple(said[at : at + taken])
        ending = _drawn(rng, made.signs[sign(source[-1].text)])
        length = (source[-1].end - source[0].start) / max(1, len(texts))
        for index, text in enumerate(texts):
            start = source[0].start + index * length
            shown = _shown(text, found) if not right else source[0].text.rstrip("".join(SIGNS))
            shown += ending if index == len(texts) - 1 else ""
            found.append(
                Word(shown, round(start, 3), round(start + length, 3), made.probability(rng, text, right))
            )
        at += taken
    return Transcript(tuple(found), transcript.duration, "misheard")


def _shown(text: str, before: Sequence[Word]) -> str:
    """A word with a capital where a sentence begins."""
    begins = not before or before[-1].text.endswith((".", "?", "!"))
    return text[:1].upper() + text[1:] if begins else text


def word_error(said: Transcript, found: Transcript) -> float:
    """Words that are wrong, missing or too many, as a share of the words that were said."""
    texts = [[plain(word.text) for word in each.words if plain(word.text)] for each in (said, found)]
    return Levenshtein.distance(texts[0], texts[1]) / max(1, len(texts[0]))


def main() -> None:
    corpus = Path(sys.argv[1])
    out = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(__file__).with_name("mishear.json")
    table = learn(corpus)
    parts = []
    for name, part in table.items():
        if isinstance(part, dict):
            rows = ",\n".join(f"{json.dumps(key)}:{json.dumps(part[key], separators=(',', ':'))}" for key in part)
            parts.append(f'"{name}":{{\n{rows}\n}}')
        else:
            parts.append(f'"{name}":{json.dumps(part)}')
    out.write_text("{\n" + ",\n".join(parts) + "\n}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
