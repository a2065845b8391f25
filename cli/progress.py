"""How far hearing and following have come, and which moves were named so far, on standard error."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID


HEARING, FOLLOWING = "hearing", "following"
"""The stages that take long."""


@dataclass(frozen=True, slots=True)
class Watch:
    """update: to be called with the stage, the seconds of the talk that are done and those in all. tell: shows a line
    above the bar; None where nobody watches."""

    update: Callable[[str, float, float], None]
    tell: Callable[[str], None] | None = None


class Bars:
    """A bar for each talk that is being heard or followed, in its seconds and with the time that is left."""

    def __init__(self, bar: Progress, names: Sequence[str]) -> None:
        self._bar = bar
        self._names = names
        self._tasks: dict[int, TaskID] = {}
        self._last: dict[int, tuple[str, float]] = {}
        """The stage of each talk and the seconds of it that are done, as told last."""

    def watch(self, number: int) -> Watch:
        """For the talk of that number, whose bar is shown from now on."""
        name = self._names[number]
        if number not in self._tasks:
            self._tasks[number] = self._bar.add_task(name, total=None, done=clock(0), length="?")
        task, console = self._tasks[number], self._bar.console

        def update(stage: str, done: float, length: float) -> None:
            before, reached = self._last.get(number, ("", 0.0))
            if stage != before or done < reached:  # the time left is reckoned anew
                self._bar.reset(task, description=f"{stage} {name}")
            self._last[number] = stage, done
            self._bar.update(task, completed=done, total=length, done=clock(done), length=clock(length))

        def tell(line: str) -> None:
            console.print(line, highlight=False, markup=False)

        return Watch(update, tell if console.is_terminal else None)

    def remove(self, number: int) -> None:
        """Whatever may still be told of it later."""
        if number in self._tasks:
            self._bar.update(self._tasks[number], visible=False)

    @contextmanager
    def aside(self) -> Iterator[None]:
        """The bars make room for lines on standard output, which is not theirs."""
        if self._bar.disable:
            yield
            return
        self._bar.stop()
        yield
        self._bar.start()


@contextmanager
def stage_bars(names: Sequence[str]) -> Iterator[Bars]:
    """Bars that show only on a terminal."""
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.fields[done]} of {task.fields[length]}"),
        TimeRemainingColumn(),
        TextColumn("left"),
    )
    console = Console(stderr=True)
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        yield Bars(bar, names)


def clock(seconds: float) -> str:
    """
    >>> clock(75), clock(3675.2)
    ('1:15', '1:01:15')
    """
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
