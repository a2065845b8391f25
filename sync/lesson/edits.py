"""What an editor changed, as data; and a lesson with these changes made.

An edit finds its place by time, and by the line of moves that leads to a ply, never by ids or word indices: those are
others when the lesson is heard or followed again. An edit that finds no place any more is told, not dropped.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import accumulate, pairwise
from typing import Any, cast

import chess

from sync.errors import InputError
from sync.follow.fixes import ROLES, Fix, Role
from sync.lesson.decode import FormatError, decode
from sync.lesson.lesson import Chapter, Game, Lesson, Moment, Ply, Quiz
from sync.recording import LONGEST
from sync.transcript.words import MOST_RIVALS_FOR, Transcript, Word, without_rivals

NEAR = 1.0
"""Seconds by which a moment, a chapter or a quiz may have moved from where an edit of it was made."""

UCI = re.compile(r"([a-h][1-8])(?!\1)[a-h][1-8][qrbn]?")
"""A move from one square to another."""

Line = tuple[str, ...]
"""UCI moves from a game's start position."""


@dataclass(frozen=True, slots=True)
class MoveEdit:
    """What the words from at to end name (seconds): uci in that role, from the end of line; no move where uci is None.

    role and line as in sync.follow.Fix. was: the move that had been read there; lines of earlier edits that led through
    it lead through uci from now on.
    """

    at: float
    end: float
    uci: str | None
    role: str | None = None
    line: tuple[str, ...] | None = None
    was: str | None = None


@dataclass(frozen=True, slots=True)
class WordsEdit:
    """text in place of the words from at to end (seconds); it takes up the same time."""

    at: float
    end: float
    text: str


@dataclass(frozen=True, slots=True)
class CommentEdit:
    """The comment to the ply at the end of line; None: what was said about it. at: when it is named first."""

    at: float
    game: int
    line: tuple[str, ...]
    text: str | None


@dataclass(frozen=True, slots=True)
class NagsEdit:
    """The numeric annotation glyphs of the ply at the end of line."""

    at: float
    game: int
    line: tuple[str, ...]
    nags: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class MomentEdit:
    """start and end (seconds) of the moment that began at at."""

    at: float
    game: int
    line: tuple[str, ...]
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class PlayedEdit:
    """played: all of line is the game, and what was the game beside it a side line. Else its last ply is no more than
    considered, and so is all that follows it."""

    at: float
    game: int
    line: tuple[str, ...]
    played: bool


@dataclass(frozen=True, slots=True)
class OrderEdit:
    """The order of the moves that go on from the end of line; a played one stands first in any case."""

    at: float
    game: int
    line: tuple[str, ...]
    order: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TagsEdit:
    """PGN tag pairs to set; None takes one away."""

    at: float
    game: int
    tags: dict[str, str | None]


@dataclass(frozen=True, slots=True)
class TitleEdit:
    """The lesson's title."""

    at: float
    text: str


@dataclass(frozen=True, slots=True)
class ChapterEdit:
    """The chapter that began at at begins at start and is called title."""

    at: float
    start: float
    title: str


@dataclass(frozen=True, slots=True)
class ChapterAdded:
    """A chapter begins at at."""

    at: float
    title: str


@dataclass(frozen=True, slots=True)
class ChapterRemoved:
    """The chapter that begins at at becomes part of the one before it."""

    at: float


@dataclass(frozen=True, slots=True)
class QuizEdit:
    """The quiz that began at at begins at start, and stops a viewer at stop."""

    at: float
    start: float
    stop: float


@dataclass(frozen=True, slots=True)
class QuizAdded:
    """A quiz from at to stop about the position at the end of line."""

    at: float
    stop: float
    game: int
    line: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class QuizRemoved:
    """There is no quiz at at."""

    at: float


Edit = (
    MoveEdit | WordsEdit | CommentEdit | NagsEdit | MomentEdit | PlayedEdit | OrderEdit | TagsEdit | TitleEdit
    | ChapterEdit | ChapterAdded | ChapterRemoved | QuizEdit | QuizAdded | QuizRemoved
)  # fmt: skip

KINDS: dict[str, type[Any]] = {
    "move": MoveEdit,
    "words": WordsEdit,
    "comment": CommentEdit,
    "nags": NagsEdit,
    "moment": MomentEdit,
    "played": PlayedEdit,
    "order": OrderEdit,
    "tags": TagsEdit,
    "title": TitleEdit,
    "chapter": ChapterEdit,
    "chapter-added": ChapterAdded,
    "chapter-removed": ChapterRemoved,
    "quiz": QuizEdit,
    "quiz-added": QuizAdded,
    "quiz-removed": QuizRemoved,
}
NAMES = {kind: name for name, kind in KINDS.items()}
STRETCHES = {
    MoveEdit: ("at", "end"),
    WordsEdit: ("at", "end"),
    MomentEdit: ("start", "end"),
    QuizEdit: ("start", "stop"),
    QuizAdded: ("at", "stop"),
}
"""Members with the first and the last time of what an edit is about."""


@dataclass(frozen=True, slots=True)
class Unfit:
    """An edit without a place in the lesson as it is now. why: one short line."""

    edit: Edit
    why: str


@dataclass(frozen=True, slots=True)
class Edited:
    lesson: Lesson
    unfit: tuple[Unfit, ...] = ()


class _NoPlaceError(Exception):
    """An edit does not fit. The message says why."""


def edit_from_json(value: Mapping[str, Any]) -> Edit:
    """The edit that a JSON object is. Raises InputError.

    >>> edit_from_json({"kind": "title", "at": 0, "text": "Open files"})
    TitleEdit(at=0.0, text='Open files')
    """
    kind = KINDS.get(value["kind"]) if type(value.get("kind")) is str else None
    if kind is None:
        raise InputError(f"edit of kind {value.get('kind')!r:.40}: choose one of {', '.join(KINDS)}")
    try:
        edit = cast("Edit", decode(kind, {name: item for name, item in value.items() if name != "kind"}, ""))
    except FormatError as fault:
        raise InputError(f"edit of kind {value['kind']!r}: {fault}; correct it") from fault
    _check(edit)
    return edit


def edit_to_json(edit: Edit) -> dict[str, Any]:
    """
    >>> edit_to_json(ChapterRemoved(12.5))
    {'kind': 'chapter-removed', 'at': 12.5}
    """
    members = {name: list(item) if isinstance(item, tuple) else item for name, item in asdict(edit).items()}
    return {"kind": NAMES[type(edit)], **members}


def _check(edit: Edit) -> None:
    times = [getattr(edit, name) for name in ("at", "end", "start", "stop") if hasattr(edit, name)]
    first, last = STRETCHES.get(type(edit), ("at", "at"))
    if min(times) < 0 or getattr(edit, first) > getattr(edit, last):
        raise InputError(f"edit of kind {NAMES[type(edit)]!r}: times must not be negative, nor {last} before {first}")
    if max(times) > LONGEST:
        raise InputError(f"edit of kind {NAMES[type(edit)]!r}: {max(times):g} s is not a time in a recording")
    moves = (getattr(edit, "uci", None), getattr(edit, "was", None), *(getattr(edit, "line", None) or ()))
    if strange := [uci for uci in moves if uci is not None and not UCI.fullmatch(uci)]:
        raise InputError(f"edit of kind {NAMES[type(edit)]!r}: {strange[0]!r:.40} is no move; write it like 'e2e4'")
    match edit:
        case MoveEdit() if edit.role is not None and edit.role not in ROLES:
            raise InputError(f"role {edit.role!r:.40}: choose one of {', '.join(ROLES)}")
        case WordsEdit() if not edit.text.split():
            raise InputError("words cannot be left out, only others put in their place")
        case NagsEdit() if not all(0 <= nag <= 255 for nag in edit.nags):
            raise InputError("a NAG is a number from 0 to 255")
        case TagsEdit() if not all(name.replace("_", "a").isalnum() and name.isascii() for name in edit.tags):
            raise InputError("the name of a tag is made of letters, digits and underscores")


def fixes_of(edits: Sequence[Edit], start_fen: str = chess.STARTING_FEN) -> tuple[Fix, ...]:
    """The constraints that the edits of moves are for sync.follow.follow, in time order.

    Of several edits of the same words the last one counts. Lines lead through what was put in a misheard move's place.
    """
    moves = [(number, edit) for number, edit in enumerate(edits) if isinstance(edit, MoveEdit)]
    kept = [
        (number, edit)
        for place, (number, edit) in enumerate(moves)
        if not any(_overlap(edit, later) for _, later in moves[place + 1 :])
    ]
    fixes = [
        Fix(
            edit.at,
            edit.end,
            edit.uci,
            cast("Role | None", edit.role),
            None if edit.line is None else led_through(edit.line, edits[number + 1 :], start_fen),
        )
        for number, edit in kept
    ]
    return tuple(sorted(fixes, key=lambda fix: (fix.start, fix.end)))


def _overlap(one: MoveEdit, other: MoveEdit) -> bool:
    return min(one.end, other.end) - max(one.at, other.at) > 0.5 * min(one.end - one.at, other.end - other.at)


def led_through(line: Line, later: Iterable[Edit], start_fen: str) -> Line:
    """line, through the moves that later edits put in the place of misheard ones; as it is where that is not legal.

    >>> put_right = MoveEdit(4.0, 4.6, "g1e2", line=("e2e4", "e7e5"), was="g1f3")
    >>> led_through(("e2e4", "e7e5", "g1f3", "b8c6"), [put_right], chess.STARTING_FEN)
    ('e2e4', 'e7e5', 'g1e2', 'b8c6')
    """
    for edit in later:
        if not isinstance(edit, MoveEdit) or edit.line is None or edit.was is None or edit.uci is None:
            continue
        old = (*edit.line, edit.was)
        new = (*edit.line, edit.uci, *line[len(old) :])
        if line[: len(old)] == old and is_legal(new, start_fen):
            line = new
    return line


def is_legal(line: Line, start_fen: str) -> bool:
    board = chess.Board(start_fen)
    for uci in line:
        try:
            board.push(board.parse_uci(uci))
        except ValueError:
            return False
    return True


def unfit_fixes(edits: Sequence[Edit], games: Sequence[Game], fixes: Sequence[Fix]) -> tuple[Unfit, ...]:
    """The edits of moves that the games, followed under these fixes, do not keep to."""
    by_place = {(edit.at, edit.end): edit for edit in edits if isinstance(edit, MoveEdit)}
    return tuple(
        Unfit(by_place[fix.start, fix.end], why) for fix in fixes if (why := _broken(fix, games)) is not None
    )


def _broken(fix: Fix, games: Sequence[Game]) -> str | None:
    """Why the games do not keep to a fix, None when they do."""
    named = [
        (game, ply)
        for game in games
        for ply in game.plies
        for moment in ply.moments
        if fix.start - 0.01 <= moment.start < max(fix.end, fix.start + 0.01)
    ]
    if fix.uci is None:
        return f"these words are read as {named[0][1].san}" if named else None
    right = [(game, ply) for game, ply in named if ply.uci == fix.uci]
    if not right:
        return f"these words are read as {named[0][1].san}" if named else "the move is not legal there any more"
    if fix.line is not None and all(line_of(game, ply) != (*fix.line, fix.uci) for game, ply in right):
        return "the move is not legal there any more: it is read in another place"
    if fix.role == "played" and not any(ply.played for _, ply in right):
        return "the move does not continue the game there"
    if fix.role == "considered" and all(ply.played for _, ply in right):
        return "the move was played in the game"
    return None


def line_of(game: Game, ply: Ply) -> Line:
    """The moves from the start position that lead to a ply, its own the last."""
    by_id = {each.id: each for each in game.plies}
    found = [ply.uci]
    parent = ply.parent
    while parent is not None:
        found.append(by_id[parent].uci)
        parent = by_id[parent].parent
    return tuple(reversed(found))


def lines_of(game: Game) -> dict[Line, Ply]:
    """All plies of a game by their lines."""
    lines: dict[int | None, Line] = {None: ()}
    for ply in game.plies:
        lines[ply.id] = (*lines[ply.parent], ply.uci)
    return {lines[ply.id]: ply for ply in game.plies}


@dataclass(frozen=True, slots=True)
class Reworded:
    """A transcript with other words. index: where each old word index, and the end, is now. touched: new word ranges
    that an editor wrote."""

    transcript: Transcript
    index: tuple[int, ...]
    touched: tuple[tuple[int, int], ...] = ()
    unfit: tuple[Unfit, ...] = ()


def reworded(transcript: Transcript, edits: Iterable[Edit]) -> Reworded:
    """The transcript with the words that an editor put in; times stay."""
    words = list(transcript.words)
    index = list(range(len(words) + 1))
    touched: list[tuple[int, int]] = []
    unfit = []
    for edit in edits:
        if not isinstance(edit, WordsEdit):
            continue
        first, end = words_between(words, edit.at, edit.end)
        if first == end:
            unfit.append(Unfit(edit, "no words are there any more"))
            continue
        new = retimed(edit.text.split(), words[first:end])
        shift = len(new) - (end - first)
        words[first:end] = new
        for before in range(max(0, first + 1 - MOST_RIVALS_FOR), first):
            if before + words[before].rivals_for > first:  # its square stood for words that are others now
                words[before] = without_rivals(words[before])
        index = [place if place <= first else place + shift if place >= end else first for place in index]
        touched = [
            (begin + shift, stop + shift) if begin >= end else (begin, stop)
            for begin, stop in touched
            if stop <= first or begin >= end
        ]
        touched.append((first, first + len(new)))
    return Reworded(replace(transcript, words=tuple(words)), tuple(index), tuple(touched), tuple(unfit))


def words_between(words: Sequence[Word], start: float, end: float) -> tuple[int, int]:
    """Index range of the words whose middle lies between two times."""
    inside = [number for number, word in enumerate(words) if start <= (word.start + word.end) / 2 <= end]
    return (inside[0], inside[-1] + 1) if inside else (0, 0)


def retimed(texts: Sequence[str], heard: Sequence[Word]) -> list[Word]:
    """texts in the time of the heard words: one in the place of each, else each as long as its share of the letters."""
    if len(texts) == len(heard):
        same = [text == word.text for text, word in zip(texts, heard, strict=True)]
        return [
            word if all(same[number : number + word.rivals_for]) else replace(without_rivals(word), text=text)
            for number, (text, word) in enumerate(zip(texts, heard, strict=True))
        ]
    start, end = heard[0].start, max(heard[0].start, heard[-1].end)
    marks = [
        round(start + (end - start) * done / sum(map(len, texts)), 3)
        for done in accumulate(map(len, texts), initial=0)
    ]
    probability, spread = min(word.probability for word in heard), max(word.spread for word in heard)
    return [
        Word(text, begin, finish, probability, spread)
        for text, (begin, finish) in zip(texts, pairwise(marks), strict=True)
    ]


def moved_words(games: Iterable[Game], words: Reworded) -> tuple[Game, ...]:
    """Games that point into the old words, pointing into the new ones."""
    at = words.index

    def moment_moved(moment: Moment) -> Moment:
        first = at[moment.first_word]
        named_end = max(at[moment.named_end], first + 1)
        spoken = moment.spoken
        if any(begin < named_end and first < stop for begin, stop in words.touched):
            spoken = " ".join(word.text for word in words.transcript.words[first:named_end])
        end_word = max(at[moment.end_word], named_end)
        return replace(moment, first_word=first, named_end=named_end, end_word=end_word, spoken=spoken)

    return tuple(
        replace(
            game,
            first_word=at[game.first_word],
            end_word=at[game.end_word],
            plies=tuple(replace(ply, moments=tuple(map(moment_moved, ply.moments))) for ply in game.plies),
        )
        for game in games
    )


def edited(lesson: Lesson, edits: Sequence[Edit]) -> Edited:
    """The lesson with all edits made but those of words and of what moves they name (fixes_of, reworded), in order."""
    unfit = []
    for number, edit in enumerate(edits):
        change = CHANGES.get(type(edit))
        if change is None:
            continue
        try:
            lesson = change(lesson, _led(edit, edits[number + 1 :], lesson))
        except _NoPlaceError as fault:
            unfit.append(Unfit(edit, str(fault)))
    return Edited(lesson, tuple(unfit))


def _led(edit: Any, later: Sequence[Edit], lesson: Lesson) -> Any:
    """The edit with its line as it is in the lesson, where a misheard move in it was put right after it was made."""
    game = getattr(edit, "game", None)
    if game is None or not hasattr(edit, "line"):
        return edit
    if not 0 <= game < len(lesson.games):
        raise _NoPlaceError("there is no such game any more")
    if not edit.line or edit.line in lines_of(lesson.games[game]):
        return edit
    return replace(edit, line=led_through(edit.line, later, lesson.games[game].start_fen))


def _ply_at(game: Game, line: Line) -> Ply:
    ply = lines_of(game).get(line)
    if ply is None:
        raise _NoPlaceError("the move is not in the lesson any more")
    return ply


def _in_game(lesson: Lesson, number: int, change: Callable[[Game], Game]) -> Lesson:
    games = list(lesson.games)
    games[number] = change(games[number])
    return replace(lesson, games=tuple(games))


def _with_ply(lesson: Lesson, number: int, line: Line, **members: Any) -> Lesson:
    found = _ply_at(lesson.games[number], line)
    plies = tuple(replace(ply, **members) if ply is found else ply for ply in lesson.games[number].plies)
    return _in_game(lesson, number, lambda game: replace(game, plies=plies))


def _comment(lesson: Lesson, edit: CommentEdit) -> Lesson:
    return _with_ply(lesson, edit.game, edit.line, comment=edit.text)


def _nags(lesson: Lesson, edit: NagsEdit) -> Lesson:
    return _with_ply(lesson, edit.game, edit.line, nags=edit.nags)


def _moment(lesson: Lesson, edit: MomentEdit) -> Lesson:
    moments = list(_ply_at(lesson.games[edit.game], edit.line).moments)
    number = _nearest([moment.start for moment in moments], edit.at)
    moments[number] = replace(moments[number], start=edit.start, end=edit.end)
    moments.sort(key=lambda moment: moment.start)
    return _with_ply(lesson, edit.game, edit.line, moments=tuple(moments))


def _nearest(times: Sequence[float], at: float) -> int:
    number = min(range(len(times)), key=lambda index: abs(times[index] - at), default=None)
    if number is None or abs(times[number] - at) > NEAR:
        raise _NoPlaceError("nothing of that kind is there any more")
    return number


def _played(lesson: Lesson, edit: PlayedEdit) -> Lesson:
    game = lesson.games[edit.game]
    lines = lines_of(game)
    _ply_at(game, edit.line)
    if edit.played:
        played = {ply.id for line, ply in lines.items() if line == edit.line[: len(line)] or (
            ply.played and line[: len(edit.line)] == edit.line)}  # fmt: skip
    else:
        played = {ply.id for line, ply in lines.items() if ply.played and line[: len(edit.line)] != edit.line}
    return _in_game(lesson, edit.game, lambda each: _arranged(each, played, {}))


def _order(lesson: Lesson, edit: OrderEdit) -> Lesson:
    game = lesson.games[edit.game]
    parent = _ply_at(game, edit.line).id if edit.line else None
    played = {ply.id for ply in game.plies if ply.played}
    wanted = {uci: place for place, uci in enumerate(edit.order)}
    if not any(ply.parent == parent and ply.uci in wanted for ply in game.plies):
        raise _NoPlaceError("none of these moves is there any more")
    return _in_game(lesson, edit.game, lambda each: _arranged(each, played, {parent: wanted}))


def _arranged(game: Game, played: set[int], orders: Mapping[int | None, Mapping[str, int]]) -> Game:
    """The plies with those played, each parent before its children, the played child first."""
    children: dict[int | None, list[Ply]] = {}
    for ply in game.plies:
        children.setdefault(ply.parent, []).append(replace(ply, played=ply.id in played))
    for parent, below in children.items():
        wanted = orders.get(parent, {})
        below.sort(key=lambda ply: (not ply.played, wanted.get(ply.uci, len(wanted))))
    plies: list[Ply] = []
    parents: list[int | None] = [None]
    while parents:
        below = children.get(parents.pop(), [])
        plies += below
        parents += [ply.id for ply in reversed(below)]
    return replace(game, plies=tuple(plies))


def _tags(lesson: Lesson, edit: TagsEdit) -> Lesson:
    if not 0 <= edit.game < len(lesson.games):
        raise _NoPlaceError("there is no such game any more")
    tags = {**lesson.games[edit.game].tags, **edit.tags}
    kept = {name: value for name, value in tags.items() if value is not None}
    return _in_game(lesson, edit.game, lambda game: replace(game, tags=kept))


def _title(lesson: Lesson, edit: TitleEdit) -> Lesson:
    return replace(lesson, title=edit.text)


def _chapter(lesson: Lesson, edit: ChapterEdit) -> Lesson:
    chapters = list(lesson.chapters)
    number = _nearest([chapter.start for chapter in chapters], edit.at)
    start = 0.0 if number == 0 else edit.start  # the first chapter begins with the talk
    chapters[number] = Chapter(start, chapters[number].end, edit.title)
    return _with_chapters(lesson, chapters)


def _chapter_added(lesson: Lesson, edit: ChapterAdded) -> Lesson:
    return _with_chapters(lesson, [*lesson.chapters, Chapter(edit.at, edit.at, edit.title)])


def _chapter_removed(lesson: Lesson, edit: ChapterRemoved) -> Lesson:
    number = _nearest([chapter.start for chapter in lesson.chapters], edit.at)
    if number == 0:
        raise _NoPlaceError("the first chapter has none before it")
    return _with_chapters(lesson, [*lesson.chapters[:number], *lesson.chapters[number + 1 :]])


def _with_chapters(lesson: Lesson, chapters: Iterable[Chapter]) -> Lesson:
    """Chapters in time order, each to the beginning of the next."""
    end = max((chapter.end for chapter in lesson.chapters), default=0.0)
    by_start = {chapter.start: chapter for chapter in chapters if chapter.start < end}
    starts = sorted(by_start)
    return replace(
        lesson,
        chapters=tuple(
            Chapter(start, stop, by_start[start].title) for start, stop in pairwise([*starts, end])
        ),
    )


def _quiz(lesson: Lesson, edit: QuizEdit) -> Lesson:
    quizzes = list(lesson.quizzes)
    number = _nearest([quiz.start for quiz in quizzes], edit.at)
    quizzes[number] = replace(quizzes[number], start=edit.start, stop=edit.stop)
    return replace(lesson, quizzes=_by_start(quizzes))


def _quiz_added(lesson: Lesson, edit: QuizAdded) -> Lesson:
    game = lesson.games[edit.game]
    parent = _ply_at(game, edit.line).id if edit.line else None
    answers = tuple(ply.id for ply in game.plies if ply.parent == parent)
    return replace(
        lesson, quizzes=_by_start([*lesson.quizzes, Quiz(edit.at, edit.stop, edit.game, parent, answers)])
    )


def _quiz_removed(lesson: Lesson, edit: QuizRemoved) -> Lesson:
    number = _nearest([quiz.start for quiz in lesson.quizzes], edit.at)
    return replace(lesson, quizzes=lesson.quizzes[:number] + lesson.quizzes[number + 1 :])


def _by_start(quizzes: Iterable[Quiz]) -> tuple[Quiz, ...]:
    return tuple(sorted(quizzes, key=lambda quiz: quiz.start))


CHANGES: dict[type[Any], Callable[[Lesson, Any], Lesson]] = {
    CommentEdit: _comment,
    NagsEdit: _nags,
    MomentEdit: _moment,
    PlayedEdit: _played,
    OrderEdit: _order,
    TagsEdit: _tags,
    TitleEdit: _title,
    ChapterEdit: _chapter,
    ChapterAdded: _chapter_added,
    ChapterRemoved: _chapter_removed,
    QuizEdit: _quiz,
    QuizAdded: _quiz_added,
    QuizRemoved: _quiz_removed,
}
