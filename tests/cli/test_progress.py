"""The bar counts seconds of the talk, and only on a terminal."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import chess
import pytest
from rich.progress import Progress, TaskID

from cli.job import Known, follow_talk
from cli.progress import FOLLOWING, HEARING, Watch, stage_bars
from sync.publish import NOBODY
from tests.follow.talk import talk


def test_bar_shows_heard_seconds_and_time_left(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")  # rich takes this for a terminal
    monkeypatch.setenv("COLUMNS", "120")
    with stage_bars(["talk.webm"]) as bars:
        watch = bars.watch(0)
        watch.update(HEARING, 0.0, 3725.0)
        watch.update(HEARING, 65.0, 3725.0)
        assert watch.tell
        watch.tell("0:40  1. e4 e5")
    shown = capfd.readouterr()
    assert "hearing talk.webm" in shown.err
    assert "1:05 of 1:02:05" in shown.err
    assert "left" in shown.err
    assert "0:40  1. e4 e5" in shown.err
    assert shown.out == ""


def test_nothing_is_shown_where_nobody_watches(capfd: pytest.CaptureFixture[str]) -> None:
    with stage_bars(["talk.webm"]) as bars:
        watch = bars.watch(0)
        watch.update(HEARING, 1.0, 2.0)
        assert watch.tell is None
        with bars.aside():
            pass
    assert capfd.readouterr() == ("", "")


def test_each_of_several_has_a_bar_until_it_is_done(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "120")
    with stage_bars(["one.wav", "two.wav", "three.wav"]) as bars:
        for number in (0, 1):
            bars.watch(number).update(HEARING, 10.0 + number, 60.0)
        with bars.aside():
            print("a line of its own")
        before = capfd.readouterr()
        bars.remove(0)
        bars.remove(2)  # never shown
        bars.watch(0).update(HEARING, 20.0, 60.0)  # told late
        with bars.aside():
            pass
        after = capfd.readouterr()
    assert "hearing one.wav" in before.err and "0:10 of 1:00" in before.err
    assert "hearing two.wav" in before.err and "0:11 of 1:00" in before.err
    assert before.out == "a line of its own\n"
    assert "hearing two.wav" in after.err and "one.wav" not in after.err and "three.wav" not in after.err


def test_the_bar_tells_the_stage_and_begins_anew_with_each(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "120")
    shown = []
    with stage_bars(["talk.webm"]) as bars:
        watch = bars.watch(0)
        for stage, done in ((HEARING, 60.0), (FOLLOWING, 20.0), (FOLLOWING, 5.0)):
            watch.update(stage, done, 60.0)
            with bars.aside():
                pass
            shown.append(capfd.readouterr().err)
    assert "hearing talk.webm" in shown[0] and "1:00 of 1:00" in shown[0]
    assert "following talk.webm" in shown[1] and "0:20 of 1:00" in shown[1]
    assert "following talk.webm" in shown[2] and "0:05 of 1:00" in shown[2]


def test_the_time_left_is_reckoned_anew_only_with_a_stage_or_a_reading(monkeypatch: pytest.MonkeyPatch) -> None:
    """Though of several files each message asks for the watch again."""
    monkeypatch.setenv("FORCE_COLOR", "1")
    begun: list[str] = []
    reset = Progress.reset

    def noted(bar: Progress, task: TaskID, **fields: Any) -> None:
        begun.append(fields["description"])
        reset(bar, task, **fields)

    monkeypatch.setattr(Progress, "reset", noted)
    told = (
        (HEARING, 10.0),
        (HEARING, 60.0),
        (FOLLOWING, 10.0),
        (FOLLOWING, 40.0),
        (FOLLOWING, 10.0),
        (FOLLOWING, 40.0),
    )
    with stage_bars(["talk.webm"]) as bars:
        for stage, done in told:
            bars.watch(0).update(stage, done, 60.0)
    assert begun == ["hearing talk.webm", "following talk.webm", "following talk.webm"]


def test_following_tells_how_far_it_is_but_not_what_was_followed_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLYCUE_CACHE", str(tmp_path))
    words = talk("White starts with pawn to e4. Black answers pawn to e5. Knight to f3, knight to c6.")
    told: list[tuple[str, float, float]] = []
    watch = Watch(lambda *each: told.append(each))
    lesson, _ = follow_talk(words, None, Known(None, chess.STARTING_FEN, None, NOBODY), "talk", watch)
    assert {(stage, length) for stage, _, length in told} == {(FOLLOWING, words.duration)}
    seconds = [done for _, done, _ in told]
    once = sorted(set(seconds))
    assert seconds[: len(once)] == once  # and perhaps once more
    assert {moment.start for ply in lesson.games[0].plies for moment in ply.moments} <= set(seconds)
    told.clear()
    again, _ = follow_talk(words, None, Known(None, chess.STARTING_FEN, None, NOBODY), "talk", watch)
    assert again == lesson
    assert told == []
