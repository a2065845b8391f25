"""Diagrams of positions."""

from __future__ import annotations

import builtins
import struct
import sys
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree

import chess
import chess.svg
import pytest

from sync.errors import InputError
from sync.files.diagram import PRINT, SCREEN, choose_position, diagram_png, diagram_svg, position_at
from sync.files.pieces import GLYPHS, PIECES
from sync.lesson.lesson import Lesson
from tests.page.lessons import small_lesson
from tests.page.views import after, onset, squares

SVG = "{http://www.w3.org/2000/svg}"
POSITION = chess.Board("r1bq1rk1/ppp2ppp/2np1n2/2b1p3/2B1P3/2NP1N2/PPP2PPP/R1BQ1RK1 w - - 0 7")


@pytest.mark.parametrize(
    ("choice", "ply"),
    [
        ("1.e4", 1),
        ("1. e4", 1),
        ("1...e5", 2),
        ("1... e5", 2),
        ("1…e5", 2),
        ("2.Nf3", 3),
        ("Nf3!", 3),
        ("2.f4", 4),
        ("2...Bc5", 6),
        ("2 Bc5", 6),
        ("a6", 9),
        ("0", None),
        ("1", 1),
        ("6", 9),
        ("0:00", None),
        (f"{onset(4)}s", 4),
        (f"t={onset(5) + 0.2}s", 5),
        (f"0:{onset(6):.0f}", 6),
        ("0:00:44.5", 9),
    ],
)
def test_a_position_is_chosen_by_move_ply_or_time(choice: str, ply: int | None) -> None:
    chosen = choose_position(small_lesson()[0], choice)
    assert (chosen.ply.id if chosen.ply else None) == ply
    assert squares(chosen.board) == after(ply)


@pytest.mark.parametrize("choice", ["1.e5", "1...e4", "Qh5", "7", "what", "", "9...Nf3", "-1"])
def test_a_place_that_does_not_exist_is_told(choice: str) -> None:
    with pytest.raises(InputError) as raised:
        choose_position(small_lesson()[0], choice)
    assert "\n" not in str(raised.value)


def test_a_lesson_without_games_has_no_positions() -> None:
    empty = Lesson("", None, ())
    with pytest.raises(InputError, match="no game"):
        choose_position(empty, "3")
    with pytest.raises(InputError, match="no game"):
        position_at(empty, 1.0)


@pytest.mark.parametrize("flipped", [False, True])
@pytest.mark.parametrize("palette", [SCREEN, PRINT])
def test_every_piece_stands_on_its_square(flipped: bool, palette: Any) -> None:
    root = ElementTree.fromstring(diagram_svg(POSITION, flipped=flipped, palette=palette))
    found = {}
    heads = {shape.body[-1]: name for name, shape in PIECES.items()}
    for group in root.findall(f"{SVG}g[@stroke-linejoin]"):
        if "translate" not in group.get("transform", ""):
            continue
        x, y = (float(part) for part in group.get("transform", "").split("(")[1].split(")")[0].split())
        column, line = round((x + 5.56) / 100), round((y + 5.56) / 100)
        square = chess.square(7 - column, line) if flipped else chess.square(column, 7 - line)
        body = group.findall(f"{SVG}g")[1]
        letter = heads[body.findall(f"{SVG}path")[-1].get("d", "")]
        found[square] = chess.Piece.from_symbol(letter.upper() if body.get("fill") == palette.paper else letter)
    assert found == POSITION.piece_map()


def test_dark_squares_are_where_python_chess_draws_them() -> None:
    path = ElementTree.fromstring(diagram_svg(POSITION)).find(f"{SVG}path")
    assert path is not None
    ours = {tuple(int(part) // 100 for part in move.split("h")[0].split()) for move in path.get("d", "").split("M")[1:]}
    theirs = {
        (int(float(each.get("x", "0")) - 15) // 45, int(float(each.get("y", "0")) - 15) // 45)
        for each in ElementTree.fromstring(chess.svg.board()).findall(f"{SVG}rect")
        if "square dark" in each.get("class", "")
    }
    assert ours == theirs


def test_title_and_marks() -> None:
    svg = diagram_svg(POSITION, last_move=chess.Move.from_uci("d7d6"), title="After 6... d6 <b>")
    root = ElementTree.fromstring(svg)
    title = root.find(f"{SVG}title")
    assert title is not None and title.text == "After 6... d6 <b>"
    assert svg.count(f'stroke="{SCREEN.mark}"') == 2


def test_all_letters_and_numbers_stand_at_the_edge() -> None:
    svg = diagram_svg(POSITION)
    assert sorted(GLYPHS) == sorted("abcdefgh12345678")
    assert all(svg.count(f'd="{path}"') == 1 for path in GLYPHS.values())


def test_png_has_the_size_asked_for() -> None:
    pytest.importorskip("resvg_py")
    png = diagram_png(diagram_svg(POSITION), width=320)
    # Portable Network Graphics specification, 5.2 and 11.2.2: signature, then IHDR with width and height.
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    assert struct.unpack(">II", png[16:24]) == (320, 320)


def test_without_its_package_png_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    real: Callable[..., Any] = builtins.__import__

    def missing(name: str, *args: Any) -> Any:
        if name == "resvg_py":
            raise ImportError(name)
        return real(name, *args)

    monkeypatch.delitem(sys.modules, "resvg_py", raising=False)
    monkeypatch.setattr(builtins, "__import__", missing)
    with pytest.raises(InputError, match=r"plycue\[png\]"):
        diagram_png("<svg/>")
