"""How commands end: exit codes, and one line for each thing that went wrong."""

from __future__ import annotations

import os
import sys
import tempfile
import traceback
from typing import Any

import typer
from typer.core import TyperGroup
from typer.exceptions import TyperException

from sync.errors import InputError

SOME_FAILED = 1
"""Of several files some could not be done; all others are."""
BAD_INPUT = 2
"""A file or an option cannot be used, or no file of several could be done."""
INTERNAL = 3
"""A fault of this program."""
INTERRUPTED = 130
"""Stopped by Ctrl-C (128 and the number of SIGINT, as shells have it)."""

RESUME = "stopped; all finished pieces are kept: give the same command again to go on from there"


class Commands(TyperGroup):
    """Runs the commands, and ends with one line and an exit code where one fails."""

    def invoke(self, ctx: Any) -> Any:
        try:
            return super().invoke(ctx)
        except InputError as error:
            complain(str(error))
            raise typer.Exit(BAD_INPUT) from error
        except KeyboardInterrupt as error:
            complain(RESUME)
            raise typer.Exit(INTERRUPTED) from error
        except BrokenPipeError as error:
            _close_output()  # the reader of a pipe has gone
            raise typer.Exit(0) from error
        except OSError as error:
            raise typer.Exit(refused(error)) from error
        except (TyperException, typer.Exit, typer.Abort):
            raise  # wrong usage, or an end that a command chose
        except Exception as error:
            complain(internal_fault(error))
            raise typer.Exit(INTERNAL) from error


def refused(error: OSError) -> int:
    """Tells what the system refused, and returns the exit code: no fault of this program, and seldom of a file's."""
    complain(f"{error.filename or 'the output'}: {error.strerror or error}; check its rights, or free some room")
    if error.filename is None:
        _close_output()
    return BAD_INPUT


def _close_output() -> None:
    """What is still in the buffer must not fail again when Python ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def complain(message: str) -> None:
    """One line on standard error; what a terminal would not print, such as a line end in a file's name, is escaped."""
    typer.echo(f"plycue: {''.join(map(_printable, message))}", err=True)


def _printable(character: str) -> str:
    return character if character.isprintable() else character.encode("unicode_escape").decode()


def internal_fault(error: Exception) -> str:
    """One line for an error that nobody foresaw; the whole report goes into a file."""
    place = traceback.extract_tb(error.__traceback__)[-1]
    text = " ".join(str(error).split())[:200]
    where = f"{os.path.basename(place.filename)}:{place.lineno}"
    told = f"internal fault: {type(error).__name__}: {text} ({where}); please report it"
    try:
        handle, report = tempfile.mkstemp(prefix="plycue-fault-", suffix=".txt")
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.writelines(traceback.format_exception(error))
    except OSError:
        return told  # the disk is full, perhaps that is the fault
    return f"{told} with the file {report}"
