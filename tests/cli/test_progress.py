"""The bar counts seconds of the recording, and only on a terminal."""

from __future__ import annotations

import pytest

from cli.progress import heard_bar


def test_bar_shows_heard_seconds_and_time_left(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")  # rich takes this for a terminal
    monkeypatch.setenv("COLUMNS", "120")
    with heard_bar("talk.webm") as watch:
        watch.update(0.0, 3725.0)
        watch.update(65.0, 3725.0)
        assert watch.tell
        watch.tell("0:40  1. e4 e5")
    shown = capfd.readouterr()
    assert "hearing talk.webm" in shown.err
    assert "1:05 of 1:02:05" in shown.err
    assert "left" in shown.err
    assert "0:40  1. e4 e5" in shown.err
    assert shown.out == ""


def test_nothing_is_shown_where_nobody_watches(capfd: pytest.CaptureFixture[str]) -> None:
    with heard_bar("talk.webm") as watch:
        watch.update(1.0, 2.0)
        assert watch.tell is None
    assert capfd.readouterr() == ("", "")
