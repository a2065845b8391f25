"""Checks lesson scripts against docs/lesson-scripts.md: python -m tests.speech.check FILE...

One line a fault, one a good script; the exit code is 1 when there was a fault.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.speech.script import Script, build_tree, read_script

WRITTEN_MOVE = re.compile(r"\b(?:[KQRBN][a-h]?[1-8]?x?[a-h][1-8]|[a-h]x[a-h][1-8]|[O0]-[O0](?:-[O0])?|x)\b")
UNSPOKEN = re.compile(r"[^\w\s.,;:?!'’\"“”()…–—-]|_")


def faults(script: Script) -> Iterator[str]:
    """What is wrong with a script whose moves are legal, a line each."""
    _, nodes = build_tree(script)
    yield from _mark_faults(script, set(nodes))
    for paragraph in script.paragraphs:
        for pattern, what in ((WRITTEN_MOVE, "written notation in speech"), (UNSPOKEN, "a sign that nobody says")):
            if match := pattern.search(paragraph.text):
                yield f"line {paragraph.line}: {what}: {match[0]!r}"


def _mark_faults(script: Script, places: set[str]) -> Iterator[str]:
    announced: dict[str, list[int]] = {}
    for paragraph in script.paragraphs:
        for mark in paragraph.marks:
            if mark.tag == "X":
                continue
            where = f"line {paragraph.line}: {mark.tag}"
            line, number = _line_and_number(mark.place)
            earlier = announced.setdefault(line, [])
            if mark.place not in places:
                yield f"{where}: there is no such move"
            elif line == "M" and number in script.silent:
                yield f"{where}: this ply is silent"
            elif not mark.is_first and number not in earlier:
                yield f"{where}: not announced yet"
            elif mark.is_first and number <= max(earlier, default=0):
                yield f"{where}: announced twice or out of order"
            elif mark.is_first:
                earlier.append(number)
    for place in sorted(places):
        line, number = _line_and_number(place)
        silent = line == "M" and number in script.silent
        if not silent and number not in announced.get(line, []):
            yield f"{place}: never announced"


def _line_and_number(place: str) -> tuple[str, int]:
    """("M", 5) or ("V a", 2)."""
    line, _, number = place.replace(".", " ").rpartition(" ")
    return line, int(number)


def main(paths: list[str]) -> int:
    bad = 0
    for path in paths:
        try:
            script = read_script(Path(path))
            found = list(faults(script))
        except (OSError, ValueError) as error:
            script, found = None, [str(error)]
        bad += bool(found)
        for fault in found:
            print(f"{path}: {fault}", file=sys.stderr)
        if script and not found:
            count = len(script.text.split())
            print(f"{path}: {count} words, {len(script.game)} plies, {len(script.side_lines)} side lines")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
