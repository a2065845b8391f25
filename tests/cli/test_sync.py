"""The main job on the bundled sample: real recognition, all files, the exact game."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import chess.pgn
import pytest
import webvtt

from cli.exits import RESUME
from sync.files.score import score_files
from tests.cli.conftest import SAMPLES, Published, plycue

TRUTH = SAMPLES / "open-centre.truth.pgn"
SAMPLE = SAMPLES / "open-centre.webm"

GAME = (
    "e4 c6 d4 d5 exd5 cxd5 Bd3 Nc6 c3 Nf6 Bf4 Bg4 Qb3 Qd7 Nd2 e6 Ngf3 Bd6 Bxd6 Qxd6 Qc2 O-O O-O Bh5 Rfe1 a6 Ne5 Nxe5 "
    "dxe5 Qb6"
)


def sans(pgn: str) -> list[str]:
    """The main line of a PGN file, as python-chess reads it."""
    with open(pgn, encoding="utf-8") as file:
        game = chess.pgn.read_game(file)
    assert game is not None
    return [node.san() for node in game.mainline()]


def test_all_files_are_there_and_no_others(published: Published) -> None:
    found = {path.relative_to(published.folder).as_posix() for path in published.folder.rglob("*") if path.is_file()}
    assert found == {
        "open-centre.chapters.txt",
        "open-centre.chapters.vtt",
        "open-centre.pgn",
        "open-centre.plycue.json",
        "open-centre.srt",
        "open-centre.transcript.json",
        "open-centre.vtt",
        "page/index.html",
        "page/open-centre.pgn",
        "page/open-centre.vtt",
        "page/open-centre.webm",
        "page/page.css",
        "page/page.js",
    }


def test_main_line_is_exact(published: Published) -> None:
    assert sans(str(published.folder / "open-centre.pgn")) == GAME.split()


def test_side_lines_and_times_are_right(published: Published) -> None:
    (score,) = score_files(published.folder / "open-centre.pgn", TRUTH)
    assert score.sideline_f1 is not None and score.sideline_f1 >= 0.9
    assert score.time_plies == 30
    assert score.time_p95 is not None and score.time_p95 <= 0.6


def test_captions_and_chapters_can_be_read(published: Published) -> None:
    captions = webvtt.read(str(published.folder / "open-centre.vtt")).captions
    assert len(captions) > 20
    assert "d takes e5" in " ".join(caption.text.replace("\n", " ") for caption in captions)
    chapters = webvtt.read(str(published.folder / "open-centre.chapters.vtt")).captions
    lines = published.text(".chapters.txt").splitlines()
    assert lines[0].startswith("0:00 ")
    assert [line.split(" ", 1)[1] for line in lines] == [chapter.text for chapter in chapters]
    assert any(line.split(" ", 1)[1].startswith("Quiz") for line in lines)


def test_the_network_was_refused_in_that_run(no_network: dict[str, str]) -> None:
    asks = "import socket; socket.create_connection(('127.0.0.1', 9))"
    process = subprocess.run([sys.executable, "-c", asks], env=no_network, capture_output=True, text=True)
    assert "the network was asked for" in process.stderr


def test_nothing_but_the_result_is_told(published: Published) -> None:
    assert published.told.startswith(f"{SAMPLE}: 30 plies played, 8 only considered, ")
    assert published.warned == ""


@pytest.mark.usefixtures("published")
def test_second_run_hears_and_follows_nothing_and_writes_the_same(
    published: Published, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also in another process: what Python's hash seeds shuffle must not show."""
    monkeypatch.setattr("sync.transcript.recogniser.Recogniser", None)
    monkeypatch.setattr("sync.revise.follow", None)
    result = plycue("sync", SAMPLE, "--out", tmp_path)
    assert result.exit_code == 0, result.output
    for path in published.folder.rglob("*"):
        if path.is_file():
            assert (tmp_path / path.relative_to(published.folder)).read_bytes() == path.read_bytes(), path.name


@pytest.mark.usefixtures("published")
def test_json_tells_what_a_script_needs(tmp_path: Path) -> None:
    result = plycue("sync", SAMPLE, "--out", tmp_path, "--json", "--single-page")
    (told,) = json.loads(result.stdout)
    assert told["file"] == str(SAMPLE)
    assert (told["played"], told["considered"], told["quizzes"]) == (30, 8, 1)
    assert all(Path(path).is_file() for path in told["files"])
    assert str(tmp_path / "open-centre.html") in told["files"]


@pytest.mark.usefixtures("published")
def test_with_another_game_nothing_is_heard_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sync.transcript.recogniser.Recogniser", None)
    pgn = tmp_path / "game.pgn"
    pgn.write_text(f"{GAME} 1/2-1/2", encoding="utf-8")
    result = plycue("sync", SAMPLE, "--game", pgn, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert sans(str(tmp_path / "out" / "open-centre.pgn")) == GAME.split()


@pytest.mark.usefixtures("published")
def test_given_game_keeps_its_moves_and_players(published: Published, tmp_path: Path) -> None:
    pgn = tmp_path / "game.pgn"
    pgn.write_text(f'[White "Martha"]\n[Black "Hugo"]\n[Result "1-0"]\n\n{GAME} 1-0\n', encoding="utf-8")
    transcript = published.folder / "open-centre.transcript.json"
    result = plycue("sync", SAMPLE, "--transcript", transcript, "--game", pgn, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    written = (tmp_path / "out" / "open-centre.pgn").read_text(encoding="utf-8")
    assert '[White "Martha"]\n[Black "Hugo"]\n[Result "1-0"]' in written
    assert sans(str(tmp_path / "out" / "open-centre.pgn")) == GAME.split()


@pytest.mark.usefixtures("published")
def test_stages_one_by_one_give_what_the_whole_gives(published: Published, tmp_path: Path) -> None:
    transcript = tmp_path / "open-centre.transcript.json"
    mentions = tmp_path / "open-centre.mentions.json"
    project = tmp_path / "open-centre.plycue.json"
    steps: list[tuple[list[str | Path], list[Path]]] = [
        (["hear", SAMPLE, "--out", transcript], [transcript]),
        (["spot", transcript], [mentions]),
        (["follow", transcript, "--recording", SAMPLE], [project, transcript]),
    ]
    for arguments, paths in steps:
        result = plycue(*arguments)
        assert result.exit_code == 0, result.output
        assert result.stdout.split() == list(map(str, paths))
    assert plycue("write", project, "--recording", SAMPLE).exit_code == 0
    for path in published.folder.rglob("*"):
        if path.is_file():
            assert (tmp_path / path.relative_to(published.folder)).read_bytes() == path.read_bytes(), path.name


def test_mentions_are_objects_with_times(published: Published, tmp_path: Path) -> None:
    mentions = tmp_path / "mentions.json"
    plycue("spot", published.folder / "open-centre.transcript.json", "--out", mentions)
    rows = json.loads(mentions.read_text(encoding="utf-8"))
    named = {(row["piece"], *row["to"]) for row in rows if row["heard"].lower().startswith("queen to b3")}
    assert named == {("queen", "b3")}
    assert [row["start"] for row in rows] == sorted(row["start"] for row in rows)


def test_page_and_diagram_of_a_project(published: Published, tmp_path: Path) -> None:
    project = published.folder / "open-centre.plycue.json"
    link = "https://videos.example/watch?id=12&t={seconds}"
    assert plycue("page", project, "--link", link, "--single-page", "--out", tmp_path).exit_code == 0
    assert "https://videos.example/watch?id=12&amp;t=" in (tmp_path / "open-centre.html").read_text(encoding="utf-8")
    picture = tmp_path / "position.svg"
    assert plycue("diagram", project, "15.dxe5", "--out", picture).exit_code == 0
    assert picture.read_text(encoding="utf-8").startswith("<svg ")
    assert plycue("diagram", project, "15.dxe5", "--out", tmp_path / "position.png").exit_code == 0
    assert (tmp_path / "position.png").read_bytes().startswith(b"\x89PNG\r\n")


def test_score_of_the_sample(published: Published) -> None:
    result = plycue("score", published.folder / "open-centre.pgn", TRUTH, "--json")
    assert json.loads(result.stdout)[0]["mainline_exact"] is True
    assert "main line: exact" in plycue("score", published.folder / "open-centre.pgn", TRUTH).stdout


def test_ctrl_c_ends_with_130_and_says_how_to_go_on(tmp_path: Path) -> None:
    """A real signal, sent while a recording is being heard."""
    if sys.platform == "win32":
        pytest.skip("no SIGINT for another process on Windows")
    waits = (
        "import sync.transcript.hearing as hearing, time\n"
        "def hear(*arguments, **options):\n"
        "    print('hearing', flush=True)\n"
        "    time.sleep(60)\n"
        "hearing.hear_parts = hear\n"
        "from cli.main import main\n"
        "main()\n"
    )
    arguments = [sys.executable, "-c", waits, "sync", str(SAMPLE), "--out", str(tmp_path / "out")]
    with subprocess.Popen(arguments, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline() == "hearing\n"
        time.sleep(0.2)
        process.send_signal(2)
        told = process.stderr.read()
    assert process.returncode == 130
    assert told == f"plycue: {RESUME}\n"
    assert not (tmp_path / "out").exists()
