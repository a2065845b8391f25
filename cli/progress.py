"""How far the hearing of a recording has come, and which moves were named so far, on standard error."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Watch:
    """update: to be called with the seconds heard and the seconds in all. tell: shows a line above the bar; None where
    nobody watches."""

    update: Callable[[float, float], None]
    tell: Callable[[str], None] | None = None


@contextmanager
def heard_bar(name: str) -> Iterator[Watch]:
    """A bar in seconds of the recording, with the time that is left.

    It shows only on a terminal, and only once there is something to wait for.
    """
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.fields[heard]} of {task.fields[length]}"),
        TimeRemainingColumn(),
        TextColumn("left"),
    )
    console = Console(stderr=True)
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task(f"hearing {name}", total=None, heard=clock(0), length="?")

        def update(heard: float, length: float) -> None:
            bar.update(task, completed=heard, total=length, heard=clock(heard), length=clock(length))

        def tell(line: str) -> None:
            console.print(line, highlight=False, markup=False)

        yield Watch(update, tell if console.is_terminal else None)


def clock(seconds: float) -> str:
    """
    >>> clock(75), clock(3675.2)
    ('1:15', '1:01:15')
    """
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
