"""WebVTT (W3C Recommendation) and SubRip captions.

Real files stray from the standard (missing blank lines, commas for points, no header), so this reads line by line and
takes what it can.
"""

from __future__ import annotations

import html
import math
import re
from collections.abc import Iterator

from sync.errors import InputError
from sync.transcript.cues import Cue, Piece, checked_seconds

TIME = r"(?:(\d+):)?(\d{1,2}):(\d{1,2})(?:[.,](\d{1,9}))?"
HOURS_DIGITS = 9
TIMING_LINE = re.compile(rf"\s*{TIME}\s*-->\s*{TIME}(?:\s|$)")
# An override such as {\an8} places a SubRip cue on the picture. A "<" that is never closed is plain text.
TAG = re.compile(rf"<{TIME}>|</?[a-zA-Z][^<>]*>|</>|\{{\\[^{{}}]*\}}")


def read_captions(text: str, name: str) -> list[Cue]:
    """The cues of a WebVTT or SubRip text. Raises InputError for a cue without a readable time."""
    return [
        Cue(start, max(start, end), tuple(_pieces(line) for line in lines if line.strip()))
        for start, end, lines in _blocks(text.splitlines(), name)
    ]


def seconds_of(hours: str | None, minutes: str, seconds: str, fraction: str | None) -> float:
    """The time that the four parts of a timestamp give. A number too long to be a time becomes infinite."""
    if hours and len(hours) > HOURS_DIGITS:
        return math.inf
    return int(hours or 0) * 3600 + int(minutes) * 60 + float(f"{seconds}.{fraction or 0}")


def _blocks(lines: list[str], name: str) -> Iterator[tuple[float, float, list[str]]]:
    """Start, end and lines of text of every cue. Headers, NOTE and STYLE blocks and cue names lie outside of cues.

    Only an empty line ends a cue: a line of spaces is an empty row on the screen.
    """
    cue: tuple[float, float, list[str]] | None = None
    for number, line in enumerate(lines, 1):
        if "-->" not in line:
            if cue and not line:
                yield cue
                cue = None
            elif cue:
                cue[2].append(line)
            continue
        if cue:
            # The blank line between two cues is missing: the number of the next one is not said.
            yield cue[0], cue[1], cue[2][:-1] if cue[2] and cue[2][-1].strip().isdigit() else cue[2]
        cue = (*_timing(line, f"{name}, line {number}"), [])
    if cue:
        yield cue


def _timing(line: str, where: str) -> tuple[float, float]:
    match = TIMING_LINE.match(line)
    if not match:
        raise InputError(
            f"{where}: cannot read the times in {line.strip()[:60]!r}; write 00:00:01.000 --> 00:00:02.000"
        )
    start, end = seconds_of(*match.group(1, 2, 3, 4)), seconds_of(*match.group(5, 6, 7, 8))
    return checked_seconds(start, where), checked_seconds(end, where)


def _pieces(line: str) -> tuple[Piece, ...]:
    """The text of a line without tags, cut at the timestamps in it."""
    pieces: list[Piece] = []
    start: float | None = None
    text: list[str] = []
    passed = 0
    for tag in TAG.finditer(line):
        text.append(line[passed : tag.start()])
        passed = tag.end()
        if tag[2] is not None:
            pieces.append(Piece(html.unescape("".join(text)), start))
            start, text = seconds_of(*tag.group(1, 2, 3, 4)), []
    text.append(line[passed:])
    return (*pieces, Piece(html.unescape("".join(text)), start))
