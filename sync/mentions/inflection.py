"""The forms of English verbs, so that a table of verbs need not spell out each of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

IRREGULAR = {"bite": "bit bitten", "eat": "ate eaten", "give": "gave given", "retake": "retook retaken",
             "steal": "stole stolen", "take": "took taken"}  # fmt: skip
"""Past tenses and participles that are not made with -ed (common practice, no source)."""
VOWELS = frozenset("aeiou")
UNSTRESSED = frozenset({"pocket", "gather", "recover", "hoover"})
"""Verbs whose last syllable is not stressed: their last letter is not doubled."""


def inflected(verbs: Iterable[str]) -> frozenset[str]:
    """The verbs with their other forms.

    >>> sorted(inflected(["snap", "take"]))
    ['snap', 'snapped', 'snapping', 'snaps', 'take', 'taken', 'takes', 'taking', 'took']
    """
    return frozenset(form for verb in verbs for form in _forms(verb))


def _forms(verb: str) -> Iterator[str]:
    yield verb
    yield verb + ("es" if verb.endswith(("ch", "sh")) else "s")
    stem = verb[:-1] if verb.endswith("e") else verb + verb[-1] * _doubles(verb)
    yield stem + "ing"
    yield from IRREGULAR[verb].split() if verb in IRREGULAR else (stem + "ed",)


def _doubles(verb: str) -> bool:
    """One vowel and one consonant at the end, the syllable stressed: "snap", "snapped"."""
    last = verb[-1] not in VOWELS | set("wxy") and verb[-2] in VOWELS and verb[-3] not in VOWELS
    return last and verb not in UNSTRESSED
