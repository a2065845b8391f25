"""The shapes of the pieces, and of the letters and numbers at the board's edge, as SVG path data.

Every piece stands on a square of 100 by 100, of which a margin on each side is left free. White's and black's are the
same: a foot, a body, a head, and lines cut into it. Letters and numbers are strokes in a box of 10 by 14: diagrams look
the same whatever fonts a machine has.
"""

from __future__ import annotations

from dataclasses import dataclass

SQUARE = 100
"""Side of the square that the shapes are drawn on."""

MARGIN = 5
"""Free strip on each side of it; a board may cut it off to show the piece larger."""


@dataclass(frozen=True, slots=True)
class Shape:
    """body: outlines that are filled, from back to front; cuts: lines drawn over them."""

    body: tuple[str, ...]
    cuts: tuple[str, ...] = ()


FOOT = "M24 88 L27 77 Q28 75 30 75 H70 Q72 75 73 77 L76 88 Z"
SMALL_FOOT = "M29 88 L32 79 Q33 77 35 77 H65 Q67 77 68 79 L71 88 Z"

PIECES = {
    "p": Shape(
        body=(SMALL_FOOT, "M44 48 H56 L63 77 H37 Z", "M50 27 A13 13 0 1 1 50 53 A13 13 0 1 1 50 27 Z"),
    ),
    "n": Shape(
        body=(
            FOOT,
            "M34 75 C33 62 41 57 44 50 L33 57 Q29 59 26 56 L22 51 Q20 48 23 45 L40 27 L41 15 L51 24 Q78 32 67 75 Z",
        ),
        cuts=("M43 36 L47 35", "M56 36 C62 44 62 54 59 64"),
    ),
    "b": Shape(
        body=(
            FOOT,
            "M42 58 H58 L66 75 H34 Z",
            "M50 20 C61 28 67 38 67 46 C67 54 60 60 50 60 C40 60 33 54 33 46 C33 38 39 28 50 20 Z",
            "M50 10 A6 6 0 1 1 50 22 A6 6 0 1 1 50 10 Z",
        ),
        cuts=("M51 45 L60 33",),
    ),
    "r": Shape(
        body=(
            FOOT,
            "M36 42 H64 L68 75 H32 Z",
            "M27 18 H38 V26 H45 V18 H55 V26 H62 V18 H73 V36 L67 43 H33 L27 36 Z",
        ),
    ),
    "q": Shape(
        body=(
            FOOT,
            "M38 56 H62 L69 75 H31 Z",
            "M32 58 L18 28 L36 42 L50 18 L64 42 L82 28 L68 58 Z",
            "M18 19 A6 6 0 1 1 18 31 A6 6 0 1 1 18 19 Z",
            "M82 19 A6 6 0 1 1 82 31 A6 6 0 1 1 82 19 Z",
            "M50 9 A6 6 0 1 1 50 21 A6 6 0 1 1 50 9 Z",
        ),
    ),
    "k": Shape(
        body=(
            FOOT,
            "M40 58 H60 L69 75 H31 Z",
            "M46 10 H54 V16 H61 V24 H54 V33 H46 V24 H39 V16 H46 Z",
            "M31 58 L24 38 Q23 34 27 33 Q40 30 50 36 Q60 30 73 33 Q77 34 76 38 L69 58 Z",
        ),
        cuts=("M50 38 V56",),
    ),
}
"""By python-chess's lower-case piece symbol."""

GLYPHS = {
    "a": "M8 6 V13 M8 9.5 A3.3 3.3 0 1 1 8 9.4",
    "b": "M2 1 V13 M2 9.5 A3.3 3.3 0 1 1 2 9.6",
    "c": "M8 7.2 A3.5 3.5 0 1 0 8 11.8",
    "d": "M8 1 V13 M8 9.5 A3.3 3.3 0 1 0 8 9.6",
    "e": "M1.6 9.4 H8.4 A3.4 3.4 0 1 0 7.6 12",
    "f": "M8 1.6 Q4.5 0.4 4.5 4 V13 M2 6.2 H7.5",
    "g": "M8 6 V13.5 Q8 17 4.8 17 Q3.2 17 2.2 16.2 M8 9.5 A3.3 3.3 0 1 1 8 9.4",
    "h": "M2 1 V13 M2 9 Q2 6.2 5 6.2 Q8 6.2 8 9 V13",
    "1": "M2.5 4 L5.5 1.5 V13",
    "2": "M2 4.5 Q2 1 5 1 Q8 1 8 4.2 Q8 6.5 2 13 H8.3",
    "3": "M2 1 H8 L4.6 5.6 Q8.3 5.4 8.3 9.2 Q8.3 13 5 13 Q2.4 13 1.7 11",
    "4": "M6.5 13 V1 L1.5 9.6 H8.8",
    "5": "M7.8 1 H2.9 L2.3 6.4 Q8.2 4.6 8.2 9 Q8.2 13 4.8 13 Q2.6 13 1.7 11.4",
    "6": "M7.2 1 Q2 4.5 2 9.4 Q2 13 5.1 13 Q8.2 13 8.2 9.6 Q8.2 6.4 5.1 6.4 Q2.6 6.4 2 9",
    "7": "M1.8 1 H8.2 L4 13",
    "8": "M5 1 A2.7 2.7 0 1 1 5 6.4 A2.7 2.7 0 1 1 5 1 M5 6.4 A3.3 3.3 0 1 1 5 13 A3.3 3.3 0 1 1 5 6.4",
}
"""By file letter and rank number."""
