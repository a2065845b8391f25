"""The one exception that every stage raises for bad input."""

from __future__ import annotations


class InputError(Exception):
    """Something the user gave cannot be used.

    The message is one line: what is wrong, where, and what to do about it. Commands print it and exit with code 2.
    """
