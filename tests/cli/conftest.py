"""The command on the bundled sample, run once as a person runs it."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cli.main import app

PROJECT = Path(__file__).parents[2]
SAMPLES = PROJECT / "samples"

REFUSED = """
import socket
def refused(*arguments, **options):
    raise RuntimeError("the network was asked for")
for name in ("connect", "connect_ex", "sendto", "bind"):
    setattr(socket.socket, name, refused)
socket.getaddrinfo = socket.create_connection = refused
"""
"""Python runs this first when it stands in a module sitecustomize on its path."""


@dataclass(frozen=True)
class Published:
    """What a run of `plycue sync` on the sample left. folder: --out; told: standard output."""

    folder: Path
    told: str
    warned: str

    def text(self, suffix: str) -> str:
        return (self.folder / f"open-centre{suffix}").read_text(encoding="utf-8")


def command(*arguments: str | Path) -> list[str]:
    """A command line for a process of its own."""
    return [sys.executable, "-c", "from cli.main import main; main()", *map(str, arguments)]


def plycue(*arguments: str | Path) -> Result:
    """The command in this process."""
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


@pytest.fixture(scope="session")
def no_network(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Environment of a process in which Python refuses every socket."""
    folder = tmp_path_factory.mktemp("refused")
    (folder / "sitecustomize.py").write_text(REFUSED, encoding="utf-8")
    return os.environ | {"PYTHONPATH": os.pathsep.join([str(folder), str(PROJECT)])}


@pytest.fixture(scope="session")
def published(tmp_path_factory: pytest.TempPathFactory, no_network: dict[str, str]) -> Published:
    """The sample video heard by the real recogniser, without a network."""
    folder = tmp_path_factory.mktemp("published") / "out"
    arguments = command("sync", SAMPLES / "open-centre.webm", "--out", folder)
    process = subprocess.run(arguments, env=no_network, capture_output=True, text=True, timeout=600)
    assert process.returncode == 0, process.stderr
    return Published(folder, process.stdout, process.stderr)
