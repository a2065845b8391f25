"""A fix is followed near by at once, and leaves what comes before as it is read. With the real search."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from sync.follow import Fix
from sync.lesson import Game
from sync.lesson.edits import line_of
from sync.lesson.graft import changes, readings
from sync.nearby import AHEAD, Vicinity, as_read
from sync.revise import Task, follow_anew
from sync.transcript import Transcript
from tests.fitting.corpus import read_script, spoken

SCRIPT = Path(__file__).parents[1] / "lessons" / "s1.lesson.txt"


@cache
def lesson() -> tuple[Transcript, tuple[Game, ...]]:
    transcript, _ = spoken(read_script(SCRIPT))
    return transcript, follow_anew(Task(transcript))


def test_every_moment_bound_as_it_is_read_gives_the_same_reading() -> None:
    transcript, games = lesson()
    fixes = tuple(as_read(games[0], [word.end for word in transcript.words]))
    assert len(fixes) > 15
    bound = follow_anew(Task(transcript, fixes=fixes))
    assert readings(bound).keys() >= readings(games).keys()
    assert [each for each in changes(games, bound).readings if each.before is not None] == []


def test_only_what_follows_the_fix_is_read_otherwise() -> None:
    transcript, games = lesson()
    ply = next(each for each in games[0].plies if each.san == "c6")
    moment = ply.moments[0]
    end = transcript.words[moment.named_end - 1].end
    fix = Fix(moment.start, end, "c7c5", None, line_of(games[0], ply)[:-1])
    near = Vicinity()(Task(transcript, fixes=(fix,)), games, fix)
    assert near is not None and near.until == end + AHEAD
    old, new = readings(games), readings(near.games)
    assert {at: old[at] for at in old if at < fix.start} == {at: new[at] for at in new if at < fix.start}
    assert new[moment.start][1].san == "c5"
    whole = readings(follow_anew(Task(transcript, fixes=(fix,))))
    close = [at for at in whole if fix.start <= at < near.until - 5]
    assert [new[at][1].san for at in close if at in new] == [whole[at][1].san for at in close]


def test_a_talk_of_several_games_is_left_to_the_search() -> None:
    transcript, games = lesson()
    fix = Fix(1.0, 2.0, "e2e4")
    assert Vicinity()(Task(transcript, fixes=(fix,)), games * 2, fix) is None
