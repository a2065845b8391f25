"""The desk's commands for scripts."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import sync.revise
from sync.lesson.edits import lines_of
from sync.lesson.journal import Journal
from sync.revise import open_project, revise
from tests.cli.conftest import plycue
from tests.desk.lessons import line, obedient, put_down, small_lesson

LESSON, TRANSCRIPT = small_lesson()
BEFORE = line("e4", "e5", "Nf3", "Nc6", "Bc4", "Bc5")
QUIET = next(ply for ply in LESSON.games[0].plies if ply.san == "d3").moments[0]
CLOCK = f"{int(QUIET.start // 60)}:{QUIET.start % 60:04.1f}"


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(sync.revise, "follow_anew", obedient)
    monkeypatch.setenv("PLYCUE_CACHE", str(tmp_path / "cache"))
    return put_down(tmp_path, LESSON, TRANSCRIPT)


def done(*arguments: str | Path) -> str:
    result = plycue(*arguments)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_doubts_stand_worst_first(project: Path) -> None:
    lines = done("doubts", project).splitlines()
    assert [heard in row for heard, row in zip(("before", "bishop sea for", "knight sea free"), lines, strict=True)]
    assert "31%" in lines[0] and "b4" in lines[0] and "the square was heard badly" in lines[0]
    told = json.loads(done("doubts", project, "--json"))
    assert [each["confidence"] for each in told] == [0.31, 0.62, 0.74]
    assert [option[1] for option in told[0]["options"]][:2] == ["b4", "h4"]
    assert told[0]["line"] == list(BEFORE)


def test_a_move_is_put_right_and_its_doubt_is_gone(project: Path) -> None:
    text = done("fix", project, "--at", CLOCK, "--move", "b4")
    assert text.startswith("1 edits; 0 other places")
    revision = revise(open_project(project))
    assert (*BEFORE, "b2b4") in lines_of(revision.lesson.games[0])
    assert (*BEFORE, "b2b4", "g8f6") in lines_of(revision.lesson.games[0])
    assert "before" not in done("doubts", project)


def test_what_else_is_read_otherwise_is_told(project: Path) -> None:
    """With the king on e2 the bishop cannot go to c4, and all that follows it is read as no move."""
    knight = next(ply for ply in LESSON.games[0].plies if ply.san == "Nf3").moments[0]
    told = json.loads(done("fix", project, "--at", f"{knight.start:.1f}s", "--move", "Ke2", "--json"))
    first = told["changes"]["readings"][0]
    assert (first["heard"], first["before"]["label"], first["after"]) == ("bishop sea for", "3.Bc4", None)
    assert told["changes"]["moved"] == 1  # the knight's move after it


def test_undo_and_redo(project: Path) -> None:
    done("fix", project, "--at", CLOCK, "--move", "b4")
    done("fix", project, "--undo")
    assert (*BEFORE, "d2d3") in lines_of(revise(open_project(project)).lesson.games[0])
    done("fix", project, "--redo")
    assert (*BEFORE, "b2b4") in lines_of(revise(open_project(project)).lesson.games[0])
    done("fix", project, "--undo")
    assert plycue("fix", project, "--undo").exit_code == 2


def test_no_move_a_role_and_a_side_line(project: Path) -> None:
    done("fix", project, "--at", CLOCK, "--not-a-move")
    assert not any(
        moment.start == QUIET.start
        for ply in revise(open_project(project)).lesson.games[0].plies
        for moment in ply.moments
    )
    done("fix", project, "--at", CLOCK, "--move", "d4", "--considered", "--from", "2...Nc6")
    side = line("e4", "e5", "Nf3", "Nc6", "d4")
    assert lines_of(revise(open_project(project)).lesson.games[0])[side].played is False


def test_words_comment_and_nag(project: Path) -> None:
    done("fix", project, "--at", CLOCK, "--comment", "Calm {and} good.", "--nag", "1", "--nag", "14")
    pgn = project.parent / "evening.pgn"
    done("write", project)
    text = " ".join(pgn.read_text().split())
    assert "d3 $1 $14 {[%cue" in text and "Calm (and) good.}" in text
    done("fix", project, "--at", CLOCK, "--words", "d3")
    assert "d3 with" in " ".join(word.text for word in revise(open_project(project)).transcript.words)


def test_edits_from_a_file(project: Path, tmp_path: Path) -> None:
    edits = tmp_path / "edits.jsonl"
    edits.write_text('{"kind": "title", "at": 0, "text": "Quiet games"}\n\n{"kind": "quiz-removed", "at": 0.0}\n')
    told = json.loads(done("fix", project, "--edits", edits, "--json"))
    assert told["edits"] == 2 and [each["edit"]["kind"] for each in told["unfit"]] == ["quiz-removed"]
    assert revise(open_project(project)).lesson.title == "Quiet games"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "nothing to do"),
        (["--move", "b4"], "--at TIME is missing"),
        (["--at", "soon", "--move", "b4"], "is no time"),
        (["--at", "59:00", "--move", "b4"], "nothing is said within"),
        (["--at", CLOCK, "--move", "Qh5"], "Qh5 is not legal after 3...Bc5"),
        (["--at", CLOCK, "--move", "b4", "--not-a-move"], "exclude each other"),
        (["--at", CLOCK, "--move", "b4", "--played", "--considered"], "exclude each other"),
        (["--at", CLOCK, "--move", "b4", "--from", "9.Qh5"], "no move '9.Qh5'"),
        (["--edits", "nowhere.jsonl"], "cannot be read"),
    ],
)
def test_what_cannot_be_done_is_told_in_a_line(project: Path, arguments: list[str], says: str) -> None:
    result = plycue("fix", project, *arguments)
    assert result.exit_code == 2
    assert says in result.stderr and result.stderr.count("\n") == 1
    assert Journal(project.with_name("evening.plycue.journal")).history.number == 0


def test_a_new_run_keeps_the_edits(project: Path) -> None:
    """The lesson is computed anew; what was edited stays, and what does not fit is told."""
    done("fix", project, "--at", CLOCK, "--comment", "Calm.")
    transcript = project.with_name("evening.transcript.json")
    done("follow", transcript, "--title", "Anew")
    opened = open_project(project)
    assert opened.project.computed.title == "Anew" and len(opened.edits) == 1
    revision = revise(opened)
    kept = [ply.san for ply in revision.lesson.games[0].plies if ply.comment == "Calm."]
    assert (kept, len(revision.unfit)) in ((["d3"], 0), ([], 1))  # as the search reads "before" now


def test_speakers_are_listed_shown_and_forgotten(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from sync.lesson.speaker import Form, Speaker, save_speaker

    monkeypatch.setenv("PLYCUE_SPEAKERS", str(tmp_path))
    save_speaker(Speaker("Greta", (Form("beef or", "b4"),)))
    assert done("speaker") == "Greta\n"
    assert done("speaker", "Greta") == "beef or -> b4\n"
    done("speaker", "Greta", "--forget")
    assert done("speaker") == ""
    assert plycue("speaker", "Greta", "--forget").exit_code == 2
    assert plycue("speaker", "../Greta").exit_code == 2
