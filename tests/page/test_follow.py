"""The board follows the talk."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from sync.files.steps import board_steps, step_at
from tests.page.lessons import small_lesson
from tests.page.views import after, media_time, onset, paused, seek, settle, shown, until

KINDS = ["webm", "mp4", "ogg", "sound.webm"]


@pytest.mark.parametrize("kind", KINDS)
def test_after_any_seek_the_board_shows_what_the_talk_is_about(
    tab: Page, site: Callable[[str], str], kind: str
) -> None:
    tab.goto(site(kind))
    settle(tab)
    steps = board_steps(small_lesson()[0])
    onsets = [step.start for step in steps]
    times = [*onsets, *(onset + 0.2 for onset in onsets), *(onset - 0.02 for onset in onsets[1:])]
    for time in sorted(times, key=lambda time: time * 7919 % 1):
        seek(tab, time)
        assert shown(tab) == after(step_at(steps, time).ply), time


@pytest.mark.parametrize("rate", [1, 4])
def test_while_it_plays_each_position_comes_at_its_onset(tab: Page, site: Callable[[str], str], rate: int) -> None:
    tab.goto(site("webm"))
    settle(tab)
    lesson, _ = small_lesson()
    steps = board_steps(lesson)
    played = [step for step in steps if onset(3) <= step.start <= onset(6)]
    seek(tab, played[0].start - 1)
    seen = tab.evaluate(
        """({ rate, end }) => new Promise(done => {
          const media = document.getElementById('media');
          const name = document.getElementById('move-name');
          const seen = [];
          const note = () => seen.push([name.textContent, media.currentTime]);
          new MutationObserver(note).observe(name, { childList: true });
          media.playbackRate = rate;
          media.play();
          const wait = () => media.currentTime >= end ? done(seen) : setTimeout(wait, 20);
          wait();
        })""",
        {"rate": rate, "end": played[-1].start + 0.5},
    )
    sans = {ply.id: ply.san for ply in lesson.games[0].plies}
    named = [name.split()[-1].rstrip("!") for name, _ in seen]
    for name, (_, time) in zip(named, seen, strict=True):
        # A browser short of the machine's time runs its script some way behind the sound.
        about = {step_at(steps, time - late / 20 * rate).ply for late in range(11)}
        assert name in {sans[ply] for ply in about if ply}
    assert named[-1] == sans[6]


@pytest.mark.parametrize(
    ("time", "sign"),
    [(0.0, "Before the first move"), (onset(1), "Played in the game"), (onset(4), "Only considered")],
)
def test_a_sign_says_whether_the_move_was_played(tab: Page, site: Callable[[str], str], time: float, sign: str) -> None:
    tab.goto(f"{site('webm')}#t={time}")
    assert tab.inner_text("#sign") == sign
    assert tab.locator(".board.considered").count() == (1 if sign == "Only considered" else 0)


def test_the_words_now_spoken_are_marked(tab: Page, site: Callable[[str], str]) -> None:
    tab.goto(site("webm"))
    settle(tab)
    marked = "[...CSS.highlights.get('now-spoken')].map(String).join()"
    seek(tab, 0.6)
    assert tab.evaluate(marked) == "to"
    assert tab.inner_text(".spoken") == "Welcome to our club evening."
    seek(tab, 3.1)
    assert tab.evaluate(marked) == "Pawn to e4,"
    seek(tab, 4.1)
    assert tab.evaluate(marked) == "says"


def test_the_board_leaves_the_talk_when_one_steps_and_comes_back(tab: Page, site: Callable[[str], str]) -> None:
    tab.goto(site("webm"))
    settle(tab)
    seek(tab, onset(3))
    tab.keyboard.press("ArrowLeft")
    assert shown(tab) == after(2)
    seek(tab, onset(4))
    assert shown(tab) == after(2)
    tab.click("text=Back to the talk")
    assert shown(tab) == after(4)


def test_the_play_button_and_the_speed(tab: Page, site: Callable[[str], str]) -> None:
    tab.goto(site("mp4"))
    settle(tab)
    tab.click("#play")
    until(tab, "document.getElementById('media').currentTime > 0.3")
    tab.select_option("#speed", "2")
    assert tab.evaluate("document.getElementById('media').playbackRate") == 2
    assert tab.get_attribute("#play", "aria-label") == "Pause"
    tab.click("#play")
    assert paused(tab)
    assert media_time(tab) > 0.3


def test_captions_are_a_track_of_the_recording(tab: Page, site: Callable[[str], str]) -> None:
    tab.goto(site("webm"))
    settle(tab)
    assert turned_on_captions(tab) == ["Welcome to our club evening.", "Pawn to e4,"]


def test_captions_work_from_disk(tab: Page, site: Callable[[str], str], host: tuple) -> None:  # type: ignore[type-arg]
    site("webm")
    tab.goto((host[0] / "webm" / "index.html").as_uri())
    settle(tab)
    texts = turned_on_captions(tab)
    assert texts[0] == "Welcome to our club evening."
    assert texts[1] == "Pawn to e4, says Ilse, and black answers e5."
    assert " ".join(texts).count("takes the game is wild") == 1


def turned_on_captions(tab: Page) -> list[str]:
    texts = tab.evaluate(
        """() => new Promise(done => {
          const media = document.getElementById('media');
          const captions = () => [...media.textTracks].find(track => track.kind === 'captions');
          captions().mode = 'showing';
          const texts = () => [...captions()?.cues ?? []].map(cue => cue.text);
          const wait = (before) => before && texts().length === before
            ? done(texts())
            : setTimeout(wait, 200, texts().length);
          wait(0);
        })"""
    )
    return list(texts)
