"""Chunks of sound heard with doubt: what looks invented is heard again in other ways."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from sync.recording import SAMPLE_RATE
from sync.recording.chunks import Chunk, quietest_moment, segment
from sync.transcript.doubts import Span, doubts, unheard, without_inventions
from sync.transcript.kept import Part
from sync.transcript.onsets import put_onsets_right
from sync.transcript.recogniser import Hearing, Recogniser, Sound, as_sound
from sync.transcript.voice import speech_spans
from sync.transcript.words import Word

# Shows the model how moves are to be written. No game: its order must not suggest the next move.
PROMPT = "Knight f3, bishop c4, castles kingside. Queen takes d5, rook to e1, pawn to e4, king g8, check."
SILENCE = -100.0  # dB, full scale = 0
HEARD_BY_ITSELF = 1.2  # seconds of speech without a word that are listened to once more
LONGEST_REPEAT = 5  # tokens, when a chunk is heard again; "takes, takes, takes" stays possible


@dataclass(frozen=True, slots=True)
class Piece:
    """The part of a chunk in which somebody speaks. start: seconds; speech: spans from there."""

    start: float
    sound: Sound
    speech: tuple[Span, ...]


def listen(chunks: Sequence[Chunk], recogniser: Recogniser) -> list[Part]:
    """The words of each chunk; chunks in which nobody speaks have none."""
    pieces = [_piece(chunk) for chunk in chunks]
    spoken = [piece for piece in pieces if piece]
    heard = iter(recogniser.hear([piece.sound for piece in spoken], PROMPT) if spoken else [])
    return [
        Part(
            chunk.start,
            chunk.end,
            max(SILENCE, chunk.sound.max_dBFS),
            _words(piece, next(heard), recogniser) if piece else (),
        )
        for chunk, piece in zip(chunks, pieces, strict=True)
    ]


def _piece(chunk: Chunk) -> Piece | None:
    sound = as_sound(chunk.sound.raw_data)
    spans = speech_spans(sound)
    if not spans:
        return None
    start, end = spans[0][0], spans[-1][1]
    speech = tuple((first - start, last - start) for first, last in spans)
    return Piece(chunk.start + start, sound[round(start * SAMPLE_RATE) : round(end * SAMPLE_RATE)], speech)


def _words(piece: Piece, first: Hearing, recogniser: Recogniser) -> tuple[Word, ...]:
    hearing = _filled(piece, _best(piece, first, recogniser), recogniser)
    words = put_onsets_right(without_inventions(hearing, piece.speech), piece.sound)
    return tuple(
        replace(
            word,
            start=round(word.start + piece.start, 3),
            end=round(word.end + piece.start, 3),
            probability=round(word.probability, 4),
        )
        for word in words
    )


def _best(piece: Piece, first: Hearing, recogniser: Recogniser) -> Hearing:
    """The first hearing that nothing speaks against, else the one with the fewest doubts."""
    heard = [(doubts(first, piece.speech, PROMPT), first)]
    for again in AGAIN:
        if not heard[-1][0]:
            break
        hearing = again(piece, recogniser)
        heard.append((doubts(hearing, piece.speech, PROMPT), hearing))
    return min(heard, key=lambda entry: (len(entry[0]), -entry[1].log_probability))[1]


def _filled(piece: Piece, hearing: Hearing, recogniser: Recogniser) -> Hearing:
    """The hearing with what is heard where it passed speech over, when that is listened to by itself."""
    words = list(hearing.words)
    for start, end in unheard(hearing.words, piece.speech, HEARD_BY_ITSELF):
        sound = piece.sound[round(start * SAMPLE_RATE) : round(end * SAMPLE_RATE)]
        found = recogniser.hear([sound], PROMPT, LONGEST_REPEAT)[0]
        speech = tuple((max(a, start) - start, min(b, end) - start) for a, b in piece.speech if a < end and b > start)
        if not doubts(found, speech, PROMPT):
            words += [replace(word, start=word.start + start, end=word.end + start) for word in found.words]
    return replace(hearing, words=tuple(sorted(words, key=lambda word: word.start)))


def _without_repeats(piece: Piece, recogniser: Recogniser) -> Hearing:
    return recogniser.hear([piece.sound], PROMPT, LONGEST_REPEAT)[0]


def _in_halves(piece: Piece, recogniser: Recogniser) -> Hearing:
    return _halves(piece, recogniser, PROMPT)


def _in_halves_without_prompt(piece: Piece, recogniser: Recogniser) -> Hearing:
    return _halves(piece, recogniser, "")


# Temperature would help too, but chance has no place here: the same sound gives the same words.
AGAIN: tuple[Callable[[Piece, Recogniser], Hearing], ...] = (_without_repeats, _in_halves, _in_halves_without_prompt)


def _halves(piece: Piece, recogniser: Recogniser, prompt: str) -> Hearing:
    sound = segment((piece.sound * 32768).astype("<i2").tobytes())
    cut = quietest_moment(sound, len(sound) // 3, 2 * len(sound) // 3) * SAMPLE_RATE // 1000
    first, second = recogniser.hear([piece.sound[:cut], piece.sound[cut:]], prompt, LONGEST_REPEAT)
    later = cut / SAMPLE_RATE
    moved = tuple(replace(word, start=word.start + later, end=word.end + later) for word in second.words)
    return Hearing(
        first.words + moved,
        min(first.log_probability, second.log_probability),
        max(first.compression, second.compression),
        first.complete and second.complete,
        min(first.silence, second.silence),
    )
