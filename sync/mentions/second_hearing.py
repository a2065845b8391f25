"""Squares that the recogniser was not sure of, held to the sound again."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import chess

from sync.atomic import write_text
from sync.errors import InputError
from sync.mentions.atoms import plain
from sync.mentions.mention import Mention
from sync.mentions.spot import spot, square_word
from sync.recording import Recording
from sync.transcript import DEFAULT_MODEL, Transcript, Word, from_json, to_json
from sync.transcript.cache import cache_folder

DOUBTFUL = 0.98
"""Words that the recogniser gave a lower probability are heard again."""
TRIED = 7
"""Squares that are held to the sound, the likeliest ones by what was heard."""
MOST_MISHEARD = 1.5
"""Cost of a mention's other words above which it is no help."""
# Raised whenever the same words and sound would be judged otherwise.
VERSION = 3

Score = Callable[[float, float, Sequence[str]], list[float]]
"""As Scorer.score: the log-likelihoods in nats of texts for the sound from start to end."""


def hear_again(
    transcript: Transcript, recording: Recording, model: str = DEFAULT_MODEL, cache: Path | None = None
) -> Transcript:
    """The transcript with Word.rivals wherever a doubtful word names a square; kept, so that it costs once.

    transcript: as hear gives it for the same recording and model. Raises InputError as hear does.
    """
    text = f"{VERSION} {model} {recording.sha256}\n{to_json(transcript)}"
    kept = (cache or cache_folder()) / "heard-again" / f"{hashlib.sha256(text.encode()).hexdigest()[:40]}.json"
    found = _read(kept, transcript)
    if found is not None:
        return found
    doubtful = _doubtful(transcript)
    if not doubtful:
        return transcript
    from sync.transcript import Scorer  # brings heavy libraries

    with Scorer(recording, model, cache) as scorer:
        judged = _judged(transcript, doubtful, scorer.score)
    try:
        write_text(kept, to_json(judged))
    except InputError:
        return judged  # the next run hears it again
    return judged


def with_rivals(transcript: Transcript, score: Score) -> Transcript:
    """The transcript with the squares that its doubtful words may be, and how well each fits the sound."""
    return _judged(transcript, _doubtful(transcript), score)


def _judged(transcript: Transcript, doubtful: Mapping[int, Mention], score: Score) -> Transcript:
    words = list(transcript.words)
    for place, mention in sorted(doubtful.items(), key=lambda each: each[0]):
        assert mention.to is not None
        costs = mention.to
        squares = sorted(chess.SQUARES, key=lambda square: (costs[square], square))[:TRIED]
        names = [chess.square_name(square) for square in squares]
        texts = [_said(transcript.words, mention, place, name) for name in names]
        likelihoods = score(mention.start, mention.end, texts)
        best = max(likelihoods)
        rivals = tuple((name, round(value - best, 2)) for name, value in zip(names, likelihoods, strict=True))
        words[place] = replace(words[place], rivals=rivals)
    return replace(transcript, words=tuple(words))


def _doubtful(transcript: Transcript) -> dict[int, Mention]:
    """Words that name a square and are not sure, with the longest plain mention around each."""
    longest: dict[int, Mention] = {}
    for mention in spot(transcript):
        place = _square_word(mention)
        if place is None or mention.breaks or mention.cost > MOST_MISHEARD:
            continue
        word = transcript.words[place]
        if word.probability >= DOUBTFUL or word.spread or word.rivals:
            continue
        known = longest.get(place)
        if known is None or mention.last - mention.first > known.last - known.first:
            longest[place] = mention
    return longest


def _square_word(mention: Mention) -> int | None:
    """The one word that names where the move goes, if it is one and names nothing else."""
    if mention.to is None:
        return None
    place = square_word(mention.parts)
    if place is None:
        return None
    shared = any(part != "S" and first <= place < last for part, first, last in mention.parts)
    return None if shared else place


def _said(words: Sequence[Word], mention: Mention, place: int, name: str) -> str:
    said = [name if at == place else plain(words[at].text) for at in range(mention.first, mention.last)]
    return " ".join(filter(None, said))


def _read(path: Path, transcript: Transcript) -> Transcript | None:
    """None when it is not there or damaged."""
    try:
        found = from_json(path.read_text(encoding="utf-8"), path.name)
    except (OSError, ValueError, InputError):
        return None
    bare = tuple(replace(word, rivals=()) for word in found.words)
    return found if bare == tuple(replace(word, rivals=()) for word in transcript.words) else None
