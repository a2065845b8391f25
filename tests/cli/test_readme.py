"""What README.md says works."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.cli.conftest import PROJECT, SAMPLES

README = (PROJECT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


@pytest.mark.usefixtures("published")
def test_library_example_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "samples").mkdir()
    shutil.copy(SAMPLES / "open-centre.webm", tmp_path / "samples")
    (example,) = blocks("python")
    exec(example, {})
    assert "1. e4" in (tmp_path / "out" / "lesson.pgn").read_text(encoding="utf-8")
    assert (tmp_path / "out" / "page" / "index.html").is_file()


def test_two_commands_set_up_and_test() -> None:
    """.ci/run takes these two from here and runs them."""
    set_up, tests = blocks("sh")[:2]
    assert set_up.count("\n") == tests.count("\n") == 1
    assert "plycue sync samples/open-centre.webm" in set_up
    assert "pytest" in tests


@pytest.mark.parametrize("path", re.findall(r"\]\(([\w./-]+)\)", README))
def test_links_lead_somewhere(path: str) -> None:
    assert (PROJECT / path).is_file()
