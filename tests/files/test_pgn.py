"""The PGN that is written, against two independent readers and against the standard.

"Standard" here: Steven J. Edwards, "Standard: Portable Game Notation Specification and Implementation Guide", 1994.
"""

from __future__ import annotations

import io
import re
import unicodedata
from dataclasses import replace
from typing import Any

import chess
import chess.pgn
import pytest
from hypothesis import given
from pgn_read.core.game_strict_pgn import GameStrictPGN  # type: ignore[import-untyped]
from pgn_read.core.parser import PGN  # type: ignore[import-untyped]

from sync.files.pgn import ONLY_CONSIDERED, cue, main_line, pgn_text
from sync.lesson.lesson import Game, Lesson, Moment, Ply
from sync.transcript.words import Transcript
from tests.lesson.lessons import LAW, lessons, told

CUE = re.compile(r"\[%cue\s+(\d+):(\d+):(\d+(?:\.\d+)?)\s+(\d+):(\d+):(\d+(?:\.\d+)?)\]")

Tree = list[tuple[str, set[int], list[tuple[float, float]], "Tree"]]


def written(talk: str, **changes: Any) -> str:
    lesson, transcript = told(talk)
    return pgn_text(replace(lesson, games=(replace(lesson.games[0], **changes),)), transcript)


def read_back(text: str) -> list[chess.pgn.Game]:
    handle = io.StringIO(text)
    return list(iter(lambda: chess.pgn.read_game(handle), None))


def movetext(text: str) -> str:
    """The movetext of the first game in one line, without comments."""
    return " ".join(re.sub(r"\{[^}]*\}", "", text.split("\n\n")[1]).split())


def cues(comment: str) -> list[tuple[float, float]]:
    times = [[float(part) for part in found.groups()] for found in CUE.finditer(comment)]
    return [(round(h * 3600 + m * 60 + s, 3), round(h2 * 3600 + m2 * 60 + s2, 3)) for h, m, s, h2, m2, s2 in times]


def tree_of_lesson(game: Game, parent: int | None = None) -> Tree:
    return [
        (
            ply.uci,
            set(ply.nags),
            [(round(moment.start, 3), round(moment.end, 3)) for moment in ply.moments],
            tree_of_lesson(game, ply.id),
        )
        for ply in game.plies
        if ply.parent == parent
    ]


def tree_of_pgn(node: chess.pgn.GameNode) -> Tree:
    return [(child.move.uci(), child.nags, cues(child.comment), tree_of_pgn(child)) for child in node.variations]


def squeezed(text: str) -> str:
    """Without spaces, line ends and what separates or leads the parts of a comment."""
    return "".join(CUE.sub("", text).replace(ONLY_CONSIDERED, "").split())


def as_comment(text: str) -> str:
    """What the comment rules make of a text (docs/formats.md), without spaces."""
    kept = "".join(" " if unicodedata.category(char) in ("Cc", "Cs", "Zl", "Zp") else char for char in text)
    kept = kept.replace("{", "(").replace("}", ")").replace("[%", "(%")
    return "".join(re.sub(r"(?<!\S)%+", "percent ", kept).split())


class TestReadBack:
    @LAW
    @given(lessons())
    def test_python_chess_reads_the_same_trees(self, drawn: tuple[Lesson, Transcript]) -> None:
        lesson, transcript = drawn
        games = read_back(pgn_text(lesson, transcript))
        assert [tree_of_pgn(game) for game in games] == [tree_of_lesson(game) for game in lesson.games]
        assert not any(game.errors for game in games)

    @LAW
    @given(lessons())
    def test_python_chess_reads_the_editors_comments(self, drawn: tuple[Lesson, Transcript]) -> None:
        lesson, transcript = drawn
        for game, read in zip(lesson.games, read_back(pgn_text(lesson, transcript)), strict=True):
            nodes = dict(zip(paths_of_lesson(game), game.plies, strict=True))
            for path, comment in comments_of_pgn(read).items():
                ply = nodes[path]
                if ply.comment is not None and all(len(word) <= 70 for word in ply.comment.split()):
                    assert squeezed(comment) == as_comment(ply.comment)

    @LAW
    @given(lessons())
    def test_an_independent_reader_finds_the_same_tokens_and_no_error(self, drawn: tuple[Lesson, Transcript]) -> None:
        """pgn-read (PyPI) checks legality by itself; its strict reader also wants export format SAN."""
        lesson, transcript = drawn
        text = pgn_text(lesson, transcript)
        read = [game for game in PGN(game_class=GameStrictPGN).read_games(text) if game.pgn_text]
        assert [game.state for game in read] == [None] * len(lesson.games)
        for game, expected in zip(read, read_back(text), strict=True):
            found = [token for token in game.pgn_text if token[0] not in "[{" and token[0] != "$"]
            assert [token.rstrip("+#") for token in found] == [*line_tokens(expected), expected.headers["Result"]]

    @LAW
    @given(lessons())
    def test_same_lesson_same_text(self, drawn: tuple[Lesson, Transcript]) -> None:
        assert pgn_text(*drawn) == pgn_text(*drawn)


def paths_of_lesson(game: Game) -> list[tuple[str, ...]]:
    paths: dict[int | None, tuple[str, ...]] = {None: ()}
    for ply in game.plies:
        paths[ply.id] = (*paths[ply.parent], ply.uci)
    return [paths[ply.id] for ply in game.plies]


def comments_of_pgn(game: chess.pgn.Game) -> dict[tuple[str, ...], str]:
    comments, waiting = {}, list(game.variations)
    while waiting:
        node = waiting.pop()
        comments[tuple(move.uci() for move in node.board().move_stack)] = node.comment
        waiting.extend(node.variations)
    return comments


def line_tokens(node: chess.pgn.GameNode) -> list[str]:
    """SAN without check signs, and the parentheses of the side lines, in the order of the movetext."""
    tokens: list[str] = []
    while node.variations:
        main, *others = node.variations
        tokens.append(main.san().rstrip("+#"))
        for other in others:
            tokens += ["(", other.san().rstrip("+#"), *line_tokens(other), ")"]
        node = main
    return tokens


class TestStandard:
    @LAW
    @given(lessons())
    def test_8_2_1_lines_have_less_than_80_printing_characters_and_no_space_at_their_ends(
        self, drawn: tuple[Lesson, Transcript]
    ) -> None:
        text = pgn_text(*drawn)
        for line in text.split("\n"):
            assert line == line.strip(" ")
            assert len(line) <= 79 or line.startswith("[")

    @LAW
    @given(lessons())
    def test_4_3_and_7_no_line_longer_than_an_import_reader_must_take(self, drawn: tuple[Lesson, Transcript]) -> None:
        for line in pgn_text(*drawn).split("\n"):
            assert len(line) <= 255 + len('[RecordingSHA256 ""]')

    @LAW
    @given(lessons())
    def test_4_1_no_control_characters(self, drawn: tuple[Lesson, Transcript]) -> None:
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", pgn_text(*drawn))

    @LAW
    @given(lessons())
    def test_6_no_line_is_hidden_by_a_percent_sign(self, drawn: tuple[Lesson, Transcript]) -> None:
        assert not re.search(r"^%", pgn_text(*drawn), re.MULTILINE)

    @LAW
    @given(lessons())
    def test_5_a_brace_comment_holds_no_braces(self, drawn: tuple[Lesson, Transcript]) -> None:
        for game in re.split(r"\n\n(?=\[Event )", pgn_text(*drawn)):
            without = re.sub(r"\{[^{}]*\}", "", game.partition("\n\n")[2])
            assert "{" not in without and "}" not in without

    def test_8_1_1_seven_tag_roster_stands_first_in_order(self) -> None:
        text = written("{e4|e4}", tags={"White": "Marlis", "Result": "1-0", "Round": "3"})
        assert text.split("\n")[:7] == [
            '[Event "A club evening"]',
            '[Site "?"]',
            '[Date "????.??.??"]',
            '[Round "3"]',
            '[White "Marlis"]',
            '[Black "?"]',
            '[Result "1-0"]',
        ]

    def test_8_1_1_other_tags_follow_in_ascii_order(self) -> None:
        text = written("{e4|e4}", tags={"annotator": "B", "WhiteElo": "1700", "ECO": "C50", "Opening": "x"})
        names = re.findall(r"^\[(\w+)", text, re.MULTILINE)[7:]
        assert names == ["ECO", "Opening", "Recording", "RecordingSHA256", "WhiteElo", "annotator"]

    def test_8_1_1_tag_names_have_letters_digits_and_underscores_only(self) -> None:
        assert "Bad" not in written("{e4|e4}", tags={"Bad name": "x", 'Bad"]': "y"})

    def test_7_backslash_and_quote_are_escaped_in_tag_values(self) -> None:
        text = written("{e4|e4}", tags={"White": 'Ann "Rook" \\ K'})
        assert '[White "Ann \\"Rook\\" \\\\ K"]' in text
        (game,) = PGN(game_class=GameStrictPGN).read_games(text)
        assert game.state is None

    @pytest.mark.parametrize("letter", ["x", "\\", '"', "\\x", 'x"'])
    def test_7_a_tag_value_has_255_characters_at_most_and_no_halved_escape(self, letter: str) -> None:
        value = written("{e4|e4}", tags={"White": letter * 400}).split("\n")[4][len('[White "') : -2]
        assert 254 <= len(value) <= 255
        assert re.fullmatch(r'(?:\\[\\"]|[^\\"])*', value)

    def test_8_2_2_2_black_move_numbers_only_after_a_comment_or_a_side_line(self) -> None:
        lesson, transcript = told("{e4|e4} {e5|e5} {Nf3|x} [{^Nc3|x}] {Nc6|x} {Bb5|x}")
        silent = tuple(replace(ply, comment="", moments=()) for ply in lesson.games[0].plies)
        talk = replace(silent[0], comment="King's pawn.")
        text = pgn_text(Lesson("", None, (replace(lesson.games[0], plies=(talk, *silent[1:])),)), transcript)
        assert movetext(text) == "1. e4 1... e5 2. Nf3 (2. Nc3) 2... Nc6 3. Bb5 *"

    def test_8_2_3_san_is_written_anew_with_check_and_mate_signs(self) -> None:
        lesson, _ = told("{f3|x} {e5|x} {g4|x} {Qh4#|x}")
        unmarked = tuple(replace(ply, san=ply.san.rstrip("#"), moments=(), comment="") for ply in lesson.games[0].plies)
        text = pgn_text(Lesson("", None, (replace(lesson.games[0], plies=unmarked),)), Transcript((), 0.0, ""))
        assert movetext(text) == "1. f3 e5 2. g4 Qh4# 0-1"

    def test_8_2_4_nags_stand_after_the_move(self) -> None:
        lesson, transcript = told("{e4|x}")
        (ply,) = lesson.games[0].plies
        text = pgn_text(
            replace(lesson, games=(replace(lesson.games[0], plies=(replace(ply, nags=(1, 14)),)),)), transcript
        )
        assert movetext(text) == "1. e4 $1 $14 *"

    def test_8_2_5_side_lines_stand_after_the_move_they_replace_and_nest(self) -> None:
        text = written("{e4|x} {e5|x} [{^c5|x} {Nf3|x} [{^c3|x}] {d6|x}] [{^e6|x}] {Nf3|x}")
        assert movetext(text) == "1. e4 1... e5 (1... c5 2. Nf3 (2. c3 ) 2... d6 ) (1... e6 ) 2. Nf3 *"

    @pytest.mark.parametrize(
        ("told_result", "moves", "expected"),
        [
            ("1/2-1/2", "{e4|x}", "1/2-1/2"),
            ("*", "{e4|x}", "*"),
            ("white won", "{e4|x}", "*"),
            ("*", "{f3|x} {e5|x} {g4|x} {Qh4#|x}", "0-1"),
            ("*", "{f3|x} {e5|x} {g4|x} {d6|x} [{^Qh4#|x}]", "*"),
        ],
    )
    def test_8_2_6_result_tag_and_termination_marker_are_the_same(
        self, told_result: str, moves: str, expected: str
    ) -> None:
        text = written(moves, tags={"Result": told_result})
        assert f'[Result "{expected}"]' in text
        assert text.endswith(f"{expected}\n")

    @pytest.mark.parametrize("words", range(1, 14))
    def test_7_a_token_is_contiguous_and_no_word_is_parted(self, words: int) -> None:
        """Wherever the line ends come to stand: castling is one token (8.2.3.3), and hyphens part no word."""
        fen = "r3k2r/pppq1ppp/2npbn2/2b1p3/2B1P3/2NPBN2/PPPQ1PPP/R3K2R b KQkq - 4 8"
        lesson, _ = told("{O-O-O|castles} {O-O|castles} {Rdg8|x}", fen=fen)
        comment = " ".join(["a so-called well-known-way"] * words)
        plies = tuple(replace(ply, comment=comment, moments=()) for ply in lesson.games[0].plies)
        text = pgn_text(Lesson("", None, (replace(lesson.games[0], plies=plies),)), Transcript((), 0.0, ""))
        told_about = f"{{{comment}}}"
        assert text.split("\n\n")[1].split() == (
            f"8... O-O-O {told_about} 9. O-O {told_about} 9... Rdg8 {told_about} *".split()
        )

    def test_9_7_a_set_up_position_has_both_tags_and_its_own_move_numbers(self) -> None:
        fen = "r3k2r/pppq1ppp/2npbn2/2b1p3/2B1P3/2NPBN2/PPPQ1PPP/R3K2R b KQkq - 4 8"
        lesson, transcript = told("{O-O-O|castles} {O-O|castles}", fen=fen)
        text = pgn_text(lesson, transcript)
        assert '[SetUp "1"]' in text and f'[FEN "{fen}"]' in text
        assert movetext(text) == "8... O-O-O 9. O-O *"

    def test_9_7_the_usual_start_has_neither_tag(self) -> None:
        assert "FEN" not in written("{e4|e4}", tags={"FEN": "8/8/8/8/8/8/8/8 w - - 0 1", "SetUp": "1"})

    def test_4_games_are_apart_by_one_empty_line(self) -> None:
        lesson, transcript = told("{e4|e4}")
        text = pgn_text(replace(lesson, games=lesson.games * 2), transcript)
        assert text.count("*\n\n[Event") == 1
        assert text.endswith("*\n")


class TestComments:
    def test_time_stands_first_then_the_talk_with_the_move_put_right(self) -> None:
        text = written("So, {e4|Upon, E4=pawn e4}, good. {e5|e5}")
        first, second = read_back(text)[0].mainline()
        assert " ".join(first.comment.split()) == "[%cue 0:00:00.400 0:00:01.560] pawn, e4, good."
        assert second.comment == "[%cue 0:00:01.600 0:00:01.960] e5"

    def test_talk_before_the_first_move_opens_the_game(self) -> None:
        (game,) = read_back(written("Hello. Welcome back. {e4|Pawn e4}."))
        assert game.comment == "[%cue 0:00:00.000 0:00:01.200] Hello. Welcome back."

    def test_the_game_s_talk_opens_until_the_first_words_that_name_any_move(self) -> None:
        """Here those of a side line, told before the move that was played."""
        (game,) = read_back(written("Hello there. [{e4|pawn e4} {e5|e5}] But {d4|d4} was played."))
        assert game.comment == "[%cue 0:00:00.000 0:00:00.800] Hello there."

    def test_two_moves_that_share_their_words_have_each_its_own(self) -> None:
        """Of the words that both are named by, each comment has what is said of its own move."""
        lesson, transcript = told("{e4|Open game=pawn e4} it is. {e5|x}")
        first, second = lesson.games[0].plies
        shared = replace(first.moments[0], spoken="e5")
        plies = (first, replace(second, moments=(shared,)))
        (game,) = read_back(pgn_text(replace(lesson, games=(replace(lesson.games[0], plies=plies),)), transcript))
        texts = [" ".join(CUE.sub("", node.comment).split()) for node in game.mainline()]
        assert texts == ["Pawn e4 it is.", "e5 it is."]

    @pytest.mark.parametrize("change", [{"named_end": 0}, {"spoken": " "}])
    def test_where_no_words_name_the_move_its_talk_is_told_as_it_was_heard(self, change: dict[str, Any]) -> None:
        lesson, transcript = told("{e4|Hear this} and that.")
        (ply,) = lesson.games[0].plies
        ply = replace(ply, moments=(replace(ply.moments[0], **change),))
        (game,) = read_back(pgn_text(replace(lesson, games=(replace(lesson.games[0], plies=(ply,)),)), transcript))
        assert CUE.sub("", game.variations[0].comment).split() == ["Hear", "this", "and", "that."]

    def test_each_moment_of_a_move_has_its_own_command_at_the_head(self) -> None:
        lesson, transcript = told("{e4|Pawn e4}. Well. {e5|e5}")
        first, second = lesson.games[0].plies
        again = Moment(1.2, 2.0, 3, 4, 4, "e5", "e4")
        plies = (replace(first, moments=(*first.moments, again)), second)
        (game,) = read_back(pgn_text(replace(lesson, games=(replace(lesson.games[0], plies=plies),)), transcript))
        assert game.variations[0].comment.replace("\n", " ") == (
            "[%cue 0:00:00.000 0:00:01.160] [%cue 0:00:01.200 0:00:02.000] Pawn e4. Well. ... e4"
        )

    def test_an_editors_comment_takes_the_place_of_the_talk(self) -> None:
        lesson, transcript = told("{e4|Pawn e4}")
        ply = replace(lesson.games[0].plies[0], comment="Best {by test} [%cue 0:00:00 0:00:01]")
        (game,) = read_back(pgn_text(replace(lesson, games=(replace(lesson.games[0], plies=(ply,)),)), transcript))
        comment = game.variations[0].comment.replace("\n", " ")
        assert comment == "[%cue 0:00:00.000 0:00:00.760] Best (by test) (%cue 0:00:00 0:00:01]"

    def test_an_inferred_move_has_no_comment(self) -> None:
        lesson, transcript = told("{e4|e4}")
        ply = Ply(0, None, "e2e4", "e4", played=True, inferred=True)
        (game,) = read_back(pgn_text(replace(lesson, games=(replace(lesson.games[0], plies=(ply,)),)), transcript))
        assert game.variations[0].comment == ""

    def test_side_lines_after_the_last_played_move_continue_the_main_line(self) -> None:
        text = written("{e4|e4} {e5|e5} [{Nf3|knight f3} {Nc6|knight c6}] [{d4|d4}]")
        (game,) = read_back(text)
        assert movetext(text) == "1. e4 1... e5 2. Nf3 (2. d4 ) 2... Nc6 *"
        considered = [node.san() for node in game.mainline() if ONLY_CONSIDERED in node.comment]
        assert considered == ["Nf3"]
        (comment,) = (node.comment for node in game.mainline() if node.san() == "Nf3")
        assert re.fullmatch(r"\[%cue [^]]*\]\sOnly considered: knight\sf3", comment)

    def test_main_line_is_what_was_played_then_the_first_side_line_after_it(self) -> None:
        lesson, _ = told("{e4|x} [{c5|x}] {e5|x} [{Nf3|x} {Nc6|x}] [{d4|x}]")
        assert [(ply.san, ply.played) for ply in main_line(lesson.games[0])] == [
            ("e4", True),
            ("e5", True),
            ("Nf3", False),
            ("Nc6", False),
        ]

    def test_a_lesson_without_games_is_an_empty_text(self) -> None:
        assert pgn_text(Lesson("Talk", None, ()), Transcript((), 0.0, "")) == ""

    def test_times_past_an_hour(self) -> None:
        assert cue(3_599.9996, 36_061.5) == "[%cue 1:00:00.000 10:01:01.500]"
