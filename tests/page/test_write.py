"""The files of the page."""

from __future__ import annotations

import json
import os
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import chess
import chess.pgn
import pytest

from sync.errors import InputError
from sync.files.page import single_page, write_page
from sync.files.page.data import changes
from sync.files.page.speech import NAGS, move_words
from sync.files.page.write import EMBEDDED_BYTES
from sync.lesson.lesson import Lesson
from sync.transcript.words import Transcript
from tests.page.lessons import CAPTIONS, PGN, long_lesson, small_lesson


def write(folder: Path, **options: object) -> Path:
    return write_page(*small_lesson(), folder, pgn=PGN, captions=CAPTIONS, **options)  # type: ignore[arg-type]


def data_of(html: str) -> dict[str, Any]:
    found = re.search(r'<script type="application/json" id="lesson">(.*?)</script>', html, re.DOTALL)
    assert found is not None
    return dict(json.loads(found[1]))


def test_the_folder_holds_the_page_and_its_files(tmp_path: Path) -> None:
    page = write(tmp_path / "new" / "folder", name="evening")
    names = sorted(file.name for file in page.parent.iterdir())
    assert names == ["evening.pgn", "evening.vtt", "index.html", "page.css", "page.js"]
    assert (page.parent / "evening.pgn").read_text(encoding="utf-8") == PGN
    assert (page.parent / "evening.vtt").read_text(encoding="utf-8") == CAPTIONS
    assert 'href="evening.pgn" download="evening.pgn"' in page.read_text(encoding="utf-8")


def test_same_lesson_same_bytes(tmp_path: Path) -> None:
    first, second = (write(tmp_path / name).parent for name in "ab")
    for file in first.iterdir():
        assert file.read_bytes() == (second / file.name).read_bytes()
    again = [single_page(*small_lesson(), pgn=PGN, captions=CAPTIONS) for _ in range(2)]
    assert again[0] == again[1]


def test_the_recording_is_put_beside_the_page(tmp_path: Path) -> None:
    recording = tmp_path / "my evening #1.mp4"
    recording.write_bytes(b"a recording")
    page = write(tmp_path / "page", media_file=recording)
    placed = page.parent / recording.name
    assert placed.read_bytes() == b"a recording"
    assert placed.samefile(recording)
    assert 'src="my%20evening%20%231.mp4"' in page.read_text(encoding="utf-8")
    assert [each.name for each in page.parent.iterdir() if each.name.startswith(".")] == []


def test_where_no_links_can_be_made_it_is_copied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise OSError("no links here")

    monkeypatch.setattr(os, "link", refuse)
    recording = tmp_path / "evening.wav"
    recording.write_bytes(b"a recording")
    page = write(tmp_path / "page", media_file=recording)
    placed = page.parent / "evening.wav"
    assert placed.read_bytes() == b"a recording"
    assert not placed.samefile(recording)


def test_a_recording_in_the_folder_stays_where_it_is(tmp_path: Path) -> None:
    recording = tmp_path / "media" / "evening.wav"
    recording.parent.mkdir()
    recording.write_bytes(b"a recording")
    page = write(tmp_path, media_file=recording)
    assert '<audio id="media"' in page.read_text(encoding="utf-8")
    assert 'src="media/evening.wav"' in page.read_text(encoding="utf-8")
    assert not (tmp_path / "evening.wav").exists()


def test_a_small_recording_is_part_of_the_single_page(tmp_path: Path) -> None:
    small, large = tmp_path / "small.mp3", tmp_path / "large.mp3"
    small.write_bytes(b"sound")
    with large.open("wb") as file:
        file.truncate(EMBEDDED_BYTES + 1)
    pages = [single_page(*small_lesson(), pgn=PGN, captions=CAPTIONS, media_file=file) for file in (small, large)]
    assert 'src="data:audio/mpeg;base64,c291bmQ="' in pages[0]
    assert 'src="large.mp3"' in pages[1]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"media_link": "https://host.example/video"}, "{seconds}"),
        ({"media_link": "javascript:alert({seconds})"}, "https://"),
        ({"media_link": "https://host.example/{seconds} x"}, "no link"),
        ({"media_file": Path("/no/such/recording.mp4")}, "no recording at"),
        ({"media_file": Path(__file__), "media_link": "https://host.example/{seconds}"}, "not both"),
        ({"name": "../evil"}, "cannot name"),
        ({"name": ""}, "cannot name"),
    ],
)
def test_bad_input_is_told_in_one_line(tmp_path: Path, options: dict[str, object], says: str) -> None:
    with pytest.raises(InputError) as raised:
        write(tmp_path / "page", **options)
    assert says in str(raised.value)
    assert "\n" not in str(raised.value)
    assert not (tmp_path / "page").exists()


def test_a_file_in_the_folders_place_is_told(tmp_path: Path) -> None:
    (tmp_path / "page").write_text("here already")
    with pytest.raises(InputError, match="cannot make the folder"):
        write(tmp_path / "page")
    assert (tmp_path / "page").read_text() == "here already"


def test_a_lesson_with_nothing_in_it(tmp_path: Path) -> None:
    page = write_page(Lesson("", None, ()), Transcript((), 0.0, "notes.txt"), tmp_path, pgn="", captions="WEBVTT\n")
    assert "A chess lesson" in page.read_text(encoding="utf-8")


def test_times_off_coarse_marks_are_told(tmp_path: Path) -> None:
    lesson, transcript = small_lesson()
    coarse = replace(transcript, words=tuple(replace(word, spread=10.0) for word in transcript.words))
    page = write_page(lesson, coarse, tmp_path, pgn=PGN, captions=CAPTIONS)
    assert "Times may be off by up to 10 seconds." in page.read_text(encoding="utf-8")


def test_a_lesson_of_two_hours_weighs_less_than_a_megabyte(tmp_path: Path) -> None:
    lesson, transcript = long_lesson()
    assert sum(len(ply.moments) for game in lesson.games for ply in game.plies) == 2000
    assert len(transcript.words) == 18_000
    page = write_page(lesson, transcript, tmp_path, pgn="", captions="WEBVTT\n")
    assert sum(file.stat().st_size for file in page.parent.iterdir()) < 1_000_000


@pytest.mark.parametrize(
    ("fen", "uci"),
    [
        (chess.STARTING_FEN, "e2e4"),
        ("r3k2r/8/8/8/8/8/8/R3K2R w KQkq - 0 1", "e1g1"),
        ("r3k2r/8/8/8/8/8/8/R3K2R b KQkq - 0 1", "e8c8"),
        ("4k3/8/8/3pP3/8/8/8/4K3 w - d6 0 1", "e5d6"),
        ("3rk3/4P3/8/8/8/8/8/4K3 w - - 0 1", "e7d8q"),
    ],
)
def test_changes_turn_one_position_into_the_next(fen: str, uci: str) -> None:
    board, move = chess.Board(fen), chess.Move.from_uci(uci)
    text = changes(board, move)
    assert (text[:2], text[3:5]) == (uci[:2], uci[2:4])
    expected = board.copy()
    expected.push(move)
    pieces = board.piece_map()
    for at in range(0, len(text), 3):
        square, piece = chess.parse_square(text[at : at + 2]), text[at + 2]
        pieces.pop(square, None)
        if piece != "-":
            pieces[square] = chess.Piece.from_symbol(piece)
    assert pieces == expected.piece_map()


def test_quiz_moves_are_the_legal_moves(tmp_path: Path) -> None:
    data = data_of(write(tmp_path).read_text(encoding="utf-8"))
    board = chess.Board()
    for uci in ("e2e4", "e7e5"):
        board.push_uci(uci)
    (quiz,) = data["quizzes"]
    legal = {(each.uci(), board.san(each)) for each in board.legal_moves}
    assert {(uci, san) for uci, san, _ in quiz["legal"]} == legal
    assert [uci for uci, _ in quiz["answers"]] == ["g1f3", "f2f4"]


@pytest.mark.parametrize(
    ("san", "words"),
    [
        # FIDE Laws of Chess, Appendix C: the forms of the algebraic notation.
        ("e4", "pawn e4"),
        ("Nf3", "knight f3"),
        ("exd5", "e pawn takes d5"),
        ("Rgf1", "rook g f1"),
        ("R5xb3", "rook 5 takes b3"),
        ("Qh4e1", "queen h4 e1"),
        ("O-O", "castles kingside"),
        ("O-O-O+", "castles queenside, check"),
        ("d8=Q", "pawn d8, promotes to queen"),
        ("exf8=N#", "e pawn takes f8, promotes to knight, checkmate"),
    ],
)
def test_moves_in_words(san: str, words: str) -> None:
    assert move_words(san) == words


def test_signs_stand_for_the_glyphs_that_python_chess_knows() -> None:
    known = {
        "!": chess.pgn.NAG_GOOD_MOVE,
        "?": chess.pgn.NAG_MISTAKE,
        "!!": chess.pgn.NAG_BRILLIANT_MOVE,
        "??": chess.pgn.NAG_BLUNDER,
        "!?": chess.pgn.NAG_SPECULATIVE_MOVE,
        "?!": chess.pgn.NAG_DUBIOUS_MOVE,
        "□": chess.pgn.NAG_FORCED_MOVE,
        "=": chess.pgn.NAG_DRAWISH_POSITION,
        "∞": chess.pgn.NAG_UNCLEAR_POSITION,
        "⩲": chess.pgn.NAG_WHITE_SLIGHT_ADVANTAGE,
        "−+": chess.pgn.NAG_BLACK_DECISIVE_ADVANTAGE,
    }
    assert {sign: number for number, (sign, _) in NAGS.items() if sign in known} == known
