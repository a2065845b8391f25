"""Bad input is told in one line that names the place, with exit code 2, and leaves nothing behind."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.sync_command import folders
from sync.errors import InputError
from tests.cli.conftest import SAMPLES, plycue

TALK = "WEBVTT\n\n00:00:01.000 --> 00:00:06.000\nWhite plays pawn to e4 and black plays pawn to e5.\n"


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "talk.vtt"
    path.write_text(TALK, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        (["sync", "missing.webm"], "missing.webm: no such file"),
        (["sync", "{talk}", "--start", "nonsense"], "'nonsense'"),
        (["sync", "{talk}", "--start", "8/8/8/8/8/8/8/8 w - - 0 1"], "cannot arise"),
        (["sync", "{talk}", "--game", "missing.pgn"], "missing.pgn"),
        (["sync", "{talk}", "--game", "{text}"], "game.pgn"),
        (["sync", "{talk}", "--game", "{two}"], "two.pgn holds 2 games"),
        (["sync", "{talk}", "--game", "{one}", "--start", "8/8/8/8/8/8/8/8 w - - 0 1"], "cannot be given together"),
        (["sync", "{talk}", "--link", "no-address"], "'no-address'"),
        (["sync", "{talk}", "{talk}"], "would both be written"),
        (["sync", "{talk}", "other.vtt", "--title", "Both"], "--title is about one recording"),
        (["sync", "{text}"], "game.pgn"),
        (["sync", "{sample}", "--model", "nothing"], "'nothing'"),
        (["sync", "{sample}", "--model", "{folder}"], "model.bin"),
        (["sync", "{sample}", "--transcript", "missing.srt"], "missing.srt: no such file"),
        (["sync", "{talk}", "--out", "{talk}"], "talk.vtt"),
        (["hear", "{text}"], "game.pgn"),
        (["spot", "{sample}"], "open-centre.webm"),
        (["follow", "missing.vtt"], "missing.vtt"),
        (["write", "{talk}"], "talk.vtt"),
        (["page", "missing.plycue.json"], "missing.plycue.json"),
        (["diagram", "missing.plycue.json", "1"], "missing.plycue.json"),
        (["score", "missing.pgn", "{one}"], "missing.pgn"),
    ],
    ids=" ".join,
)
def test_one_line_and_code_2(arguments: list[str], part: str, talk: Path, tmp_path: Path) -> None:
    (tmp_path / "game.pgn").write_text("no game here", encoding="utf-8")
    (tmp_path / "one.pgn").write_text("1. e4 *", encoding="utf-8")
    (tmp_path / "two.pgn").write_text("1. e4 *\n\n1. d4 *\n", encoding="utf-8")
    places = {
        "talk": talk,
        "text": tmp_path / "game.pgn",
        "one": tmp_path / "one.pgn",
        "two": tmp_path / "two.pgn",
        "folder": tmp_path,
        "sample": SAMPLES / "open-centre.webm",
    }
    before = sorted(tmp_path.rglob("*"))
    result = plycue(*(argument.format_map(places) for argument in arguments))
    assert result.exit_code == 2
    assert part in result.stderr
    assert result.stderr.startswith("plycue: ")
    assert len(result.stderr.splitlines()) == 1
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    "arguments", [["nonsense"], ["sync"], ["sync", "--nonsense"], ["diagram", "x", "1", "--width", "9"]], ids=" ".join
)
def test_wrong_usage_shows_the_usage(arguments: list[str]) -> None:
    result = plycue(*arguments)
    assert result.exit_code == 2
    assert result.stderr.startswith("Usage: ")


def test_a_bad_file_does_not_stop_the_others(talk: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.webm"
    bad.write_bytes(b"nothing")
    result = plycue("sync", bad, talk, "missing.mp3", "--out", tmp_path / "out")
    assert result.exit_code == 1
    assert result.stdout.splitlines()[-1] == "1 of 3 files done"
    assert len(result.stderr.splitlines()) == 2
    assert "bad.webm" in result.stderr.splitlines()[0]
    assert (tmp_path / "out" / "talk" / "talk.pgn").is_file()
    assert not (tmp_path / "out" / "bad").exists()


def test_json_tells_of_bad_files_too(talk: Path, tmp_path: Path) -> None:
    result = plycue("sync", talk, "missing.mp3", "--out", tmp_path / "out", "--json")
    assert result.exit_code == 1
    done, failed = json.loads(result.stdout)
    assert done["played"] == 2
    assert failed.keys() == {"file", "error"}


def test_when_no_file_can_be_done_the_code_is_2(tmp_path: Path) -> None:
    assert plycue("sync", "a.mp3", "b.mp3", "--out", tmp_path / "out").exit_code == 2


def test_a_transcript_alone_makes_a_page_without_recording(talk: Path, tmp_path: Path) -> None:
    result = plycue("sync", talk)
    assert result.exit_code == 0
    assert (tmp_path / "talk" / "page" / "index.html").is_file()
    assert "1. e4" in (tmp_path / "talk" / "talk.pgn").read_text(encoding="utf-8")


def test_edits_survive_a_second_run(talk: Path, tmp_path: Path) -> None:
    plycue("sync", talk)
    project = tmp_path / "talk" / "talk.plycue.json"
    edit = {"kind": "comment", "at": 1.0, "text": "kept"}
    project.write_text(project.read_text(encoding="utf-8").replace('"edits": []', f'"edits": [{json.dumps(edit)}]'))
    assert plycue("sync", talk).exit_code == 0
    assert json.loads(project.read_text(encoding="utf-8"))["edits"] == [edit]


def test_a_changed_transcript_is_noticed(talk: Path, tmp_path: Path) -> None:
    plycue("sync", talk)
    transcript = tmp_path / "talk" / "talk.transcript.json"
    transcript.write_text(transcript.read_text(encoding="utf-8").replace("black", "Black"), encoding="utf-8")
    result = plycue("write", tmp_path / "talk" / "talk.plycue.json")
    assert result.exit_code == 2
    assert "not the transcript" in result.stderr


def test_a_fault_of_the_program_is_one_line_and_code_3(talk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("by\nnobody")

    monkeypatch.setattr("cli.job.run", broken)
    result = plycue("sync", talk)
    assert result.exit_code == 3
    assert len(result.stderr.splitlines()) == 1
    assert "internal fault: ZeroDivisionError: by nobody (test_bad_input.py:" in result.stderr
    assert str(talk) in result.stderr
    report = Path(result.stderr.strip().rpartition(" ")[2])
    assert "ZeroDivisionError" in report.read_text(encoding="utf-8")
    report.unlink()


def test_places_of_several_files() -> None:
    talks = [Path("a/x.webm"), Path("b/y.mp3")]
    assert folders(talks, None) == [Path("a/x"), Path("b/y")]
    assert folders(talks, Path("out")) == [Path("out/x"), Path("out/y")]
    assert folders(talks[:1], Path("out")) == [Path("out")]
    with pytest.raises(InputError, match="both"):
        folders([Path("a/x.webm"), Path("b/x.mp3")], Path("out"))
