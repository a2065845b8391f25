"""A desk that is served, and a browser to sit at it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import pytest
import uvicorn

from cli.desk.desk import Desk
from cli.desk.run import listening
from cli.desk.server import desk_app
from sync.publish import Page
from sync.revise import Follow, open_project
from tests.desk.lessons import obedient, put_down, small_lesson
from tests.page.conftest import record

TOKEN = "a-token-for-tests"


@dataclass(frozen=True)
class Served:
    """A desk at an address. path: of its project."""

    desk: Desk
    path: Path
    port: int

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/{TOKEN}/"


Serve = Callable[..., Served]


@pytest.fixture(scope="session")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("recording") / "evening.webm"
    return record(path, small_lesson()[1].duration, "libvpx", "libopus")


@pytest.fixture
def serve(tmp_path: Path, recording: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Serve]:
    """Serves the small lesson, or the project that is given; with the search's place taken by obedient."""
    monkeypatch.setenv("PLYCUE_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv("PLYCUE_SPEAKERS", str(tmp_path / "speakers"))
    running: list[tuple[uvicorn.Server, threading.Thread]] = []
    executor = ThreadPoolExecutor(1)

    def served(path: Path | None = None, follow: Follow = obedient) -> Served:
        place = path or put_down(tmp_path, *small_lesson())
        desk = Desk(open_project(place), executor, follow, lambda *_: None, Page(recording))
        listener = listening(0)
        port = listener.getsockname()[1]
        app = desk_app(desk, recording, TOKEN, port)
        server = uvicorn.Server(uvicorn.Config(app, log_level="error", lifespan="off"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        running.append((server, thread))
        return Served(desk, place, port)

    yield served
    for server, thread in running:
        server.should_exit = True
        thread.join()
    executor.shutdown()
