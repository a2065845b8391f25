"""The page stops where the teacher asks."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.page.lessons import small_lesson
from tests.page.views import READ_BOARD, after, media_time, onset, paused, seek, settle, shown, until

Site = Callable[[str], str]
QUIZ = small_lesson()[0].quizzes[0]


@pytest.fixture
def asked(tab: Page, site: Site) -> Page:
    """A tab that played into the question."""
    tab.goto(site("webm"))
    settle(tab)
    tab.check("#ask")
    seek(tab, QUIZ.stop - 0.4)
    tab.click("#play")
    expect(tab.locator("#question")).to_be_visible(timeout=15_000)
    return tab


def square(tab: Page, name: str) -> None:
    """Presses a square of the board."""
    box = tab.locator(".squares").bounding_box()
    assert box is not None
    column, line = "abcdefgh".index(name[0]), 8 - int(name[1])
    tab.mouse.click(box["x"] + (column + 0.5) * box["width"] / 8, box["y"] + (line + 0.5) * box["height"] / 8)


def test_it_stops_at_the_question_and_hides_what_follows(asked: Page) -> None:
    assert paused(asked)
    assert media_time(asked) == pytest.approx(QUIZ.stop, abs=0.001)
    assert shown(asked) == after(2)
    assert asked.inner_text("#question blockquote").startswith("What would you play for white here?")
    visible = asked.locator("#sheets a.m:visible").evaluate_all("links => links.map(link => link.id)")
    assert visible == ["p1.1", "p1.2"]
    assert "of course" not in asked.inner_text("#words")
    assert asked.locator("#words a.m:visible").count() == 2
    left = asked.evaluate("parseFloat(document.querySelector('.veil').style.left)")
    assert left == pytest.approx(100 * QUIZ.stop / small_lesson()[1].duration, abs=0.01)


def test_stepping_does_not_give_the_answer_away(asked: Page) -> None:
    asked.keyboard.press("ArrowRight")
    assert shown(asked) == after(2)


def test_the_right_move_on_the_board(asked: Page) -> None:
    square(asked, "g1")
    assert asked.locator(".square.target").count() == 3
    square(asked, "f3")
    assert asked.inner_text("#feedback") == "Yes, Nf3. That is what was played."
    assert shown(asked) == after(3)
    assert asked.locator("[id='p1.3']").is_visible()
    asked.click("#go-on")
    until(asked, f"document.getElementById('media').currentTime > {onset(3)}")
    assert asked.locator("#question").is_hidden()
    assert shown(asked) == after(3)


def test_another_move_of_the_talk_and_one_of_the_viewers_own(asked: Page) -> None:
    asked.fill("#try", "f4")
    asked.press("#try", "Enter")
    assert (
        asked.inner_text("#feedback")
        == "f4 comes up in the talk as well, but it is not the answer. Try again, or go on."
    )
    asked.fill("#try", "nc3")
    asked.press("#try", "Enter")
    assert asked.inner_text("#feedback") == "Nc3 is legal, but it is not the talk’s answer. Try again, or go on."
    asked.fill("#try", "Ke3")
    asked.press("#try", "Enter")
    assert asked.inner_text("#feedback") == "“Ke3” is no legal move here. Write it as Nf3 or g1f3."
    until(asked, f"({READ_BOARD})() === '{after(2)}'")


def test_the_answer_can_be_shown(asked: Page) -> None:
    asked.click("#reveal")
    assert asked.inner_text("#feedback") == "2.Nf3!: this was played."
    assert shown(asked) == after(3)


def test_by_keyboard_alone(asked: Page) -> None:
    asked.evaluate("document.querySelector('.square[tabindex=\"0\"]').focus()")
    assert asked.evaluate("document.activeElement.getAttribute('aria-label')") == "e1, white king"
    for key in ["ArrowRight", "ArrowRight", "Enter", "ArrowUp", "ArrowUp", "ArrowLeft"]:
        asked.keyboard.press(key)
    assert asked.evaluate("document.activeElement.getAttribute('aria-label')") == "f3"
    asked.keyboard.press("Enter")
    assert asked.inner_text("#feedback") == "Yes, Nf3. That is what was played."


def test_by_dragging(asked: Page) -> None:
    box = asked.locator(".squares").bounding_box()
    assert box is not None
    side = box["width"] / 8
    asked.mouse.move(box["x"] + 6.5 * side, box["y"] + 7.5 * side)
    asked.mouse.down()
    asked.mouse.move(box["x"] + 5.5 * side, box["y"] + 5.5 * side, steps=4)
    asked.mouse.up()
    assert asked.inner_text("#feedback") == "Yes, Nf3. That is what was played."


def test_once_settled_it_does_not_stop_again(asked: Page) -> None:
    asked.click("#reveal")
    asked.click("#go-on")
    asked.click("#play")
    seek(asked, QUIZ.stop - 0.3)
    asked.evaluate("document.getElementById('media').play()")
    until(asked, f"document.getElementById('media').currentTime > {QUIZ.stop + 0.2}")
    assert asked.locator("#question").is_hidden()


def test_it_does_not_stop_unless_one_wants_it(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    seek(tab, QUIZ.stop - 0.3)
    tab.click("#play")
    until(tab, f"document.getElementById('media').currentTime > {QUIZ.stop + 0.3}")
    assert tab.locator("#question").is_hidden()


def test_seeking_past_a_question_does_not_stop(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.check("#ask")
    seek(tab, QUIZ.start + 0.3)
    tab.evaluate("document.getElementById('media').play()")
    tab.evaluate(f"document.getElementById('media').currentTime = {QUIZ.stop + 0.5}")
    until(tab, f"document.getElementById('media').currentTime > {QUIZ.stop + 0.8}")
    assert tab.locator("#question").is_hidden()
    assert tab.locator("[id='p1.9']").is_visible()


@pytest.mark.parametrize("kind", ["none", "link"])
def test_questions_without_a_recording(tab: Page, site: Site, kind: str) -> None:
    tab.goto(site(kind))
    assert tab.locator("#ask").is_hidden()
    tab.click("#questions summary")
    tab.click("text=Question 1: White to move")
    assert shown(tab) == after(2)
    tab.fill("#try", "g1f3")
    tab.press("#try", "Enter")
    assert tab.inner_text("#feedback") == "Yes, Nf3. That is what was played."
    tab.click("#go-on")
    assert tab.locator("#question").is_hidden()
