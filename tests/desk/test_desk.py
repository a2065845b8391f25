"""An editor at the desk, in a real browser."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from sync.lesson.edits import CommentEdit, TitleEdit, lines_of
from sync.lesson.journal import Journal
from sync.revise import Task, open_project, revise
from tests.desk.conftest import Serve, Served
from tests.desk.lessons import line, obedient, put_down, small_lesson

BEFORE = line("e4", "e5", "Nf3", "Nc6", "Bc4", "Bc5")
D3 = (*BEFORE, "d2d3")
B4 = (*BEFORE, "b2b4")
REFUSED = "the server responded with a status of"
"""What the browser says on its console of an answer that the desk shows in its own words."""


@pytest.fixture
def tab(browser: Browser, serve: Serve) -> Iterator[Page]:
    """A tab that fails the test on a script error or a message on the browser's console.

    It takes serve so that it is closed before the server is: a page left open asks a server that is gone.
    """
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    page = context.new_page()
    trouble: list[str] = []
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("console", lambda message: trouble.append(message.text) if message.type == "error" else None)
    yield page
    context.close()
    assert [text for text in trouble if REFUSED not in text] == []


def sit_down(tab: Page, served: Served) -> None:
    tab.goto(served.address)
    expect(tab.locator("#reading")).to_contain_text("4.d3")
    expect(tab.locator("#where")).to_contain_text("to move")


def press(tab: Page, *keys: str) -> None:
    for key in keys:
        tab.keyboard.press(key)


def status(tab: Page, text: str) -> None:
    expect(tab.locator("#status")).to_contain_text(text)


def until(tab: Page, expression: str) -> None:
    """Waits until it is true; the page's policy refuses what the browser would have to compile for that."""
    end = time.monotonic() + 10
    while not tab.evaluate(expression):
        assert time.monotonic() < end, expression
        tab.wait_for_timeout(30)


def lines(served: Served) -> dict[tuple[str, ...], Any]:
    """The plies as the next one to open the project finds them."""
    return lines_of(revise(open_project(served.path), obedient).lesson.games[0])


def test_the_doubts_are_gone_through_with_a_few_keys(tab: Page, serve: Serve) -> None:
    """Three doubts in five keys and a listen each: one runner-up (two keys), two that are right (one key each)."""
    served = serve()
    sit_down(tab, served)
    expect(tab.locator("#count")).to_have_text("3 doubts left")
    expect(tab.locator("#reason")).to_have_text("31% sure: the square was heard badly")
    expect(tab.locator("#words mark")).to_have_text("before")
    expect(tab.locator("#where")).to_have_text("After 3...Bc5, white to move")
    press(tab, "1")
    expect(tab.locator("#trial")).to_contain_text("b4 in place of d3")
    expect(tab.locator("#trial")).to_contain_text("No other place is read otherwise. 3 later moments now follow it.")
    press(tab, "Enter")
    expect(tab.locator("#reading")).to_contain_text("3.Bc4")
    press(tab, "Enter")
    expect(tab.locator("#reading")).to_contain_text("5.Nc3")
    press(tab, "Enter")
    expect(tab.locator("#count")).to_have_text("No doubts left")
    press(tab, "Shift+P")
    status(tab, "Written: evening.pgn")
    assert "4. b4" in " ".join((served.path.parent / "evening.pgn").read_text().split())
    assert B4 in lines(served) and D3 not in lines(served)


def test_one_key_lets_the_words_be_heard(tab: Page, serve: Serve) -> None:
    served = serve()
    sit_down(tab, served)
    at = next(ply for ply in small_lesson()[0].games[0].plies if ply.san == "d3").moments[0].start
    press(tab, " ")
    until(tab, "media.currentTime > 0 && !media.paused")
    began = tab.evaluate("media.currentTime")
    assert at - 1.3 <= began <= at
    until(tab, "media.paused")
    ended = tab.evaluate("media.currentTime")
    assert at + 0.36 <= ended <= at + 1.6
    press(tab, "s")
    assert tab.evaluate("media.playbackRate") == 0.75
    press(tab, "s")
    assert tab.evaluate("media.playbackRate") == 1


def test_any_legal_move_can_be_typed(tab: Page, serve: Serve) -> None:
    served = serve()
    sit_down(tab, served)
    press(tab, "m")
    tab.keyboard.type("Qh5")
    press(tab, "Enter")
    status(tab, "Qh5 is not legal here.")
    tab.locator("#san").fill("")
    tab.keyboard.type("0-0")
    press(tab, "Enter")
    expect(tab.locator("#trial")).to_contain_text("O-O in place of d3")
    press(tab, "Escape")
    expect(tab.locator("#trial")).to_be_hidden()
    assert served.desk.opened.edits == ()


def test_moves_are_made_on_the_board_with_keys_or_pointer(tab: Page, serve: Serve) -> None:
    served = serve()
    sit_down(tab, served)
    press(tab, "v", "ArrowLeft", "ArrowUp", "Enter", "ArrowUp", "ArrowUp", "Enter")
    expect(tab.locator("#trial")).to_contain_text("d4 in place of d3")
    press(tab, "Escape")
    tab.get_by_label("b2, white pawn").click()
    tab.get_by_label("b4", exact=True).click()
    expect(tab.locator("#trial")).to_contain_text("b4 in place of d3")
    tab.get_by_role("button", name="Take it").click()
    status(tab, "b4 in place of d3.")
    assert B4 in lines(served)


def test_what_else_changes_is_shown_before_it_is_taken(tab: Page, serve: Serve) -> None:
    """Without a knight on f3 the pawn's move d4 is taken elsewhere; here a bishop move is not legal any more."""
    served = serve()
    sit_down(tab, served)
    press(tab, "Alt+2")
    tab.locator("[data-word]", has_text="f3,").click()
    expect(tab.locator("#reading")).to_contain_text("2.Nf3")
    press(tab, "m")
    tab.keyboard.type("Ke2")
    press(tab, "Enter")
    trial = tab.locator("#trial")
    expect(trial).to_contain_text("other places are read otherwise")
    expect(trial.locator("li").first).to_contain_text("3.Bc4 → no move")
    assert served.desk.opened.edits == ()
    press(tab, "Escape")


def test_a_slow_search_is_told_and_its_result_comes_by_itself(tab: Page, serve: Serve, tmp_path: Path) -> None:
    import threading

    go = threading.Event()

    def slow(task: Task) -> Any:
        go.wait(20)
        return obedient(task)

    served = serve(follow=slow)
    sit_down(tab, served)
    press(tab, "1")
    expect(tab.locator("#trial")).to_contain_text("still being followed")
    press(tab, "Enter")
    expect(tab.locator("#count")).to_contain_text("following the talk")
    assert len(served.desk.opened.edits) == 1
    press(tab, "Shift+P")
    status(tab, "still being followed: publish in a moment")
    go.set()
    expect(tab.locator("#count")).to_have_text("2 doubts left")
    press(tab, "Shift+P")
    status(tab, "Written:")


def test_not_a_move_a_role_and_a_side_line(tab: Page, serve: Serve) -> None:
    served = serve()
    sit_down(tab, served)
    press(tab, "n")
    expect(tab.locator("#trial")).to_contain_text("These words name no move")
    press(tab, "Enter")
    status(tab, "These words name no move.")
    expect(tab.locator("#reason")).to_contain_text("31% sure")  # the knight's move needs some move before it
    press(tab, "j")
    expect(tab.locator("#reading")).to_contain_text("3.Bc4")
    press(tab, "c")
    expect(tab.locator("#trial")).to_contain_text("Bc4: only considered")
    press(tab, "Enter")
    status(tab, "Bc4: only considered.")
    assert not lines(served)[BEFORE[:5]].played
    press(tab, "j", "l")
    tab.locator("#ask-from").fill("2... Nc6")
    tab.locator("#ask-san").fill("Nc3")
    press(tab, "Enter")
    expect(tab.locator("#trial")).to_contain_text("Nc3 starts a side line after 2...Nc6")
    press(tab, "Enter")
    status(tab, "starts a side line")
    assert not lines(served)[line("e4", "e5", "Nf3", "Nc6", "Nc3")].played


def comes_true(tab: Page, condition: Callable[[], bool]) -> None:
    """Waits for what the desk does after it has answered the key."""
    for _ in range(100):
        if condition():
            return
        tab.wait_for_timeout(100)
    raise AssertionError("it did not come true in ten seconds")


def test_undo_and_redo_without_limit(tab: Page, serve: Serve) -> None:
    served = serve()
    sit_down(tab, served)
    for number in range(12):
        press(tab, "x")
        tab.locator("#ask-text").fill(f"comment {number}")
        press(tab, "Enter")
        expect(tab.locator("#ask")).to_be_hidden()
        expect(tab.locator("#undo")).to_be_enabled()
    comes_true(tab, lambda: lines(served)[D3].comment == "comment 11")
    for _ in range(12):
        press(tab, "u")
    expect(tab.locator("#undo")).to_be_disabled()
    assert lines(served)[D3].comment is None
    for _ in range(12):
        press(tab, "Control+Shift+Z")
    comes_true(tab, lambda: lines(served)[D3].comment == "comment 11")
    expect(tab.locator("#redo")).to_be_disabled()


def test_words_comments_and_nags(tab: Page, serve: Serve) -> None:
    served = serve()
    sit_down(tab, served)
    press(tab, "w")
    expect(tab.locator("#ask-text")).to_have_value("before")
    tab.locator("#ask-text").fill("pawn to d3")
    press(tab, "Enter")
    expect(tab.locator("#words")).to_contain_text("Then he played pawn to d3 with a quiet game")
    press(tab, "g")
    tab.locator("#ask-nags").fill("$1 14")
    press(tab, "Enter")
    expect(tab.locator("#extras")).to_contain_text("NAGs $1 $14")
    press(tab, "x")
    tab.locator("#ask-text").fill("Calm.")
    press(tab, "Enter")
    status(tab, "Comment changed.")
    ply = lines(served)[D3]
    assert (ply.nags, ply.comment) == ((1, 14), "Calm.")
    assert "pawn to d3" in " ".join(word.text for word in revise(open_project(served.path), obedient).transcript.words)


def test_moments_are_nudged_by_ear(tab: Page, serve: Serve) -> None:
    served = serve()
    sit_down(tab, served)
    before = lines(served)[D3].moments[0]
    press(tab, "[", "[", "[", "}")
    until(tab, "!media.paused")
    status(tab, "Moment moved.")
    after = lines(served)[D3].moments[0]
    assert round(after.start - before.start, 3) == -0.15 and round(after.end - before.end, 3) == 0.05
    expect(tab.locator("#extras")).to_contain_text(f"{after.start:.2f} s to {after.end:.2f} s")
    assert len(served.desk.opened.edits) == 1


def test_lines_are_promoted_demoted_and_put_in_order(tab: Page, serve: Serve) -> None:
    served = serve()
    sit_down(tab, served)
    press(tab, "Alt+3")
    tab.get_by_role("button", name="3.Bb5").click()
    press(tab, "+")
    status(tab, "The line is the game now.")
    side = line("e4", "e5", "Nf3", "Nc6", "Bb5")
    assert lines(served)[side].played and not lines(served)[BEFORE].played
    press(tab, "-")
    status(tab, "The line is only considered now.")
    assert not lines(served)[side].played
    press(tab, "Shift+J")
    status(tab, "Order changed.")
    children = [ply.san for found, ply in lines(served).items() if found[:-1] == side[:-1]]
    assert children == ["Bc4", "Bb5"]


def test_chapters_quizzes_tags_and_title(tab: Page, serve: Serve) -> None:
    served = serve()
    sit_down(tab, served)
    press(tab, "Alt+4")
    pane = tab.locator("#pane")
    pane.get_by_role("button", name="Change").nth(1).click()
    tab.locator("#ask-title").fill("The quiet line")
    press(tab, "Enter")
    expect(pane).to_contain_text("The quiet line")
    pane.get_by_role("button", name="Add a chapter").click()
    tab.locator("#ask-title").fill("Side lines")
    tab.locator("#ask-start").fill("5.5")
    press(tab, "Enter")
    expect(pane).to_contain_text("Side lines")
    pane.get_by_role("button", name="Remove").nth(2).click()
    expect(pane.locator("ul").first.locator("li")).to_have_count(3)
    pane.get_by_role("button", name="Change").last.click()
    tab.locator("#ask-stop").fill("18.5")
    press(tab, "Enter")
    expect(pane).to_contain_text("stops at 18.5 s")
    press(tab, "Alt+5")
    pane.get_by_role("button", name="Set a tag pair").click()
    tab.locator("#ask-name").fill("White")
    tab.locator("#ask-value").fill("Greta")
    press(tab, "Enter")
    expect(pane).to_contain_text("White: Greta")
    pane.get_by_role("button", name="Change the title").click()
    tab.locator("#ask-text").fill("Quiet games")
    press(tab, "Enter")
    expect(tab.locator("h1")).to_have_text("Quiet games")
    lesson = revise(open_project(served.path), obedient).lesson
    assert [chapter.title for chapter in lesson.chapters] == ["Start", "Side lines", "The quiet line"]
    assert lesson.quizzes[0].stop == 18.5 and lesson.games[0].tags == {"White": "Greta"}


def test_what_a_speaker_means_is_kept_under_the_speaker_s_name(tab: Page, serve: Serve, tmp_path: Path) -> None:
    served = serve()
    sit_down(tab, served)
    press(tab, "Alt+5")
    tab.get_by_role("button", name="Name the speaker").click()
    tab.locator("#ask-name").fill("Greta")
    press(tab, "Enter")
    status(tab, "Speaker named.")
    press(tab, "Alt+2")
    tab.locator("[data-word]", has_text="quiet").click()
    press(tab, "l")
    tab.locator("#ask-from").fill("3...Bc5")
    tab.locator("#ask-san").fill("h4")
    press(tab, "Enter")
    expect(tab.locator("#trial")).to_contain_text("h4 starts a side line")
    press(tab, "Enter")
    press(tab, "Alt+5")
    expect(tab.locator("#pane")).to_contain_text("quiet means h4")
    kept = tmp_path / "speakers" / "Greta.json"
    assert json.loads(kept.read_text())["forms"] == [{"heard": "quiet", "means": "h4"}]
    press(tab, "u")
    expect(tab.locator("#pane")).not_to_contain_text("means h4")
    assert json.loads(kept.read_text())["forms"] == []


def test_two_windows_see_each_other_and_overwrite_nothing(browser: Browser, tab: Page, serve: Serve) -> None:
    served = serve()
    sit_down(tab, served)
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    other = context.new_page()
    sit_down(other, served)
    press(other, "x")
    other.locator("#ask-text").fill("theirs")
    press(other, "Enter")
    status(other, "Comment changed.")
    press(tab, "x")
    tab.locator("#ask-text").fill("mine")
    press(tab, "Enter")
    status(tab, "Another window changed this lesson, and is shown now. Nothing was overwritten")
    assert lines(served)[D3].comment == "theirs"
    press(tab, "x")
    expect(tab.locator("#ask-text")).to_have_value("theirs")
    tab.locator("#ask-text").fill("mine")
    press(tab, "Enter")
    status(tab, "Comment changed.")
    made = [edit.text for edit in open_project(served.path).edits if isinstance(edit, CommentEdit)]
    assert made == ["theirs", "mine"]
    expect(other.locator("#extras")).to_contain_text("Comment ✓")
    context.close()


def test_edits_that_do_not_fit_are_listed(tab: Page, serve: Serve) -> None:
    served = serve()
    Journal(served.path.with_name("evening.plycue.journal")).add([CommentEdit(3.0, 0, line("d4"), "Lost")], 0)
    sit_down(tab, served)
    expect(tab.locator("#count")).to_contain_text("1 edit does not fit")
    press(tab, "Alt+6")
    expect(tab.locator("#pane .unfit")).to_contain_text("Lost: the move is not in the lesson any more")


HOSTILE = '<img src=x onerror="document.title=1"><script>document.title=1</script>{{x}}${x}'


def test_text_never_becomes_script(tab: Page, serve: Serve, tmp_path: Path) -> None:
    from dataclasses import replace

    lesson, transcript = small_lesson()
    words = tuple(replace(word, text=HOSTILE) if word.text == "quiet" else word for word in transcript.words)
    game = replace(lesson.games[0], tags={"White": HOSTILE})
    chapters = tuple(replace(chapter, title=HOSTILE) for chapter in lesson.chapters)
    path = put_down(
        tmp_path, replace(lesson, games=(game,), title=HOSTILE, chapters=chapters), replace(transcript, words=words)
    )
    Journal(tmp_path / "evening.plycue.journal").add([CommentEdit(9, 0, D3, HOSTILE), TitleEdit(0, HOSTILE)], 0)
    served = serve(path)
    sit_down(tab, served)
    expect(tab.locator("h1")).to_have_text(HOSTILE)
    expect(tab.locator("#words")).to_contain_text(HOSTILE)
    for number in range(1, 7):
        press(tab, f"Alt+{number}")
        assert tab.locator("img, #pane script").count() == 0
    press(tab, "x")
    expect(tab.locator("#ask-text")).to_have_value(HOSTILE)
    assert tab.title() == f"{HOSTILE} – desk"


def test_script_from_a_text_would_be_refused_by_the_policy(browser: Browser, serve: Serve) -> None:
    """The second line of defence: Content Security Policy Level 3 and Trusted Types."""
    served = serve()
    context = browser.new_context()
    page = context.new_page()
    sit_down(page, served)
    refused = page.evaluate(
        "() => { try { document.body.innerHTML = '<b>x</b>'; return ''; } catch (error) { return error.name; } }"
    )
    assert refused == "TypeError"
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("tab_number", [1, 2, 3, 4, 5, 6])
def test_rules_of_accessibility(tab: Page, serve: Serve, scheme: Any, tab_number: int) -> None:
    """axe-core's rules for WCAG 2.2 A and AA."""
    tab.emulate_media(color_scheme=scheme)
    sit_down(tab, serve())
    press(tab, f"Alt+{tab_number}", "1")
    expect(tab.locator("#trial")).to_be_visible()
    found = Axe().run(tab, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (1024, 768), (390, 844)])
def test_nothing_sticks_out(tab: Page, serve: Serve, width: int, height: int) -> None:
    tab.set_viewport_size({"width": width, "height": height})
    sit_down(tab, serve())
    assert tab.evaluate("document.documentElement.scrollWidth <= innerWidth")
