"""The script's modules on their own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from sync.files.page.bundle import ASSETS, script
from tests.page.lessons import small_lesson

Module = Callable[[str, str, Any], Any]


@pytest.fixture
def run(tab: Page, host: tuple[Path, str]) -> Module:
    """Calls run(module, expression, argument) with the module's exports at hand as `it`."""
    root, address = host
    folder = root / "modules"
    folder.mkdir(exist_ok=True)
    for source in ASSETS.iterdir():
        if source.name.endswith(".js"):
            (folder / source.name).write_text(source.read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "index.html").write_text("<!doctype html><title>Modules</title><link rel=icon href=data:,>")
    tab.goto(f"{address}/modules/")

    def call(module: str, expression: str, argument: Any) -> Any:
        body = f"const it = await import('./{module}.js'); return {expression};"
        return tab.evaluate(f"async given => {{ {body} }}", argument)

    return call


@pytest.mark.parametrize(
    ("fragment", "start", "end"),
    [
        # W3C Media Fragments URI 1.0, 4.2.1: the forms of normal play time.
        ("t=10,20", 10, 20),
        ("t=,20", 0, 20),
        ("t=10", 10, None),
        ("t=npt:10,20", 10, 20),
        ("t=npt:120,121.5", 120, 121.5),
        ("t=0:02:00,121.5", 120, 121.5),
        ("t=npt:120,0:02:01.5", 120, 121.5),
        ("t=1:02:03", 3723, None),
        ("t=100.5", 100.5, None),
        ("t=10.", 10, None),
        # 4.1 and 5.1: percent-encoding, unknown names, the last of several.
        ("t=%31%30,20", 10, 20),
        ("%74=10", 10, None),
        ("t=3&t=5", 5, None),
        ("foo=1&t=10&bar", 10, None),
        ("t=10&xywh=1,2,3,4", 10, None),
        # 6.2.1 and 6.2.2: intervals that end before they begin, and what no rule allows.
        ("t=20,10", None, None),
        ("t=10,10", None, None),
        ("t=10,", None, None),
        ("t=,", None, None),
        ("t=", None, None),
        ("t=banana", None, None),
        ("t=-1", None, None),
        ("t=1:60", None, None),
        ("t=3'", None, None),
        ("t=smpte:0:00:10", None, None),
        ("t=10%", None, None),
        ("T=10", None, None),
        ("", None, None),
    ],
)
def test_fragments_are_read_by_the_standard(run: Module, fragment: str, start: float | None, end: float | None) -> None:
    target = run("fragment", "it.readFragment(given)", f"#{fragment}")
    assert (target["start"], target["end"]) == (start, end)


def test_fragments_are_read_as_they_are_written(run: Module) -> None:
    for time, ply in [
        (0, None),
        (83.45, {"game": 0, "id": 12}),
        (3723.001, {"game": 4, "id": 0}),
        (None, {"game": 1, "id": 7}),
    ]:
        target = run("fragment", "it.readFragment(it.writeFragment(given.time, given.ply))", {"time": time, "ply": ply})
        assert target["start"] == time
        assert (target["game"], target["id"]) == ((ply["game"], ply["id"]) if ply else (None, None))


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("Nf3", ["Nf3"]),
        ("nf3", ["Nf3"]),
        ("g1f3", ["Nf3"]),
        ("G1F3", ["Nf3"]),
        ("Nf3!", ["Nf3"]),
        (" Nf3+ ", ["Nf3"]),
        ("0-0", ["O-O"]),
        ("O-O-O", ["O-O-O"]),
        ("bxc3", ["bxc3"]),
        ("Bc3", ["Bxc3"]),
        ("BXC3", ["bxc3", "Bxc3"]),
        ("e8Q", ["e8=Q"]),
        ("Ke9", []),
        ("", []),
    ],
)
def test_a_viewers_move_may_be_written_in_several_ways(run: Module, written: str, found: list[str]) -> None:
    legal = [
        ["g1f3", "Nf3", ""],
        ["e1g1", "O-O", ""],
        ["e1c1", "O-O-O", ""],
        ["b2c3", "bxc3", ""],
        ["d2c3", "Bxc3", ""],
        ["e7e8q", "e8=Q", ""],
        ["e7e8n", "e8=N", ""],
    ]
    moves = run("quiz", "it.writtenMoves(given.legal, given.written)", {"legal": legal, "written": written})
    assert [san for _, san, _ in moves] == found


def test_each_module_has_a_scope_of_its_own_in_the_script() -> None:
    code = script()
    names = {source.name.removesuffix(".js") for source in ASSETS.iterdir() if source.name.endswith(".js")}
    for name in names:
        assert code.count(f"\nmodules.{name} = (() => {{\n") == 1
    assert "import {" not in code and "\nexport " not in code
    assert code.index("modules.lesson = ") < code.index("modules.position = ") < code.index("modules.main = ")
    assert "</script" not in code


def test_lines_and_depths_of_side_lines(run: Module, tab: Page) -> None:
    from sync.files.page.data import page_data

    lesson, transcript = small_lesson()
    data = page_data(lesson, transcript, None)
    plies = run("lesson", "it.readLesson(given).games[0].plies.map(ply => [ply.id, ply.depth, ply.line])", data)
    depths = {ply: depth for ply, depth, _ in plies}
    assert depths == {1: 0, 2: 0, 3: 0, 4: 1, 5: 1, 6: 2, 7: 0, 8: 0, 9: 0}
    lines = {ply: line for ply, _, line in plies}
    assert lines[5] == lines[4] != lines[6]
