"""Light and dark, desktop and phone."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, Page

from tests.page.views import onset, settle

Site = Callable[[str], str]

COLOURS = """names => {
  const paint = document.createElement('canvas').getContext('2d');
  const style = getComputedStyle(document.documentElement);
  return names.map(name => {
    paint.fillStyle = style.getPropertyValue(name);
    paint.fillRect(0, 0, 1, 1);
    return [...paint.getImageData(0, 0, 1, 1).data].slice(0, 3);
  });
}"""


def luminance(colour: list[int]) -> float:
    """Relative luminance, as WCAG 2.2 defines it."""
    parts = [part / 255 for part in colour]
    red, green, blue = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(tab: Page, one: str, other: str) -> float:
    dark, light = sorted(map(luminance, tab.evaluate(COLOURS, [one, other])))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_is_not_text_stands_out_as_well(browser: Browser, site: Site, scheme: str) -> None:
    """WCAG 2.2, 1.4.11: 3 to 1 for what one needs to see to understand the page."""
    context = browser.new_context(color_scheme=scheme)  # type: ignore[arg-type]
    tab = context.new_page()
    tab.goto(site("none"))
    for one, other in [
        ("--piece-ink", "--square-dark"),
        ("--piece-ink", "--square-light"),
        ("--piece-ink", "--piece-paper"),
        ("--on-board", "--square-dark"),
        ("--on-board", "--square-light"),
        ("--on-board-considered", "--square-dark"),
        ("--on-board-considered", "--square-light"),
        ("--edge", "--sheet"),
        ("--edge", "--paper"),
        ("--played", "--paper"),
        ("--considered", "--considered-tint"),
        ("--accent", "--paper"),
    ]:
        assert contrast(tab, one, other) >= 3, (one, other)
    context.close()


def test_dark_where_dark_is_wanted(browser: Browser, site: Site) -> None:
    shades = []
    for scheme in ("light", "dark"):
        context = browser.new_context(color_scheme=scheme)
        tab = context.new_page()
        tab.goto(site("none"))
        shades.append(luminance(tab.evaluate(COLOURS, ["--paper"])[0]))
        context.close()
    light, dark = shades
    assert light > 0.8
    assert dark < 0.02


@pytest.mark.parametrize("size", [(320, 640), (390, 844), (768, 1024), (1088, 700), (1440, 900), (2560, 1300)])
def test_nothing_runs_over_the_edge(browser: Browser, site: Site, size: tuple[int, int]) -> None:
    """WCAG 2.2, 1.4.10: no scrolling in two directions, down to 320 CSS pixels."""
    context = browser.new_context(viewport={"width": size[0], "height": size[1]})
    tab = context.new_page()
    tab.goto(f"{site('webm')}#t={onset(4)}")
    settle(tab)
    assert tab.evaluate("document.documentElement.scrollWidth") <= size[0]
    board = tab.locator(".squares").bounding_box()
    assert board is not None
    assert board["width"] == pytest.approx(board["height"], abs=1)
    assert board["width"] >= min(size[0] * 0.8, 280)
    assert board["x"] >= 0
    assert board["x"] + board["width"] <= size[0]
    context.close()


def test_on_a_phone_the_board_stays_in_sight(browser: Browser, site: Site) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    tab = context.new_page()
    tab.goto(site("webm"))
    settle(tab)
    tab.tap(".panels [data-panel=talk]")
    assert tab.locator("#sheets").is_hidden()
    tab.locator("#words a.m").last.scroll_into_view_if_needed()
    board, dock = tab.locator("#board").bounding_box(), tab.locator("#dock").bounding_box()
    assert board is not None and dock is not None
    assert board["y"] >= 0
    assert dock["y"] + dock["height"] <= 844
    tab.locator("#words a.m").last.tap()
    assert tab.inner_text("#move-name") == "3… a6"
    context.close()


def test_without_scripts_moves_and_talk_can_be_read(browser: Browser, site: Site) -> None:
    context = browser.new_context(java_script_enabled=False)
    tab = context.new_page()
    tab.goto(site("none"))
    assert "Scripts are switched off" in tab.inner_text("noscript")
    assert "exf4" in tab.inner_text("#sheets")
    assert "Some people like" in tab.inner_text("#words")
    context.close()


def test_text_is_never_below_twelve_pixels(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    smallest = tab.evaluate(
        """() => Math.min(...[...document.querySelectorAll('body *')]
          .filter(each => each.offsetParent)
          .filter(each => [...each.childNodes].some(node => node.nodeType === 3 && node.data.trim()))
          .map(each => parseFloat(getComputedStyle(each).fontSize)))"""
    )
    assert smallest >= 12
