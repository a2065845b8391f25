"""Bits of text that several of the files are made of."""

from __future__ import annotations

import unicodedata


def one_line(text: str) -> str:
    """text with single spaces for line ends, tabs and control characters (Unicode categories Cc, Cs, Zl and Zp)."""
    if text.isprintable() and "  " not in text:
        return text.strip()
    spaced = (" " if unicodedata.category(char) in ("Cc", "Cs", "Zl", "Zp") else char for char in text)
    return " ".join("".join(spaced).split())


def clock(milliseconds: int) -> tuple[int, int, int, int]:
    """Hours, minutes, seconds and milliseconds.

    >>> clock(3_723_045)
    (1, 2, 3, 45)
    """
    seconds, milliseconds = divmod(milliseconds, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return hours, minutes, seconds, milliseconds
