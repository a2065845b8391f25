"""How fast the page of a two-hour lesson is, in a real browser.

    python -m tests.benchmarks.page

Prints milliseconds of this machine, and each as a ratio to a yardstick that is measured in the same run: the time the
browser takes to load an empty page, or to run a fixed loop.
"""

from __future__ import annotations

import statistics
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from sync.files.page import write_page
from tests.browser import CHROMIUM, SWITCHES
from tests.page.conftest import record
from tests.page.lessons import long_lesson

MOMENTS = 2000
SECONDS = 7200.0
SEEKS = 60
LOADS = 5

PAINTED = """() => new Promise(done => {
  const look = () => {
    const paint = performance.getEntriesByName('first-contentful-paint')[0];
    const load = performance.getEntriesByType('navigation')[0];
    if (paint && load.loadEventEnd) done([paint.startTime, load.domInteractive, load.loadEventEnd]);
    else setTimeout(look, 10);
  };
  look();
})"""

SEEK = """times => new Promise(async done => {
  const media = document.getElementById('media');
  const board = document.querySelector('.squares');
  const spent = [];
  for (const time of times) {
    const before = performance.now();
    const drawn = new Promise(drawn => {
      new MutationObserver((_, watch) => { watch.disconnect(); drawn(); }).observe(board, { attributes: true });
    });
    media.currentTime = time;
    await drawn;
    await new Promise(requestAnimationFrame);
    spent.push(performance.now() - before);
    if (media.seeking) await new Promise(done => media.addEventListener('seeked', done, { once: true }));
  }
  done(spent);
})"""

STEP = """count => {
  const key = () => document.body.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', bubbles: true }));
  const before = performance.now();
  for (let step = 0; step < count; step++) { key(); document.body.offsetHeight; }
  return (performance.now() - before) / count;
}"""

LOOP = """() => {
  const before = performance.now();
  let sum = 0;
  for (let turn = 0; turn < 2e7; turn++) sum += turn % 7;
  return [performance.now() - before, sum][0];
}"""


@contextmanager
def opened() -> Iterator[Page]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=SWITCHES)
        yield browser.new_page(viewport={"width": 1440, "height": 900})
        browser.close()


def main() -> None:
    lesson, transcript = long_lesson(MOMENTS, SECONDS)
    with tempfile.TemporaryDirectory() as folder, opened() as tab:
        recording = record(Path(folder) / "evening.ogg", SECONDS, None, "libopus")
        page = write_page(lesson, transcript, Path(folder) / "page", pgn="", captions="WEBVTT\n", media_file=recording)
        weight = sum((page.parent / name).stat().st_size for name in ("index.html", "page.css", "page.js"))
        print(f"page without its recording: {weight / 1000:.0f} kB")

        empty = Path(folder) / "empty.html"
        empty.write_text("<!doctype html><title>Empty</title><p>Empty</p>", encoding="utf-8")
        blank, paints, loads = [], [], []
        for _ in range(LOADS):
            tab.goto(empty.as_uri())
            blank.append(tab.evaluate(PAINTED)[2])
            tab.goto(page.as_uri())
            paint, _, load = tab.evaluate(PAINTED)
            paints.append(paint)
            loads.append(load)
        yardstick = statistics.median(blank)
        for name, times in (("first contentful paint", paints), ("ready", loads)):
            median = statistics.median(times)
            print(f"{name}: {median:.0f} ms, {median / yardstick:.1f} times an empty page's load")

        loop = tab.evaluate(LOOP)
        step = SECONDS / MOMENTS
        onsets = [step * ((number * 617) % MOMENTS) + 0.01 for number in range(1, SEEKS + 1)]
        spent = sorted(tab.evaluate(SEEK, onsets))
        middle, worst = statistics.median(spent), spent[int(len(spent) * 0.95)]
        print(f"seek to board drawn: median {middle:.1f} ms, 95 % below {worst:.1f} ms, {middle / loop:.2f} loops")
        tab.keyboard.press("Home")
        print(f"one ply on, laid out: {tab.evaluate(STEP, 50):.1f} ms")


if __name__ == "__main__":
    main()
