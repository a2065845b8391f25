"""What the desk knows and does, apart from the web."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Executor, Future
from dataclasses import replace
from pathlib import Path
from typing import Any

import chess

from cli.desk.shown import changes_shown, position_shown, revision_shown
from sync.atomic import alone_in
from sync.errors import InputError
from sync.follow import Fix
from sync.lesson import Game, Moment
from sync.lesson.edits import Edit, MoveEdit, edit_from_json, fixes_of, unfit_fixes, words_between
from sync.lesson.graft import Changes, changes, grafted
from sync.lesson.journal import StaleError
from sync.lesson.speaker import Form, load_speaker, profile_path, save_speaker
from sync.nearby import Nearby
from sync.publish import Page, write_lesson
from sync.revise import (
    Follow,
    Opened,
    Revision,
    Task,
    finish,
    keep_games,
    kept_games,
    learnt_forms,
    prepare,
)

FollowNear = Callable[[Task, Sequence[Game], Fix], Nearby | None]


class Desk:
    """A lesson on the desk. Its methods may be called from several threads.

    executor: where the talk is followed, by follow_task, while the desk goes on working. follow_near: follows it near
    a fix, at once; page: how the viewer's page is written when the desk publishes. Every method that changes
    something names the number of the edit it was based on, and raises sync.lesson.journal.StaleError where somebody
    else made one meanwhile.
    """

    def __init__(
        self, opened: Opened, executor: Executor, follow_task: Follow, follow_near: FollowNear, page: Page
    ) -> None:
        self.opened = opened
        self.page = page
        self.stamp = 0
        self._executor = executor
        self._follow_task = follow_task
        self._follow_near = follow_near
        self._lock = threading.RLock()
        self._known: dict[Task, tuple[Game, ...]] = {}
        self._running: dict[Task, Future[tuple[Game, ...]]] = {}
        self._first_look: dict[Task, dict[str, Any]] = {}
        self._task: Task | None = None
        self._edits: tuple[Edit, ...] = ()
        self._games = opened.project.computed.games
        self.following = False
        self.fault = ""
        self.revision: Revision
        self._forms: set[Form] = set()
        self._settle()

    def shown(self, since: int = -1) -> dict[str, Any] | None:
        """All that the page shows; None when nothing has changed since that stamp."""
        with self._lock:
            if self.opened.journal.read().number != self._number:
                self._settle()
            if since == self.stamp:
                return None
            return revision_shown(self)

    def position(self, game: int, line: Sequence[str]) -> dict[str, Any]:
        """The position at the end of a line, with its legal moves. Raises InputError."""
        games = self.revision.lesson.games
        if not 0 <= game < len(games):
            raise InputError(f"there is no game {game}")
        return position_shown(games[game].start_fen, line)

    def preview(self, edits: object, based_on: object) -> dict[str, Any]:
        """What else would be read otherwise.

        checked: the whole talk was followed for it; else it soon will be, and until (seconds) is how far it was.
        """
        with self._lock:
            self._check(based_on)
            trial = _edits(edits)
            fix = next((edit for edit in trial if isinstance(edit, MoveEdit)), None)
            if fix is None:
                return {"checked": True, **changes_shown(changes(self._games, self._games))}
            _, task = prepare(self.opened, (*self._edits, *trial))
            fixes = () if task is None else task.fixes
            mark = next((each for each in fixes if (each.start, each.end) == (fix.at, fix.end)), None)
            if task is None or mark is None:
                raise InputError("two edits of the same words: preview one of them")
            games = self._followed(task)
            if games is not None:
                return {"checked": True, **changes_shown(changes(self._games, games, mark))}
            if task in self._first_look:
                self._start(task)  # asked again: the editor is still looking at it
            else:
                self._first_look[task] = self._look_around(task, trial, mark)
            return {"checked": False, **self._first_look[task]}

    def take(self, edits: object, based_on: object) -> dict[str, Any]:
        """Makes edits. They are on the disk when it returns what the page shows then."""
        with self._lock:
            self.opened.journal.add(_edits(edits), _number(based_on))
            return self._settled()

    def undo(self, based_on: object) -> dict[str, Any]:
        with self._lock:
            self.opened.journal.undo(_number(based_on))
            return self._settled()

    def redo(self, based_on: object) -> dict[str, Any]:
        with self._lock:
            self.opened.journal.redo(_number(based_on))
            return self._settled()

    def name_speaker(self, name: str) -> dict[str, Any]:
        """Keeps what is learnt under that name from now on; an empty one keeps nothing. Raises InputError."""
        with self._lock:
            if name:
                profile_path(name)
            self._forms = set()
            self.opened.name_speaker(name)
            return self._settled()

    def publish(self) -> list[Path]:
        """Writes all files of the lesson anew, with the edits, into its folder."""
        with self._lock:
            self.opened.save()
            if self.following:
                raise InputError("the talk is still being followed: publish in a moment")
            if self.opened.is_outdated:
                raise InputError("the lesson was followed anew meanwhile: close the desk and open it again")
            folder, revision = self.opened.path.parent, self.revision
        with alone_in(folder):
            return write_lesson(revision.lesson, revision.transcript, folder, self.opened.name, self.page)

    def close(self) -> None:
        """Edits are in the project file as well when it returns."""
        with self._lock:
            self.opened.journal.read()
            self.opened.save()

    def _check(self, based_on: object) -> None:
        if self.opened.journal.read().number != based_on:
            raise StaleError(f"record {self.opened.journal.history.number} came after {based_on}")

    def _settled(self) -> dict[str, Any]:
        self._settle()
        return revision_shown(self)

    def _settle(self) -> None:
        """Makes the lesson what the journal says; where the talk has to be followed anew, at first by hand."""
        before, self._edits = self._edits, self.opened.edits
        self._number = self.opened.journal.history.number
        was = None if self.following else self._task
        words, self._task = prepare(self.opened, self._edits)
        same = self._edits[: len(before)] == before
        games = None if self._task is None else self._followed(self._task)
        holds = games is None and same and not self.following and self._holds(was, self._task)
        self.following = self._task is not None and games is None and not holds
        if self._task is not None and holds:
            games = self._games
            self._start(self._task)  # it reads the same, but may be surer of it
        elif self._task is not None and games is None:
            start = self._games if same else self.opened.project.computed.games
            games = self._grafted(start, self._edits[len(before) :] if same else self._edits)
            self._start(self._task)
        self.revision = finish(self.opened, self._edits, words, self._task, games)
        if self.following:
            self.revision = replace(self.revision, unfit=())  # not known yet
        self._games = self.revision.followed
        self._learn()
        self.stamp += 1

    def _holds(self, was: Task | None, task: Task | None) -> bool:
        """What was the best reading under fewer fixes is the best one under more that it keeps to anyhow."""
        if task is None:
            return False
        transcript = self.opened.transcript if was is None else was.transcript
        forms = task.forms if was is None else was.forms
        more = None if was is None else set(was.fixes) <= set(task.fixes)
        if more is False or task.transcript != transcript or task.forms != forms:
            return False
        return not unfit_fixes(self._edits, self._games, task.fixes)

    def _followed(self, task: Task) -> tuple[Game, ...] | None:
        games = self._known.get(task)
        if games is None and (games := kept_games(task)) is not None:
            self._known[task] = games
        return games

    def _start(self, task: Task) -> None:
        """Follows the talk for a task in the background; what nobody waits for any more is not begun."""
        for other, future in list(self._running.items()):
            if other not in (task, self._task) and future.cancel():
                del self._running[other]
        if task in self._running:
            return
        future = self._executor.submit(self._follow_task, task)
        self._running[task] = future
        future.add_done_callback(self._arrival(task))

    def _arrival(self, task: Task) -> Callable[[Future[tuple[Game, ...]]], None]:
        def arrived(future: Future[tuple[Game, ...]]) -> None:
            if future.cancelled():
                return
            with self._lock:
                self._running.pop(task, None)
                if (error := future.exception()) is not None:
                    self.fault = f"the talk could not be followed: {error}"
                    self.stamp += 1
                    return
                self._known[task] = future.result()
                keep_games(task, self._known[task])
                if task == self._task:
                    self._settle()

        return arrived

    def _look_around(self, task: Task, trial: Sequence[Edit], mark: Fix) -> dict[str, Any]:
        """What changes near a fix as it is followed there, and further on as far as the fix alone tells."""
        later = changes(self._games, self._grafted(self._games, trial), mark)
        near = self._follow_near(task, self._games, mark)
        if near is None:
            return {"until": mark.end, **changes_shown(later)}
        close = changes(self._games, near.games, mark)
        readings = [each for each in close.readings if mark.end <= each.at < near.until]
        readings += [each for each in later.readings if each.at < mark.start or each.at >= near.until]
        return {"until": near.until, **changes_shown(Changes(tuple(readings), later.moved))}

    def _grafted(self, games: tuple[Game, ...], edits: Sequence[Edit]) -> tuple[Game, ...]:
        for fix in fixes_of(edits, games[0].start_fen if games else chess.STARTING_FEN):
            games = tuple(
                grafted(game, fix, self._moment(game, fix)) if game.start <= fix.start <= game.end else game
                for game in games
            )
        return games

    def _moment(self, game: Game, fix: Fix) -> Moment:
        words = self.opened.transcript.words
        first, end = words_between(words, fix.start, fix.end)
        starts = [moment.start for ply in game.plies for moment in ply.moments if moment.start >= fix.end]
        finish_at = min(starts, default=game.end)
        end_word = max(end, next((number for number in range(end, len(words)) if words[number].start >= finish_at),
                                 len(words)))  # fmt: skip
        heard = " ".join(word.text for word in words[first:end])
        return Moment(fix.start, max(finish_at, fix.end), first, max(end, first + 1), end_word, heard, heard)

    def _learn(self) -> None:
        """Forms that the edits teach come into the speaker's profile, and leave it when the edit is undone."""
        name = self.opened.project.settings.speaker
        if not name:
            return
        forms = learnt_forms(self.opened, self._games)
        speaker = load_speaker(name)
        gone = self._forms - forms
        known = {form for form in speaker.forms if form not in gone} | forms
        if known != set(speaker.forms):
            save_speaker(replace(speaker, forms=tuple(known)))
        self._forms = forms


def _edits(value: object) -> list[Edit]:
    """Raises InputError."""
    if not isinstance(value, list) or not value or not all(isinstance(edit, dict) for edit in value):
        raise InputError("edits must be a list of objects")
    return [edit_from_json(edit) for edit in value]


def _number(value: object) -> int:
    """Raises InputError."""
    if type(value) is not int:
        raise InputError("based_on must be the number of the last edit")
    return value
