"""Development lessons: scripts with the truth marked, as transcripts with the place of every mark.

A script is a narration in which each place that names a move is wrapped (docs/lesson-scripts.md):
{M 5|knight f3} main-line ply 5, {V a.2|bishop b5} move 2 of side line a, {R M5|...} named again,
{X|...} no move of the tree.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field, replace
from pathlib import Path

import chess

from sync.transcript.json_form import from_json
from sync.transcript.words import Transcript, Word

HELD_OUT = ("e", "k", "pa", "qa", "ra", "sb", "t", "ub", "vb", "wb", "xb", "mc")
"""Lessons of these writers are never learned from: what is measured on them is what unseen lessons give."""
MARK = re.compile(r"\{([^|{}]+)\|([^|{}]+)\}")
BESIDES_LETTERS = re.compile(r"[^\w'-]")
NOTHING = "um"
"""What stands for a word that was punctuation alone, a dash; the number of words stays."""
HEADER = re.compile(r"# ?(title|style|game|silent|start|var \w+): *(.*)")
SECONDS_A_CHARACTER = 0.065
SENTENCE_GAP = 0.35
PARAGRAPH_GAP = 0.8


def writer(name: str) -> str:
    """Who wrote a lesson: its name without its number."""
    return name.rstrip("0123456789")


@dataclass
class Line:
    after: str
    moves: list[str]


@dataclass
class Mark:
    """tag: "M 5", "V a.2", "R M 5", "R V a.2" or "X"; start: seconds; words: what is said."""

    tag: str
    words: str
    start: float
    end: float


@dataclass
class Script:
    name: str
    start_fen: str
    game: list[str]
    silent: set[int]
    lines: dict[str, Line]
    paragraphs: list[tuple[str, list[tuple[str, int, int]]]] = field(default_factory=list)
    """Plain text and its marks as (tag, first character, last character)."""


def read_script(path: Path) -> Script:
    rows = path.read_text(encoding="utf-8").lstrip("\ufeff").split("\n")
    header: dict[str, str] = {}
    at = 0
    while at < len(rows) and (rows[at].startswith("#") or not rows[at].strip()):
        if match := HEADER.fullmatch(rows[at].strip()):
            header[match[1]] = match[2]
        at += 1
    lines = {}
    for key, value in header.items():
        if key.startswith("var "):
            after, _, moves = value.removeprefix("after ").partition(":")
            lines[key.removeprefix("var ")] = Line(after.strip(), moves.split())
    silent: set[int] = set()
    for part in filter(None, header.get("silent", "").replace(" ", "").split(",")):
        low, _, high = part.partition("-")
        silent |= set(range(int(low), int(high or low) + 1))
    script = Script(
        path.name.removesuffix(".lesson.txt"),
        header.get("start", chess.STARTING_FEN),
        header["game"].split(),
        silent,
        lines,
    )
    for marked in re.split(r"\n\s*\n", "\n".join(rows[at:])):
        marked = " ".join(marked.split())
        text, marks, position = "", [], 0
        for match in MARK.finditer(marked):
            text += marked[position : match.start()]
            tag = re.sub(r"^R ([MV]) ?", r"R \1 ", match[1].strip())
            marks.append((tag, len(text), len(text) + len(match[2])))
            text, position = text + match[2], match.end()
        text += marked[position:]
        if text:
            script.paragraphs.append((text, marks))
    return script


def spoken(script: Script) -> tuple[Transcript, list[Mark]]:
    """The narration as a recogniser that makes no mistakes would hand it over, at an even pace."""
    words: list[Word] = []
    marks: list[Mark] = []
    clock = 0.3
    for text, spans in script.paragraphs:
        times: dict[int, tuple[float, float]] = {}
        for match in re.finditer(r"\S+", text):
            length = SECONDS_A_CHARACTER * (len(match[0]) + 1)
            words.append(Word(match[0], round(clock, 3), round(clock + length, 3)))
            for character in range(match.start(), match.end()):
                times[character] = words[-1].start, words[-1].end
            clock += length
            if match[0].rstrip("\"'”’").endswith((".", "!", "?", "…")):
                clock += SENTENCE_GAP
        for tag, first, last in spans:
            marks.append(Mark(tag, text[first:last], times[first][0], times[last - 1][1]))
        clock += PARAGRAPH_GAP
    return Transcript(tuple(words), clock, script.name), marks


def unpunctuated(transcript: Transcript) -> Transcript:
    """The same words as captions of many kinds give them: in small letters and without punctuation."""
    bare = (replace(word, text=BESIDES_LETTERS.sub("", word.text).lower() or NOTHING) for word in transcript.words)
    return replace(transcript, words=tuple(bare))


def heard(transcript_path: Path, truth_path: Path) -> tuple[Transcript, list[Mark]]:
    """What a recogniser made of the spoken script, and the true times of the marks."""
    transcript = from_json(transcript_path.read_text(encoding="utf-8"), transcript_path.name)
    truth = json.loads(truth_path.read_text(encoding="utf-8"))
    marks = [
        Mark(re.sub(r"^R ([MV]) ?", r"R \1 ", each["tag"]), each["words"], each["start"], each["end"])
        for each in truth["mentions"]
    ]
    return transcript, marks
