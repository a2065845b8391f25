"""What a speaker's words turn out to mean: forms that were misheard and put right, kept for the next lesson.

"before" that was "b4" in this voice once will be tried as "b4" again. A profile is a small JSON file in the user's
configuration folder of the system, or in the folder that the environment variable PLYCUE_SPEAKERS names.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import chess
import platformdirs

from sync.atomic import write_text
from sync.errors import InputError
from sync.mentions.atoms import plain
from sync.mentions.match import named_moves
from sync.mentions.mention import Mention
from sync.mentions.spot import spot
from sync.mentions.tables import PIECE_NAMES
from sync.transcript.words import Transcript, Word

ENVIRONMENT = "PLYCUE_SPEAKERS"
VERSION = 1
LONGEST = 5
"""Words of the longest form that is kept."""

PLAIN = 0.5
"""What a reading costs at most (nats) that needs no learning."""

NAME = re.compile(r"[^\W_](?:[\w .'-]{0,58}\w)?")


@dataclass(frozen=True, slots=True)
class Form:
    """heard: words as the recogniser writes them, plain and in small letters; means: what was said."""

    heard: str
    means: str


@dataclass(frozen=True, slots=True)
class Speaker:
    """name: as the user calls the speaker."""

    name: str
    forms: tuple[Form, ...] = ()


def speakers_folder() -> Path:
    named = os.environ.get(ENVIRONMENT)
    return Path(named) if named else Path(platformdirs.user_config_dir("plycue", appauthor=False)) / "speakers"


def profile_path(name: str) -> Path:
    """Where the profile of a speaker is kept. Raises InputError for a name that cannot name a file."""
    if not NAME.fullmatch(name):
        raise InputError(f"speaker {name!r:.70}: use a name of up to 60 letters, digits, spaces, . ' - and _")
    return speakers_folder() / f"{name}.json"


def known_speakers() -> list[str]:
    """The names of all speakers with a profile."""
    return sorted(path.stem for path in speakers_folder().glob("*.json"))


def load_speaker(name: str) -> Speaker:
    """The profile of a speaker, empty for one that is not known yet. Raises InputError for a file that is broken."""
    path = profile_path(name)
    if not path.exists():
        return Speaker(name)
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        forms = tuple(_form(form["heard"], form["means"]) for form in data["forms"])
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise InputError(f"{path}: no speaker's profile; delete it or restore it") from error
    return Speaker(name, forms)


def _form(heard: str, means: str) -> Form:
    """Raises ValueError for what cannot be heard or written."""
    if not heard.split() or not means.split():
        raise ValueError("a form without words")
    (heard + means).encode()
    return Form(heard, means)


def save_speaker(speaker: Speaker) -> Path:
    """Writes the profile, whole or not at all, and returns its path."""
    path = profile_path(speaker.name)
    forms = [
        {"heard": form.heard, "means": form.means}
        for form in sorted(speaker.forms, key=lambda form: (form.heard, form.means))
    ]
    data = {"plycue speaker": VERSION, "name": speaker.name, "forms": forms}
    write_text(path, json.dumps(data, indent=1, ensure_ascii=False) + "\n")
    return path


def forget_speaker(name: str) -> None:
    """Deletes the profile. Raises InputError when there is none."""
    path = profile_path(name)
    if not path.exists():
        raise InputError(f"no profile of speaker {name!r}; known are: {', '.join(known_speakers()) or 'none'}")
    path.unlink()


def said(board: chess.Board, move: chess.Move) -> str:
    """The move as people say it, in words that are spotted.

    >>> board = chess.Board()
    >>> said(board, board.parse_san("Nf3")), said(board, board.parse_san("b4"))
    ('knight f3', 'b4')
    """
    if board.is_castling(move):
        return "castles kingside" if board.is_kingside_castling(move) else "castles queenside"
    piece = board.piece_type_at(move.from_square) or chess.PAWN
    words = [] if piece == chess.PAWN else [PIECE_NAMES[piece]]
    if board.is_capture(move):
        words += [chess.FILE_NAMES[chess.square_file(move.from_square)]] if piece == chess.PAWN else []
        words += ["takes"]
    words += [chess.square_name(move.to_square)]
    words += ["promotes to", PIECE_NAMES[move.promotion]] if move.promotion else []
    return " ".join(words)


def is_plain(heard: str, board: chess.Board, move: chess.Move) -> bool:
    """The words name the move as they are: there is nothing to learn from them."""
    texts = heard.split()
    words = tuple(Word(text, number, number + 1.0) for number, text in enumerate(texts))
    mentions = spot(Transcript(words, float(len(texts)), ""))
    named = [each for mention in mentions for each in named_moves(mention, board)]
    return any(each.move == move and each.cost < PLAIN for each in named)


def plain_words(text: str) -> str:
    """
    >>> plain_words("Before, that:")
    'before that'
    """
    return " ".join(filter(None, map(plain, text.split())))


def form_of(heard: str, board: chess.Board, move: chess.Move) -> Form | None:
    """What there is to learn from words that named a move; None when they name it plainly, or are too many.

    >>> board = chess.Board()
    >>> form_of("Beef or,", board, board.parse_san("b4"))
    Form(heard='beef or', means='b4')
    >>> form_of("pawn to b4", board, board.parse_san("b4"))
    """
    words = plain_words(heard)
    if not words or len(words.split()) > LONGEST or is_plain(heard, board, move):
        return None
    return Form(words, said(board, move))


def spot_as(transcript: Transcript, speaker: Speaker) -> tuple[Mention, ...]:
    """As sync.mentions.spot, and besides with the speaker's forms read as what they mean.

    The readings come on top of the others: which of them are moves is for the follower to say. Mention.heard and all
    indices are those of the words that were really heard.
    """
    found = spot(transcript)
    replaced = _replaced(transcript, speaker.forms)
    if replaced is None:
        return found
    read, origin, end, changed = replaced
    known = {(mention.first, mention.last, mention.form, mention.to, mention.piece) for mention in found}
    extra = [
        _moved(mention, origin, end, transcript.words)
        for mention in spot(read)
        if any(number in changed for number in range(mention.first, mention.last))
    ]
    new = [each for each in extra if (each.first, each.last, each.form, each.to, each.piece) not in known]
    return tuple(sorted([*found, *new], key=lambda mention: (mention.first, -mention.last)))


_Replaced = tuple[Transcript, list[int], list[int], set[int]]


def _replaced(transcript: Transcript, forms: Sequence[Form]) -> _Replaced | None:
    """The transcript with all forms as what they mean; for each word the first heard word it stands for and the one
    after the last; and which words are other ones. None when no form is heard."""
    words, texts = transcript.words, [plain(word.text) for word in transcript.words]
    ranked = sorted(forms, key=lambda form: (-len(form.heard.split()), form.heard, form.means))
    by_length = [(form.heard.split(), form.means.split()) for form in ranked]
    read: list[Word] = []
    origin: list[int] = []
    end: list[int] = []
    changed: set[int] = set()
    at = 0
    while at < len(words):
        form = next(((old, new) for old, new in by_length if texts[at : at + len(old)] == old), None)
        if form is None:
            read.append(words[at])
            origin.append(at)
            end.append(at + 1)
            at += 1
            continue
        heard = words[at : at + len(form[0])]
        for word, first, last in _spread(form[1], heard):
            changed.add(len(read))
            read.append(word)
            origin.append(at + first)
            end.append(at + last)
        at += len(form[0])
    return (replace(transcript, words=tuple(read)), origin, end, changed) if changed else None


def _spread(texts: Sequence[str], heard: Sequence[Word]) -> Iterator[tuple[Word, int, int]]:
    """Each text as a word with its share of the heard words: the word, the first of them and the one after the last."""
    for number, text in enumerate(texts):
        first = min(number * len(heard) // len(texts), len(heard) - 1)
        last = max(first + 1, (number + 1) * len(heard) // len(texts))
        ending = heard[-1].text[len(heard[-1].text.rstrip(".,;:!?")) :] if number == len(texts) - 1 else ""
        word = Word(text + ending, heard[first].start, heard[last - 1].end, heard[first].probability)
        yield word, first, last


def _moved(mention: Mention, origin: Sequence[int], end: Sequence[int], words: Sequence[Word]) -> Mention:
    first, last = origin[mention.first], end[mention.last - 1]
    return replace(
        mention,
        first=first,
        last=last,
        start=words[first].start,
        end=words[last - 1].end,
        heard=" ".join(word.text for word in words[first:last]),
        parts=tuple((part, origin[begin], end[stop - 1]) for part, begin, stop in mention.parts),
    )

