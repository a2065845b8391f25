"""Help is complete and quick: nothing heavy is imported for it."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from tests.cli.conftest import PROJECT, plycue

COMMANDS = re.findall(r"^  (\w+) ", plycue("--help").stdout.partition("Commands:")[2], re.MULTILINE)
DOCUMENT = (PROJECT / "docs" / "commands.md").read_text(encoding="utf-8")

HEAVY = {"av", "chess", "ctranslate2", "faster_whisper", "numpy", "pydub", "rich", "starlette", "uvicorn"}


def test_commands_are_found() -> None:
    assert {"sync", "hear", "spot", "follow", "write", "page", "diagram", "score"} <= set(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_examples_and_is_documented(name: str) -> None:
    text = plycue(name, "--help").stdout
    assert re.search(rf"Examples?:\n    plycue {name} ", text)
    for option in set(re.findall(r"--[a-z][a-z-]+", text.partition("Options:")[2])) - {"--help"}:
        assert f"`{option}" in DOCUMENT, option
    assert f"## `plycue {name}" in DOCUMENT


def test_help_imports_nothing_heavy() -> None:
    asks = "import sys; sys.argv = ['plycue', '--help']\nfrom cli.main import app\napp(standalone_mode=False)\n"
    tells = "print(*{name.partition('.')[0] for name in sys.modules}, file=sys.stderr)"
    process = subprocess.run([sys.executable, "-c", asks + tells], capture_output=True, text=True, cwd=PROJECT)
    assert process.returncode == 0
    assert set(process.stderr.split()) & HEAVY == set()


def test_exit_codes_are_documented() -> None:
    for code in ("0", "1", "2", "3", "130"):
        assert re.search(rf"^\| {code} \|", DOCUMENT, re.MULTILINE)
        assert re.search(rf"^ +{code} +\w", plycue("--help").stdout, re.MULTILINE)


def test_version() -> None:
    assert re.fullmatch(r"plycue \d+\.\d+\.\d+\n", plycue("--version").stdout)


def test_every_dependency_is_explained_with_its_bound() -> None:
    """docs/dependencies.md says of each why it is there."""
    table = (PROJECT / "docs" / "dependencies.md").read_text(encoding="utf-8")
    project = (PROJECT / "pyproject.toml").read_text(encoding="utf-8")
    listed = re.findall(r'^    "([a-z][\w-]*)([<>=][^";]*)', project, re.MULTILINE)
    assert len(listed) > 20
    for name, bound in listed:
        rows = [line for line in table.splitlines() if line.startswith("|") and re.search(rf"\b{name}\b", line)]
        assert any(bound.replace(",", ", ") in row for row in rows), f"{name}{bound}"
