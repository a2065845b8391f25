"""Transcripts as JSON: Plycue's own form, and the form that recognisers write.

Own form: {"format": "plycue transcript", "version": 1, "source": ..., "duration": ..., "words": [...]}, each word
{"word", "start", "end"} with "probability" and "spread" where they are not 1 and 0, and with "rivals", {square:
log-likelihood}, where the word was heard again, and "rivals_for" where they stand for more words than one; times
in seconds.

Recognisers write {"segments": [{"start", "end", "text", "words": [{"word", "start", "end", "probability"}]}]}, with or
without the words, or the bare list of segments or words.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sync.errors import InputError
from sync.recording import LONGEST
from sync.transcript.cues import Cue, Piece, checked_seconds, cue_words
from sync.transcript.place import USUAL_PACE, in_time_order, place, spoken_weight
from sync.transcript.words import MOST_RIVALS_FOR, Transcript, Word

FORMAT = "plycue transcript"
VERSION = 1
SQUARE = re.compile("[a-h][1-8]")
TEXT_KEYS = ("word", "text")
PROBABILITY_KEYS = ("probability", "score", "confidence")


def to_json(transcript: Transcript) -> str:
    """Plycue's own form, a word a line; from_json gives the same transcript back."""
    head = {
        "format": FORMAT,
        "version": VERSION,
        "source": transcript.source,
        "duration": transcript.duration,
    }
    opening = json.dumps(head, ensure_ascii=False, allow_nan=False, indent=1).removesuffix("\n}")
    words = ",\n".join(f"  {json.dumps(_word_fields(word), ensure_ascii=False)}" for word in transcript.words)
    return f'{opening},\n "words": [\n{words}\n ]\n}}\n' if words else f'{opening},\n "words": []\n}}\n'


def from_json(text: str, name: str) -> Transcript:
    """The transcript in a JSON text, own form or a recogniser's. Raises InputError."""
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise InputError(f"{name}, line {error.lineno}: not JSON ({error.msg}); export the transcript again") from error
    except (RecursionError, ValueError) as error:
        raise InputError(f"{name}: not JSON that can be read; export the transcript again") from error
    if not (isinstance(data, dict) and data.get("format") == FORMAT):
        words = in_time_order(_recognised_words(data, name))
        return Transcript(words, _duration(data, words, name), name)
    if data.get("version") != VERSION:
        version = f"{data.get('version')!r:.20}"
        raise InputError(f"{name}: transcript version {version}, this program reads {VERSION}; update it")
    words = in_time_order(list(_own_words(data.get("words"), name)))
    return Transcript(words, _duration(data, words, name), _whole(str(data.get("source") or name)))


def _word_fields(word: Word) -> dict[str, Any]:
    fields: dict[str, Any] = {"word": word.text, "start": word.start, "end": word.end}
    if word.probability != 1.0:
        fields["probability"] = word.probability
    if word.spread:
        fields["spread"] = word.spread
    if word.rivals:
        fields["rivals"] = dict(word.rivals)
    if word.rivals_for != 1:
        fields["rivals_for"] = word.rivals_for
    return fields


def _duration(data: Any, words: Sequence[Word], name: str) -> float:
    last = max((word.end for word in words), default=0.0)
    stated = data.get("duration") if isinstance(data, dict) else None
    return last if stated is None else max(last, _seconds(stated, f"{name}, duration"))


def _own_words(entries: Any, name: str) -> Iterator[Word]:
    for number, entry in enumerate(_objects(entries, name, "words"), 1):
        where = f"{name}, word {number}"
        start, end = _seconds(entry.get("start"), where), _seconds(entry.get("end"), where)
        probability = _probability(entry.get("probability", 1.0), where)
        spread = _seconds(entry.get("spread", 0.0), where)
        rivals = _rivals(entry.get("rivals", {}), where)
        rivals_for = _rivals_for(entry.get("rivals_for", 1), where)
        yield Word(_text(entry, where), start, max(start, end), probability, spread, rivals, rivals_for)


def _rivals(entries: Any, where: str) -> tuple[tuple[str, float], ...]:
    if not isinstance(entries, dict) or not all(SQUARE.fullmatch(square) for square in entries):
        raise InputError(f"{where}: rivals must be squares with numbers; hear the recording again")
    rivals = tuple((square, _number(value, where)) for square, value in entries.items())
    if not all(math.isfinite(value) for _, value in rivals):
        raise InputError(f"{where}: rivals must be squares with numbers; hear the recording again")
    return rivals


def _rivals_for(entry: Any, where: str) -> int:
    if type(entry) is not int or not 1 <= entry <= MOST_RIVALS_FOR:
        raise InputError(f"{where}: rivals_for must be 1 to {MOST_RIVALS_FOR}; hear the recording again")
    return entry


def _recognised_words(data: Any, name: str) -> list[Word]:
    if isinstance(data, dict) and "segments" in data:
        return _segments_words(_objects(data["segments"], name, "segments"), name)
    if isinstance(data, dict) and "words" in data:
        return _timed_words(_objects(data["words"], name, "words"), name)
    if isinstance(data, list) and any(isinstance(entry, dict) and "word" in entry for entry in data):
        return _timed_words(_objects(data, name, "words"), name)
    if isinstance(data, list):
        return _segments_words(_objects(data, name, "segments"), name)
    raise InputError(f'{name}: no "segments" and no "words" in it; export the transcript with times')


def _segments_words(segments: list[dict[str, Any]], name: str) -> list[Word]:
    words: list[Word] = []
    cues: list[Cue] = []
    for number, segment in enumerate(segments, 1):
        where = f"{name}, segment {number}"
        start, end = _seconds(segment.get("start"), where), _seconds(segment.get("end"), where)
        if segment.get("words"):
            words += _timed_words(_objects(segment["words"], where, "words"), where, start, end)
        else:
            cues.append(Cue(start, max(start, end), ((Piece(_text(segment, where)),),)))
    return words + cue_words(cues)


@dataclass(frozen=True, slots=True)
class _Spoken:
    """A word of a recogniser; times is None where it gave none (some do so for numbers)."""

    text: str
    times: tuple[float, float] | None
    probability: float


def _timed_words(entries: list[dict[str, Any]], where: str, start: float = 0.0, end: float | None = None) -> list[Word]:
    """The words of a stretch from start to end; those without times stand between their neighbours."""
    spoken = _joined([_spoken(entry, f"{where}, word {number}") for number, entry in enumerate(entries, 1)])
    words: list[Word] = []
    waiting: list[str] = []
    passed = start
    for word in spoken:
        if word.times is None:
            waiting += word.text.split()
            continue
        begin, stop = word.times
        words += place(waiting, min(passed, begin), begin)
        words += place(word.text.split(), begin, stop, word.probability)
        passed, waiting = stop, []
    if not waiting:
        return words
    usual = min(LONGEST, passed + USUAL_PACE * sum(map(spoken_weight, waiting)))
    return words + place(waiting, passed, usual if end is None else max(passed, end))


def _joined(spoken: list[_Spoken]) -> list[_Spoken]:
    """Recognisers that write " e", "-file" mark a new word by its space: what has none goes on with the word before."""
    if not any(word.text[:1].isspace() for word in spoken):
        return spoken
    joined: list[_Spoken] = []
    for word in spoken:
        if joined and not word.text[:1].isspace() and word.times and joined[-1].times:
            last, (start, end) = joined[-1], joined[-1].times
            times = (start, max(end, word.times[1]))
            joined[-1] = _Spoken(last.text + word.text, times, min(last.probability, word.probability))
        else:
            joined.append(word)
    return joined


def _spoken(entry: dict[str, Any], where: str) -> _Spoken:
    probability = next((_probability(entry[key], where) for key in PROBABILITY_KEYS if entry.get(key) is not None), 1.0)
    text = _text(entry, where)
    if entry.get("start") is None or entry.get("end") is None:
        return _Spoken(text, None, probability)
    start, end = _seconds(entry["start"], where), _seconds(entry["end"], where)
    return _Spoken(text, (start, max(start, end)), probability)


def _objects(entries: Any, where: str, what: str) -> list[dict[str, Any]]:
    if isinstance(entries, list) and all(isinstance(entry, dict) for entry in entries):
        return entries
    raise InputError(f"{where}: {what} must be a list of objects; export the transcript again")


def _text(entry: dict[str, Any], where: str) -> str:
    text = next((entry[key] for key in TEXT_KEYS if key in entry), None)
    if not isinstance(text, str):
        raise InputError(f"{where}: no text; export the transcript again")
    return _whole(text)


def _whole(text: str) -> str:
    """JSON can hold half of a character (a lone surrogate), files cannot."""
    return text.encode("utf-8", "replace").decode()


def _seconds(value: Any, where: str) -> float:
    return checked_seconds(_number(value, where), where)


def _probability(value: Any, where: str) -> float:
    """1, as where none stands, for a number on another scale: percent, or a logarithm."""
    number = _number(value, where)
    return number if 0 <= number <= 1 else 1.0


def _number(value: Any, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise InputError(f"{where}: {str(value)[:40]!r} stands where a number should; export the transcript again")
    try:
        return float(value)
    except OverflowError:
        return math.inf
