"""Games that a user gives: odd, broken and hostile PGN files."""

from __future__ import annotations

from pathlib import Path

import chess.pgn
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sync.errors import InputError
from sync.files.game_input import LARGEST_FILE, read_game
from sync.files.pgn import pgn_text
from sync.lesson.lesson import Lesson
from sync.transcript.words import Transcript
from tests.lesson.lessons import LAW, lessons


def games_in(content: str | bytes, folder: Path) -> tuple[chess.pgn.Game, ...]:
    file = folder / "given.pgn"
    file.write_bytes(content if isinstance(content, bytes) else content.encode())
    return read_game(file)


def moves(game: chess.pgn.Game) -> str:
    return " ".join(node.san() for node in game.mainline())


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("1. e4 e5 2. Nf3 *", ["e4 e5 Nf3"]),
        ("e4 e5 Nf3", ["e4 e5 Nf3"]),
        ("1.e4! e5?! 2.Nf3!! $14 Nc6 ± 3.Bb5 N a6 4.Ba4 Nf6 5.O-O+- Be7 1-0", ["e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O Be7"]),
        ("1. e4 e5 2. Nf3 Nf6 3. Be2 Be7 4. 0-0 0-0 *", ["e4 e5 Nf3 Nf6 Be2 Be7 O-O O-O"]),
        ('[Event "a"]\r\n\r\n1. e4\r\n\r\ne5 *\r\n', ["e4 e5"]),
        ('[Event "a"]\r\r1. e4\re5 *\r', ["e4 e5"]),
        ("% a note\n1. e4\n%e5 hidden\nc5 ; rest { of line\nNf3 *", ["e4 c5 Nf3"]),
        ("1. e4 e5 * 1. d4 d5 *", ["e4 e5", "d4 d5"]),
        ('[Event "a"]\n\n1. e4 1-0 {after}\n\n[Event "b"]\n\n{before} 1. d4 *', ["e4", "d4"]),
        ('[Event "a"] [Site "b"]\n\n1. e4\n[Event "c"]\n1. d4', ["e4", "d4"]),
        ("1. e4 e5 (1... c5 2. Nf3 (2. c3)) (1... e6) 2. d4 *", ["e4 e5 d4"]),
    ],
)
def test_reads_what_people_write(content: str, expected: list[str], tmp_path: Path) -> None:
    assert [moves(game) for game in games_in(content, tmp_path)] == expected


@pytest.mark.parametrize(
    ("content", "value"),
    [
        ('[White "Zoë"]\n\n1. e4 *'.encode(), "Zoë"),
        (b"\xef\xbb\xbf" + '[White "Zoë"]\n\n1. e4 *'.encode(), "Zoë"),
        ('[White "Zoë"]\n\n1. e4 *'.encode("latin-1"), "Zoë"),
        (rb'[White "Ann \"Rook\" \\ K"]' + b"\n\n1. e4 *", 'Ann "Rook" \\ K'),
        (b'[White "Ann "Rook" K"]\n\n1. e4 *', 'Ann "Rook" K'),
        (b'[ White"Ann" ]\n\n1. e4 *', "Ann"),
    ],
)
def test_encodings_and_escapes_of_tags(content: bytes, value: str, tmp_path: Path) -> None:
    (game,) = games_in(content, tmp_path)
    assert game.headers["White"] == value


def test_comments_among_the_tags_open_the_game(tmp_path: Path) -> None:
    (game,) = games_in('{one}\n[White "Ann"]\n{two}\n1. e4 {three} *', tmp_path)
    assert (game.headers["White"], game.comment) == ("Ann", "one two")
    assert game.variations[0].comment == "three"


def test_a_null_move_ends_its_side_line(tmp_path: Path) -> None:
    (game,) = games_in("1. e4 e5 (1... c5 2. -- Nc6) (1... -- 2. d4) 2. Nf3 *", tmp_path)
    assert str(game.mainline_moves()) == "1. e4 e5 2. Nf3"
    assert [node.san() for node in game.variations[0].variations] == ["e5", "c5"]
    assert not game.variations[0].variations[1].variations


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("1. e4 e5 2. Ke3 *", "game 1: ply 3 (2. Ke3) is illegal"),
        ("1. e4 * 1. d4 d6 2. Nf3 e4 *", "game 2: ply 4 (2... e4) is illegal"),
        ("1. e4 e5 (1... c5 2. Nf3 d6 3. Bb6) 2. Nf3 *", "game 1: ply 5 (3. Bb6) is illegal"),
        ("1. Nf3 d5 2. d4 e6 3. Nd2 *", "game 1: ply 5 (3. Nd2) can be played by more than one piece"),
        ('[FEN "4k3/8/8/8/8/8/8/R3K2R b KQ - 0 31"]\n\n31... Ke7 32. Ke3 *', "game 1: ply 2 (32. Ke3) is illegal"),
        ("1. e4 e5\n2. Sf3 *", "line 2: 'Sf3' is no move"),
        ("1. e4 e5 2. Nf9 *", "line 1: 'Nf9' is no move"),
        ("1. e4 -- 2. d4 *", "game 1: ply 2 (1... --) is a null move"),
        ("hello world", "line 1: 'hello' is no move"),
        ("", "no game in it"),
        ("\ufeff \n", "no game in it"),
        ('[Event "x"]\n\n*', "game 1 has no moves"),
        ("{only talk}", "no game in it"),
        ("\n\n1. e4 {and so on", "line 3: a comment begins here and never ends"),
        ("1. e4 ) e5", "line 1: ')' without '('"),
        ("( 1. e4 )", "line 1: a side line stands before any move"),
        ("1. e4 e5 ((1... c5))", "line 1: a side line stands before any move"),
        ("1. e4 (1. d4 d5", "1 side lines are not closed"),
        ('1. e4 (1. d4 \n[Event "x"]', "line 2: the game ends inside a side line"),
        ("[Event x]\n\n1. e4 *", "line 1: '[Event x]' is no tag"),
        ('[Variant "Chess960"]\n\n1. e4 *', "game 1 is 'Chess960'; only standard chess"),
        ('[Variant "Atomic"]\n\n1. e4 *', "game 1 is 'Atomic'; only standard chess"),
        ('[FEN "8/8"]\n\n1. e4 *', "game 1: FEN '8/8' is no position"),
        ('[FEN "8/8/8/8/8/8/8/8 w - - 0 1"]\n\n1. e4 *', "is no position of a chess game"),
        (bytes(range(256)), "not a text file"),
        ("1. e4 e5 " + "2. Nf3 Nc6 (2. Nc3 Nc6 " * 500 + ")" * 500, "line 1: side lines nested deeper than 50"),
        ("1. e4 " * 9_000_000, "larger than 4 MB"),
        ("1. e4 " + "{a}" * 1_300_000, "line 1: more than 50 comments in a row"),
        ("{a} Nf3 {b} Nf6 {b} Ng1 {c} Ng8 " * 16_000, "more than 50000 moves and numbers"),
        ("1. e4 *\n" * 101, "more than 100 games"),
        ("1. e4 " + "{" * 3_900_000, "line 1: a comment begins here and never ends"),
        ('[a "' * 900_000, 'line 1: \'[a "[a "[a "[a "[a "\' is no tag'),
        ("1. e4 " + "1" * 3_900_000 + "x", "line 1: '11111111111111111111' is no move"),
    ],
    ids=lambda value: str(value)[:40],
)
def test_says_what_is_wrong_and_where(content: str | bytes, message: str, tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        games_in(content, tmp_path)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)
    assert "given.pgn" in str(caught.value)


@pytest.mark.parametrize("name", ["missing.pgn", "."])
def test_a_file_that_cannot_be_read(name: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot read"):
        read_game(tmp_path / name)


def test_a_long_comment_is_no_error(tmp_path: Path) -> None:
    (game,) = games_in("1. e4 {" + "talk\n" * 700_000 + "} e5 *", tmp_path)
    assert moves(game) == "e4 e5"


@LAW
@given(st.binary(max_size=300) | st.text(st.sampled_from('1. e4*()[]{};%"\\\nNfO-$'), max_size=300).map(str.encode))
def test_any_bytes_give_games_or_an_input_error(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    try:
        games = games_in(data, tmp_path_factory.getbasetemp())
    except InputError as error:
        assert "\n" not in str(error)
    else:
        assert all(game.variations and not game.errors for game in games)


@LAW
@given(lessons())
def test_reads_what_this_package_writes(
    tmp_path_factory: pytest.TempPathFactory, drawn: tuple[Lesson, Transcript]
) -> None:
    lesson, transcript = drawn
    with_moves = Lesson(lesson.title, lesson.media, tuple(game for game in lesson.games if game.plies))
    text = pgn_text(with_moves, transcript)
    if not with_moves.games:
        assert text == ""
        return
    assert len(text.encode()) < LARGEST_FILE
    for game, read in zip(with_moves.games, games_in(text, tmp_path_factory.getbasetemp()), strict=True):
        assert sum(1 for _ in _nodes(read)) == len(game.plies)


def _nodes(game: chess.pgn.Game) -> list[chess.pgn.ChildNode]:
    nodes: list[chess.pgn.ChildNode] = list(game.variations)
    for node in nodes:
        nodes.extend(node.variations)
    return nodes
