"""Squares that the recogniser was not sure of, or did not know for squares, held to the sound again."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import nsmallest
from pathlib import Path

import chess

from sync.atomic import write_text
from sync.errors import InputError
from sync.mentions.atoms import plain, talk_text
from sync.mentions.lost_squares import Lost, lost_squares, readings
from sync.mentions.mention import Costs, Mention
from sync.mentions.spot import spot, square_word
from sync.recording import Recording
from sync.transcript import DEFAULT_MODEL, Transcript, Word, from_json, to_json
from sync.transcript.cache import cache_folder
from sync.transcript.words import without_rivals

DOUBTFUL = 0.98
"""Words that the recogniser gave a lower probability are heard again."""
TRIED = ((0.98, 2), (0.9, 4), (0.0, 7))
"""Squares that are held to the sound, the likeliest ones by what was heard: how many, by the word's least probability.
Of 7,879 squares of 198 lessons for which seven were tried, these would have left out one that was said."""
MOST_MISHEARD = 1.5
"""Cost of a mention's other words above which it is no help."""
BEFORE, WORDS_BEFORE = 3.0, 8
AFTER, WORDS_AFTER = 1.2, 3
"""Seconds and words of talk around a mention with which its squares are held to the sound once more."""
CLOSE = 5.0
"""Nats behind the best square, up to which they are."""
EASILY = 3.2
"""A square that is so easily taken for another one is heard again however sure the recogniser was (nats)."""
FAR = 8.0
"""Nats behind the words as they were heard, up to which squares in their place are kept."""
# Raised whenever the same words and sound would be judged otherwise.
VERSION = 9

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
    doubts = _doubts(transcript)
    if not doubts.squares and not doubts.lost:
        return transcript
    from sync.transcript import Scorer  # brings heavy libraries

    with Scorer(recording, model, cache) as scorer:
        judged = _judged(transcript, doubts, scorer.score)
    try:
        write_text(kept, to_json(judged))
    except InputError:
        return judged  # the next run hears it again
    return judged


def with_rivals(transcript: Transcript, score: Score) -> Transcript:
    """The transcript with the squares that its doubtful words may be, and how well each fits the sound."""
    return _judged(transcript, _doubts(transcript), score)


@dataclass(frozen=True, slots=True)
class _Doubts:
    """What is asked of the sound again.

    squares: word -> the longest plain mention that has it for its square. lost: where a square may be missing.
    """

    squares: Mapping[int, Mention]
    lost: tuple[Lost, ...]


def _doubts(transcript: Transcript) -> _Doubts:
    mentions = spot(transcript)
    return _Doubts(_doubtful(transcript, mentions), tuple(lost_squares(transcript, mentions)))


def _judged(transcript: Transcript, doubts: _Doubts, score: Score) -> Transcript:
    words = list(transcript.words)
    for place, mention in sorted(doubts.squares.items()):
        names = _likeliest(_to(mention), words[place].probability)
        likelihoods = _likelihoods(transcript.words, mention, place, names, score)
        rivals = tuple((name, round(value, 2)) for name, value in zip(names, likelihoods, strict=True))
        words[place] = replace(words[place], rivals=rivals)
    for lost in doubts.lost:
        at = lost.piece + 1
        words[at] = _found(transcript.words, lost, score) or words[at]
    return replace(transcript, words=tuple(words))


def _likeliest(costs: Costs, probability: float) -> list[str]:
    """The squares that cost least, fewer of them where the recogniser was surer."""
    count = next(tried for least, tried in TRIED if probability >= least)
    return [chess.square_name(square) for square in nsmallest(count, chess.SQUARES, key=lambda each: costs[each])]


def _found(words: Sequence[Word], lost: Lost, score: Score) -> Word | None:
    """The word behind the piece's name with the squares that it may be, alone or with the words after it."""
    said = readings(words, lost)
    as_heard = talk_text(word.text for word in words[lost.piece : lost.last])
    heard, *likelihoods = score(words[lost.piece].start, words[lost.last - 1].end, [as_heard, *said.values()])
    fits = dict(zip(said, likelihoods, strict=True))
    square, length = max(fits, key=fits.__getitem__)
    best = fits[square, length]
    if best < heard - FAR:
        return None
    near = [(name, fits[name, length] - best) for name in chess.SQUARE_NAMES]
    rivals = tuple((name, round(fit, 2)) for name, fit in near if fit > -CLOSE)
    return replace(words[lost.piece + 1], rivals=rivals, rivals_for=length)


def _likelihoods(
    words: Sequence[Word], mention: Mention, place: int, names: Sequence[str], score: Score
) -> list[float]:
    """How well each square fits the sound, 0 at best.

    The mean of the name heard alone and, for the squares that lead then, heard within the talk around it.
    """
    alone = _behind(score(mention.start, mention.end, [_said(words, mention, place, name) for name in names]))
    leading = [at for at, value in enumerate(alone) if value > -CLOSE]
    if len(leading) == 1:
        return alone
    first, last = _around(words, mention)
    talk = [_told(words[first:last], place - first, names[at]) for at in leading]
    within = list(alone)
    for at, value in zip(leading, _behind(score(words[first].start, words[last - 1].end, talk)), strict=True):
        within[at] = value
    return _behind([(one + other) / 2 for one, other in zip(alone, within, strict=True)])


def _behind(likelihoods: Sequence[float]) -> list[float]:
    best = max(likelihoods)
    return [value - best for value in likelihoods]


def _around(words: Sequence[Word], mention: Mention) -> tuple[int, int]:
    """The first word of the talk around a mention, and the word after the last."""
    first, last = mention.first, mention.last
    while first > 0 and mention.first - first < WORDS_BEFORE and mention.start - words[first - 1].start < BEFORE:
        first -= 1
    while last < len(words) and last - mention.last < WORDS_AFTER and words[last].end - mention.end < AFTER:
        last += 1
    return first, last


def _told(words: Sequence[Word], place: int, name: str) -> str:
    """The words as they were heard, with their commas, and the square as one of them."""
    texts = [word.text for word in words]
    texts[place] = texts[place].lower().replace(plain(texts[place]), name, 1)
    return talk_text(texts)


def _doubtful(transcript: Transcript, mentions: Iterable[Mention]) -> dict[int, Mention]:
    """Words that name a square and are not sure, with the longest plain mention around each."""
    longest: dict[int, Mention] = {}
    for mention in mentions:
        place = _square_word(mention)
        if place is None or mention.breaks or mention.cost > MOST_MISHEARD:
            continue
        word = transcript.words[place]
        if word.spread or word.rivals or (word.probability >= DOUBTFUL and not _is_easily_another(_to(mention))):
            continue
        known = longest.get(place)
        if known is None or mention.last - mention.first > known.last - known.first:
            longest[place] = mention
    return longest


def _to(mention: Mention) -> Costs:
    assert mention.to is not None  # a word of it names the square
    return mention.to


def _is_easily_another(costs: Costs) -> bool:
    best, second = nsmallest(2, costs)
    return second - best < EASILY


def _square_word(mention: Mention) -> int | None:
    """The one word that names where the move goes, if it is one and names nothing else."""
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
    return found if _bare(found) == _bare(transcript) else None


def _bare(transcript: Transcript) -> list[Word]:
    return list(map(without_rivals, transcript.words))
