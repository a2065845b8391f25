"""The same input gives the same bytes, wherever, whenever and however the program runs."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

from tests.cli.conftest import PROJECT, SAMPLES, Published, command
from tests.cli.faults import files

SURROUNDINGS = [
    {"PYTHONHASHSEED": "1", "TZ": "UTC", "LC_ALL": "C.UTF-8", "OMP_NUM_THREADS": "1"},
    {"PYTHONHASHSEED": "987", "TZ": "Asia/Kolkata", "LC_ALL": "POSIX", "OMP_NUM_THREADS": "2", "COLUMNS": "40"},
]


def test_nothing_around_the_program_shows_in_its_files(published: Published, tmp_path: Path) -> None:
    """Other seeds of Python's hashes, time zones, locales, folders, times of files; nothing followed before."""
    found = []
    for number, surroundings in enumerate(SURROUNDINGS):
        place = tmp_path / f"{'x' * number} folder {number}"
        place.mkdir()
        for path in (SAMPLES / "open-centre.ogg", published.folder / "open-centre.transcript.json"):
            shutil.copyfile(path, place / path.name)
            os.utime(place / path.name, (number * 10**8, number * 10**8))
        environment = {**os.environ, **surroundings, "PLYCUE_CACHE": str(place / "cache"), "PYTHONPATH": str(PROJECT)}
        arguments = command("sync", "open-centre.ogg", "--transcript", "open-centre.transcript.json", "--out", "out")
        run = subprocess.run(arguments, cwd=place, env=environment, capture_output=True, text=True)
        assert run.returncode == 0, run.stderr
        found.append((run.stdout, files(place / "out")))
    assert found[0] == found[1]
    assert len(found[0][1]) == 13
