"""From move to moment, and from move to move."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.page.lessons import small_lesson
from tests.page.views import after, media_time, onset, paused, seek, settle, shown

Site = Callable[[str], str]


def heard_at(tab: Page, seconds: float) -> None:
    assert media_time(tab) == pytest.approx(seconds, abs=0.001)


@pytest.mark.parametrize("ply", [1, 3, 4, 6, 9])
def test_a_click_on_a_move_takes_the_recording_there(tab: Page, site: Site, ply: int) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.click(f"[id='p1.{ply}']")
    heard_at(tab, onset(ply))
    assert shown(tab) == after(ply)
    assert tab.get_attribute(f"[id='p1.{ply}']", "aria-current") == "true"
    assert paused(tab)


def test_enter_on_a_move_takes_the_recording_there(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.focus("[id='p1.1']")
    for key in ["ArrowRight", "ArrowRight", "ArrowRight", "ArrowDown"]:
        tab.keyboard.press(key)
    assert tab.evaluate("document.activeElement.id") == "p1.4"
    tab.keyboard.press("Enter")
    heard_at(tab, onset(4))


def test_every_link_of_the_talk_leads_to_its_own_moment(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    moments = sorted(
        (moment.start, ply.id, moment.spoken) for ply in small_lesson()[0].games[0].plies for moment in ply.moments
    )
    links = tab.locator("#words a.m")
    assert links.count() == len(moments)
    for index, (start, ply, spoken) in enumerate(moments):
        assert spoken.rstrip(",.") in links.nth(index).inner_text().lower()
        links.nth(index).click()
        heard_at(tab, start)
        assert shown(tab) == after(ply)


def test_a_move_named_again_leads_to_all_its_moments(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.click("[id='p1.3']")
    assert tab.locator("#move-times a").count() == 2
    tab.click("#move-times a >> nth=1")
    heard_at(tab, onset(3, 1))
    assert tab.get_attribute("#move-times a >> nth=1", "aria-current") == "time"


def test_words_between_the_links_lead_to_their_time(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    box = tab.evaluate(
        """() => {
          const node = document.querySelector('#words span[data-w="0"]').firstChild;
          const range = document.createRange();
          range.setStart(node, 15);
          range.setEnd(node, 19);
          const { x, y, width, height } = range.getBoundingClientRect();
          return [range.toString(), x + width / 2, y + height / 2];
        }"""
    )
    assert box[0] == "club"
    tab.mouse.click(box[1], box[2])
    heard_at(tab, 1.5)


def test_a_move_never_named_comes_on_the_board_and_says_so(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.click("[id='p1.8']")
    assert shown(tab) == after(8)
    assert "Not named in the talk" in tab.inner_text("#now")
    heard_at(tab, 0)


def test_how_sure_a_ply_is_stands_with_it(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    tab.click("[id='p1.5']")
    doubt = tab.inner_text("#move-doubt")
    assert doubt == "55% sure. Two captures are legal. The words may also mean exd4 (30%)."
    label = tab.get_attribute("[id='p1.5']", "aria-label") or ""
    assert label.startswith("exf4: e pawn takes f4, move 2 of black, only considered, 55% sure, at ")
    assert tab.evaluate("getComputedStyle(document.getElementById('p1.5')).textDecorationStyle") == "dotted"


def test_keys_step_through_the_game_and_its_side_lines(tab: Page, site: Site) -> None:
    tab.goto(site("none"))
    seen = []
    for key in ["ArrowRight", "ArrowRight", "ArrowRight", "ArrowLeft"]:
        tab.keyboard.press(key)
        seen.append(shown(tab))
    assert seen == [after(1), after(2), after(3), after(2)]
    tab.focus("#board")
    seen = []
    for key in ["ArrowRight", "ArrowDown", "ArrowRight", "ArrowDown", "ArrowUp", "End", "Home", "End", "ArrowRight"]:
        tab.keyboard.press(key)
        seen.append(shown(tab))
    assert seen == [after(ply) for ply in (3, 4, 5, 6, 5, 5, None, 9, 9)]


def test_page_keys_go_from_moment_to_moment(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.focus("#board")
    for key, ply, time in [("PageDown", 1, 0), ("PageDown", 2, 0), ("PageDown", 3, 0), ("PageUp", 2, 0)]:
        tab.keyboard.press(key)
        heard_at(tab, onset(ply, time))
        assert shown(tab) == after(ply)


def test_space_plays_and_pauses(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.keyboard.press("Space")
    assert not paused(tab)
    tab.keyboard.press("Space")
    assert paused(tab)


def test_keys_stay_out_of_fields(tab: Page, site: Site) -> None:
    tab.goto(site("none"))
    tab.focus("#search")
    for key in ["ArrowRight", "Space", "Home", "Enter"]:
        tab.keyboard.press(key)
    assert shown(tab) == after(None)


def test_the_board_flips(tab: Page, site: Site) -> None:
    tab.goto(site("none"))
    first = tab.locator(".square").nth(0)
    left, top = first.bounding_box()["x"], first.bounding_box()["y"]  # type: ignore[index]
    tab.click("#flip")
    box = first.bounding_box()
    assert box is not None
    assert box["x"] > left and box["y"] > top
    assert tab.inner_text(".files").split() == list("hgfedcba")
    tab.click("#flip")
    assert tab.inner_text(".files").split() == list("abcdefgh")


def test_a_link_to_a_move_can_be_copied_and_opens_there(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.click("#words a.m >> nth=5")
    tab.click("#copy")
    link = tab.input_value("#link-text")
    assert link == f"{site('webm')}#t={onset(6):g}&ply=1.6"
    assert tab.evaluate("location.href") == link
    tab.goto("about:blank")
    tab.goto(link)
    settle(tab)
    heard_at(tab, onset(6))
    assert shown(tab) == after(6)


def test_a_changed_address_leads_on(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.evaluate("location.hash = '#t=npt:0:20'")
    tab.wait_for_timeout(50)
    heard_at(tab, 20)
    tab.evaluate("location.hash = '#ply=1.8'")
    tab.wait_for_timeout(50)
    assert shown(tab) == after(8)


def test_an_interval_ends_where_the_address_says(tab: Page, site: Site) -> None:
    tab.goto(f"{site('webm')}#t=10,10.6")
    settle(tab)
    tab.keyboard.press("Space")
    tab.wait_for_timeout(200)
    expect(tab.locator("#play")).to_have_attribute("aria-label", "Play", timeout=10_000)
    assert 10.6 <= media_time(tab) < 12


def test_the_timeline_tells_and_leads(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    duration = small_lesson()[1].duration
    box = tab.locator("#timeline").bounding_box()
    assert box is not None
    place = box["x"] + box["width"] * (onset(5) + 0.1) / duration
    tab.mouse.move(place, box["y"] + box["height"] / 2)
    tip = tab.inner_text(".tip")
    assert "2…exf4 only considered" in tip
    assert "Side line 2.f4" in tip
    tab.mouse.click(place, box["y"] + box["height"] / 2)
    heard_at(tab, onset(5))


def test_the_timeline_by_keyboard(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.focus("#timeline")
    chapter = small_lesson()[0].chapters[1].start
    for key, time in [("ArrowRight", onset(1)), ("ArrowRight", onset(2)), ("ArrowLeft", onset(1)), ("PageUp", chapter)]:
        tab.keyboard.press(key)
        heard_at(tab, time)
    tab.keyboard.press("Home")
    heard_at(tab, 0)
    tab.keyboard.press("ArrowRight")
    assert tab.get_attribute("#timeline", "aria-valuetext") == "2 seconds, 1.e4 played"
    assert tab.get_attribute("#timeline", "aria-valuenow") == "2"


def test_chapters_lead_to_their_time(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.click("#chapters summary")
    tab.click("text=A question >> nth=0")
    heard_at(tab, small_lesson()[0].chapters[1].start)


def test_search_in_the_talk(tab: Page, site: Site) -> None:
    tab.goto(site("webm"))
    settle(tab)
    tab.fill("#search", "PAWN")
    assert tab.inner_text("#found") == "1 of 4"
    assert tab.evaluate("CSS.highlights.get('found').size") == 4
    tab.press("#search", "Enter")
    assert tab.inner_text("#found") == "2 of 4"
    tab.fill("#search", "but in the game she played knight f3")
    assert tab.inner_text("#found") == "1 of 1"
    tab.click("text=Go there")
    assert onset(6) < media_time(tab) < onset(3, 1)
    tab.fill("#search", "zugzwang")
    assert tab.inner_text("#found") == "not found"


def test_without_a_recording_moves_come_on_the_board(tab: Page, site: Site) -> None:
    tab.goto(site("none"))
    tab.click("[id='p1.4']")
    assert shown(tab) == after(4)
    assert tab.locator(".spoken").inner_text().startswith("Some people like pawn f4,")
    assert tab.locator("#play").is_hidden()


def test_moves_lead_out_to_a_recording_elsewhere(tab: Page, site: Site) -> None:
    tab.goto(site("link"))
    tab.context.route("https://recordings.example/**", lambda route: route.abort())
    link = tab.locator("[id='p1.4']")
    assert link.get_attribute("href") == f"https://recordings.example/evening?at={int(onset(4))}"
    assert link.get_attribute("rel") == "noopener noreferrer"
    with tab.context.expect_page():
        link.click()
    assert shown(tab) == after(4)
    assert tab.get_attribute("#move-times a", "href") == link.get_attribute("href")


def test_from_disk_it_works_as_from_a_host(tab: Page, site: Site, host: tuple) -> None:  # type: ignore[type-arg]
    site("webm")
    tab.goto((host[0] / "webm" / "index.html").as_uri())
    settle(tab)
    tab.click("[id='p1.6']")
    heard_at(tab, onset(6))
    assert shown(tab) == after(6)
    seek(tab, onset(2))
    assert shown(tab) == after(2)
