"""The bar counts seconds of the recording, and only on a terminal."""

from __future__ import annotations

import pytest

from cli.progress import heard_bars


def test_bar_shows_heard_seconds_and_time_left(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")  # rich takes this for a terminal
    monkeypatch.setenv("COLUMNS", "120")
    with heard_bars(["talk.webm"]) as bars:
        watch = bars.watch(0)
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
    with heard_bars(["talk.webm"]) as bars:
        watch = bars.watch(0)
        watch.update(1.0, 2.0)
        assert watch.tell is None
        with bars.aside():
            pass
    assert capfd.readouterr() == ("", "")


def test_each_of_several_has_a_bar_until_it_is_done(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "120")
    with heard_bars(["one.wav", "two.wav", "three.wav"]) as bars:
        for number in (0, 1):
            bars.watch(number).update(10.0 + number, 60.0)
        with bars.aside():
            print("a line of its own")
        before = capfd.readouterr()
        bars.remove(0)
        bars.remove(2)  # never shown
        bars.watch(0).update(20.0, 60.0)  # told late
        with bars.aside():
            pass
        after = capfd.readouterr()
    assert "hearing one.wav" in before.err and "0:10 of 1:00" in before.err
    assert "hearing two.wav" in before.err and "0:11 of 1:00" in before.err
    assert before.out == "a line of its own\n"
    assert "hearing two.wav" in after.err and "one.wav" not in after.err and "three.wav" not in after.err
