"""Text from recordings and PGN files stays text; the page asks nothing of any network."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Request

from sync.files.page import single_page, write_page
from sync.lesson.lesson import Chapter, Lesson
from sync.transcript.words import Transcript
from tests.page.lessons import CAPTIONS, PGN, small_lesson
from tests.page.views import after, settle, shown

Site = Callable[[str], str]

PAYLOADS = [
    "<script>window.hit=1</script>",
    '"><img/src=x/onerror=window.hit=1>',
    "</script><script>window.hit=1</script>",
    "<!--<script>",
    "{0}{title}&amp;",
    "javascript:window.hit=1",
]


def hostile() -> tuple[Lesson, Transcript]:
    """The small lesson with markup in every text."""
    lesson, transcript = small_lesson()
    game = lesson.games[0]
    evil = " ".join(PAYLOADS)
    plies = tuple(
        replace(
            ply,
            comment=evil,
            reason=evil,
            confidence=0.5,
            moments=tuple(replace(moment, heard=evil, spoken=evil.replace(" ", "")) for moment in ply.moments),
            runners_up=tuple(replace(runner, san=evil) for runner in ply.runners_up),
        )
        for ply in game.plies
    )
    tags = {name: f"{name} {evil}" for name in ("White", "Black", "Event", "Site", "Date", "Result")}
    words = tuple(replace(word, text=PAYLOADS[number % len(PAYLOADS)]) for number, word in enumerate(transcript.words))
    chapters = tuple(Chapter(each.start, each.end, evil) for each in lesson.chapters)
    games = (replace(game, plies=plies, tags=tags),)
    return replace(lesson, title=evil, games=games, chapters=chapters), replace(transcript, words=words)


@pytest.mark.parametrize("form", ["folder", "single"])
def test_markup_in_any_text_is_only_shown(tab: Page, tmp_path: Path, form: str) -> None:
    lesson, transcript = hostile()
    captions = f"WEBVTT\n\n00:00.000 --> 00:02.000\n{PAYLOADS[0]}\n"
    if form == "folder":
        page = write_page(lesson, transcript, tmp_path, pgn=PAYLOADS[0], captions=captions, name="a&b 'c'")
    else:
        page = tmp_path / "page.html"
        page.write_text(single_page(lesson, transcript, pgn=PAYLOADS[0], captions=captions), encoding="utf-8")
    tab.goto(page.as_uri())
    tab.click("[id='p1.5']")
    tab.hover("#timeline")
    tab.evaluate("document.querySelector('#questions button').click()")
    tab.click("#reveal")
    assert tab.evaluate("window.hit") is None
    assert tab.locator("img").count() == 0
    assert tab.evaluate("[...document.scripts].length") == 2
    assert tab.inner_text("h1") == " ".join(PAYLOADS)
    assert PAYLOADS[0] in tab.text_content("#words")  # type: ignore[operator]
    assert PAYLOADS[1] in tab.text_content("#sheets")  # type: ignore[operator]


def test_an_address_cannot_carry_markup(tab: Page, site: Site) -> None:
    tab.goto(f"{site('webm')}#t=<img src=x onerror=window.hit=1>&ply=1.constructor&ply=99.1&ply=1.77")
    settle(tab)
    tab.click("#copy")
    assert tab.evaluate("window.hit") is None
    assert tab.locator("img").count() == 0
    assert shown(tab) == after(None)


@pytest.mark.parametrize("kind", ["webm", "none", "link"])
def test_the_page_asks_only_for_its_own_files(tab: Page, site: Site, kind: str) -> None:
    asked: list[str] = []

    def note(request: Request) -> None:
        asked.append(request.url)

    tab.on("request", note)
    address = site(kind)
    tab.goto(address)
    for key in ["ArrowRight", "ArrowRight", "Space", "Space"]:
        tab.keyboard.press(key)
    tab.click("#flip")
    tab.click("#copy")
    tab.hover("#timeline")
    own = {"", "page.css", "page.js", *(["evening.webm"] if kind == "webm" else [])}
    assert {url.removeprefix(address) for url in asked if not url.startswith("data:")} == own


def policy(html: str) -> dict[str, str]:
    found = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', html)
    assert found is not None
    text = found[1].replace("&#39;", "'")
    return dict(directive.strip().partition(" ")[::2] for directive in text.split(";"))


def test_the_folders_policy_allows_its_own_files_alone(tmp_path: Path) -> None:
    html = write_page(*small_lesson(), tmp_path, pgn=PGN, captions=CAPTIONS).read_text(encoding="utf-8")
    assert policy(html) == {
        "default-src": "'none'",
        "script-src": "'self'",
        "style-src": "'self'",
        "media-src": "'self' data:",
        "img-src": "data:",
        "base-uri": "'none'",
        "form-action": "'none'",
        "require-trusted-types-for": "'script'",
        "trusted-types": "'none'",
    }
    assert re.findall(r"\s(?:on\w+|style)=", html) == []
    inline = re.findall(r"<script(?![^>]*\bsrc=)([^>]*)>", html)
    assert inline == [' type="application/json" id="lesson"']


def test_the_single_files_policy_names_its_script_and_style_by_hash() -> None:
    html = single_page(*small_lesson(), pgn=PGN, captions=CAPTIONS)
    rules = policy(html)
    assert re.fullmatch(r"'sha256-[\w+/]{43}='", rules["script-src"])
    assert re.fullmatch(r"'sha256-[\w+/]{43}='", rules["style-src"])


def test_what_was_slipped_in_would_not_load(browser: Browser, site: Site) -> None:
    tab = browser.new_page()
    tab.goto(site("none"))
    blocked = tab.evaluate(
        """() => new Promise(done => {
          document.addEventListener('securitypolicyviolation', event => done(event.violatedDirective));
          const image = document.createElement('img');
          image.src = 'https://elsewhere.example/x.png';
          document.body.append(image);
        })"""
    )
    tab.close()
    assert blocked == "img-src"
