"""The page by WCAG 2.2: axe-core's rules of the levels A and AA, and what they cannot see.

Source of the rules: axe-core, as packaged in axe-playwright-python.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.page.test_quiz import QUIZ
from tests.page.views import onset, settle

Site = Callable[[str], str]

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


def violations(tab: Page) -> list[str]:
    found = Axe().run(tab, options=RULES).response["violations"]
    return [f"{each['id']}: {node['html'][:200]} {node['failureSummary']}" for each in found for node in each["nodes"]]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [(1440, 900), (820, 1180), (390, 844)])
def test_no_rule_is_broken(browser: Browser, site: Site, scheme: str, size: tuple[int, int]) -> None:
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, color_scheme=scheme)  # type: ignore[arg-type]
    tab = context.new_page()
    tab.goto(f"{site('webm')}#t={onset(5)}&ply=1.5")
    settle(tab)
    assert violations(tab) == []
    tab.evaluate("document.querySelector('.panels [data-panel=talk]').click()")
    tab.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
    assert violations(tab) == []
    tab.evaluate("document.querySelector('#questions button').click()")
    tab.click("#copy")
    assert violations(tab) == []
    context.close()


@pytest.mark.parametrize("kind", ["none", "link", "ogg"])
def test_no_rule_is_broken_with_any_kind_of_recording(tab: Page, site: Site, kind: str) -> None:
    tab.goto(site(kind))
    assert violations(tab) == []


def test_the_board_is_told_in_words(tab: Page, site: Site) -> None:
    tab.goto(f"{site('webm')}#t={onset(1)}")
    assert tab.get_attribute(".squares", "role") == "img"
    assert tab.get_attribute(".squares", "aria-label") == (
        "Position after 1. e4. White: king e1; queen d1; rooks a1, h1; bishops c1, f1; knights b1, g1; pawns a2, b2,"
        " c2, d2, f2, g2, h2, e4. Black: king e8; queen d8; rooks a8, h8; bishops c8, f8; knights b8, g8; pawns a7,"
        " b7, c7, d7, e7, f7, g7, h7."
    )


def test_moves_are_told_in_words(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    assert tab.get_attribute("[id='p1.3']", "aria-label") == "Nf3!: knight f3, move 2, good move, at 12 seconds"
    assert tab.get_attribute("[id='p1.8']", "aria-label") == "Bb5: bishop b5, move 3, not named in the talk"
    tab.keyboard.press("ArrowRight")
    assert tab.inner_text("#status") == "pawn e4, move 1, at 2 seconds"


def test_everything_is_within_reach_of_the_tab_key(tab: Page, site: Site) -> None:
    tab.goto(f"{site('webm')}")
    settle(tab)
    reached = []
    for _ in range(40):
        tab.keyboard.press("Tab")
        reached.append(tab.evaluate("document.activeElement.id || document.activeElement.className"))
    wanted = {"copy", "media", "board", "flip", "ask", "p1.1", "search", "words", "play", "timeline", "speed"}
    assert wanted <= set(reached)
    assert reached.index("board") < reached.index("p1.1") < reached.index("words") < reached.index("timeline")


def test_focus_can_be_seen(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    for _ in range(12):
        tab.keyboard.press("Tab")
        outline = tab.evaluate("getComputedStyle(document.activeElement).outlineWidth")
        if tab.evaluate("document.activeElement.id") != "media":
            assert outline == "3px"


def test_links_and_buttons_are_large_enough(tab: Page, site: Site) -> None:
    """WCAG 2.2, 2.5.8: targets of 24 by 24 CSS pixels, links within sentences excepted."""
    tab.goto(site("webm"))
    small = tab.evaluate(
        """() => [...document.querySelectorAll('button, a.button, select, input, summary, .sheet > .m, #move-times a')]
          .filter(each => each.offsetParent && !each.closest('label'))
          .filter(each => { const box = each.getBoundingClientRect(); return box.width < 24 || box.height < 24; })
          .map(each => each.outerHTML)"""
    )
    assert small == []


def test_little_motion_where_little_is_wanted(browser: Browser, site: Site) -> None:
    counted = """{
      const animate = Element.prototype.animate;
      window.animated = 0;
      Element.prototype.animate = function (...how) { window.animated += 1; return animate.apply(this, how); };
    }"""
    for wish, count in [("reduce", 0), ("no-preference", 1)]:
        context = browser.new_context(reduced_motion=wish)  # type: ignore[arg-type]
        tab = context.new_page()
        tab.add_init_script(counted)  # one that is over could no longer be seen
        tab.goto(site("none"))
        tab.keyboard.press("ArrowRight")
        assert tab.evaluate("window.animated") == count
        assert tab.evaluate("document.getAnimations().length") <= count
        context.close()


def test_the_question_is_told(tab: Page, site: Site) -> None:
    tab.goto(f"{site('webm')}#t={QUIZ.start}")
    settle(tab)
    tab.click("#questions summary")
    tab.click("#questions button")
    assert tab.evaluate("document.activeElement.id") == "question-title"
    assert tab.get_attribute(".squares", "role") == "grid"
    assert tab.locator("[role=gridcell]").count() == 64
    assert tab.get_attribute("#feedback", "role") == "status"
