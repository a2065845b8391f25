"""A browser, recordings and a static host for the page."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import cast

import av
import numpy as np
import pytest
import uvicorn
from playwright.sync_api import Browser, Page
from starlette.applications import Starlette
from starlette.staticfiles import StaticFiles

from sync.files.page import write_page
from tests.page.lessons import CAPTIONS, PGN, small_lesson

RATE = 48_000
FRAMES_A_SECOND = 5
CAPTIONS_ON_DISK = "'file:' URLs are treated as unique security origins"
"""Why Chromium refuses a page on disk its own caption file; the page then uses the copy inside it."""

BLOCK = 960
BLOCKS = RATE // FRAMES_A_SECOND // BLOCK


@pytest.fixture
def tab(browser: Browser) -> Iterator[Page]:
    """A tab that fails the test on a script error or a message of the browser's on its console."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    page = context.new_page()
    trouble: list[str] = []
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("console", lambda message: trouble.append(message.text) if message.type == "error" else None)
    yield page
    context.close()
    assert [text for text in trouble if CAPTIONS_ON_DISK not in text] == []


def record(path: Path, seconds: float, video: str | None, audio: str) -> Path:
    """A recording of a grey picture and a soft tone, for as long as asked."""
    with av.open(str(path), "w") as container:
        picture = None
        if video:
            picture = cast("av.VideoStream", container.add_stream(video, rate=FRAMES_A_SECOND))
            picture.width, picture.height, picture.pix_fmt = 160, 90, "yuv420p"
        sound = cast("av.AudioStream", container.add_stream(audio, rate=RATE, layout="mono"))
        grey = av.VideoFrame.from_ndarray(np.full((90, 160, 3), 96, np.uint8), format="rgb24")
        tone = (np.sin(np.arange(int(seconds * RATE)) * 0.03) * 900).astype(np.int16)
        for number in range(int(seconds * FRAMES_A_SECOND)):
            if picture is not None:
                grey.pts, grey.time_base = number, Fraction(1, FRAMES_A_SECOND)
                container.mux(picture.encode(grey))
            for start in range(number * BLOCKS * BLOCK, (number + 1) * BLOCKS * BLOCK, BLOCK):
                block = tone[None, start : start + BLOCK].copy()
                frame = av.AudioFrame.from_ndarray(block, format="s16", layout="mono")
                frame.sample_rate, frame.pts, frame.time_base = RATE, start, Fraction(1, RATE)
                container.mux(sound.encode(frame))
        if picture is not None:
            container.mux(picture.encode(None))
        container.mux(sound.encode(None))
    return path


@pytest.fixture(scope="session")
def recordings(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Recordings as long as the small lesson, by kind."""
    folder = tmp_path_factory.mktemp("recordings")
    seconds = small_lesson()[1].duration
    return {
        "webm": record(folder / "evening.webm", seconds, "libvpx", "libopus"),
        "mp4": record(folder / "evening.mp4", seconds, "libx264", "aac"),
        "ogg": record(folder / "evening.ogg", seconds, None, "libopus"),
        "sound.webm": record(folder / "sound.webm", seconds, None, "libopus"),
    }


@pytest.fixture(scope="session")
def host(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, str]]:
    """A folder, and the address at which a plain static host serves it."""
    root = tmp_path_factory.mktemp("host")
    app = Starlette()
    app.mount("/", StaticFiles(directory=root, html=True))
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=0, log_level="error"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    port = server.servers[0].sockets[0].getsockname()[1]
    yield root, f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join()


@pytest.fixture(scope="session")
def site(host: tuple[Path, str], recordings: dict[str, Path]) -> Callable[[str], str]:
    """Address of the small lesson's page with one kind of recording, "link" or "none"."""
    root, address = host

    def written(kind: str) -> str:
        folder = root / kind
        if not folder.exists():
            lesson, transcript = small_lesson()
            link = "https://recordings.example/evening?at={seconds}" if kind == "link" else None
            media = recordings.get(kind)
            write_page(lesson, transcript, folder, pgn=PGN, captions=CAPTIONS, media_file=media, media_link=link)
        return f"{address}/{kind}/"

    return written
