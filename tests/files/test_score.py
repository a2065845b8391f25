"""Scores, against numbers counted by hand and against general-purpose libraries."""

from __future__ import annotations

import io
import json
from itertools import product
from pathlib import Path

import chess.pgn
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import LCSseq

from sync.errors import InputError
from sync.files.score import Score, common_subsequence, cue_seconds, score, score_files, score_json, score_table

TRUTH = """
1. e4 {[%cue 0:00:01.000]} e5 {[%cue 0:00:02.000]} (1... c5 {[%cue 0:00:10.000]} 2. Nf3) (1... e6)
2. Nf3 {[%cue 0:00:03.000]} Nc6 3. Bb5 {[%cue 0:00:05.000]} *
"""


def game(text: str) -> chess.pgn.Game:
    read = chess.pgn.read_game(io.StringIO(text))
    assert read is not None and not read.errors
    return read


def scored(produced: str, truth: str = TRUTH) -> Score:
    return score(game(produced), game(truth))


def test_the_truth_against_itself() -> None:
    assert scored(TRUTH) == Score(
        mainline_total=5,
        mainline_exact=True,
        mainline_correct_prefix=5,
        mainline_correct=5,
        sideline_total=3,
        sideline_produced=3,
        sideline_correct=3,
        sideline_precision=1.0,
        sideline_recall=1.0,
        sideline_f1=1.0,
        time_plies=4,
        time_without_cue=0,
        time_median=0.0,
        time_p95=0.0,
        time_within_1s=1.0,
    )


def test_nothing_produced() -> None:
    made = scored("*")
    assert (made.mainline_exact, made.mainline_correct_prefix, made.mainline_correct) == (False, 0, 0)
    assert (made.sideline_precision, made.sideline_recall, made.sideline_f1) == (0.0, 0.0, 0.0)
    assert (made.time_plies, made.time_median, made.time_p95, made.time_within_1s) == (0, None, None, None)


def test_a_wrong_move_in_the_main_line() -> None:
    made = scored("1. e4 e5 2. Nf3 Nf6 3. Bb5 *")
    assert (made.mainline_exact, made.mainline_correct_prefix, made.mainline_correct) == (False, 3, 4)


def test_a_missing_move_costs_one_and_the_rest_stays_right() -> None:
    truth = "1. Nf3 Nf6 2. Ng1 Ng8 3. e4 e5 *"
    made = scored("1. Nf3 Nf6 2. e4 e5 *", truth)
    assert (made.mainline_correct_prefix, made.mainline_correct, made.mainline_total) == (2, 4, 6)


def test_side_lines_are_compared_by_position_and_move() -> None:
    made = scored("1. e4 e5 (1... c5 2. c3) (1... d6) 2. Nf3 Nc6 3. Bb5 *")
    assert (made.sideline_total, made.sideline_produced, made.sideline_correct) == (3, 3, 1)
    assert (made.sideline_precision, made.sideline_recall) == (0.3333, 0.3333)


def test_precision_and_recall_differ() -> None:
    made = scored("1. e4 e5 (1... c5) 2. Nf3 Nc6 3. Bb5 *")
    assert (made.sideline_precision, made.sideline_recall, made.sideline_f1) == (1.0, 0.3333, 0.5)


def test_no_side_lines_on_either_side_are_right() -> None:
    made = scored("1. e4 *", "1. e4 *")
    assert (made.sideline_precision, made.sideline_recall, made.sideline_f1) == (1.0, 1.0, 1.0)


def test_moves_after_what_was_played_are_a_side_line() -> None:
    truth = "1. e4 e5 2. Nf3 {[%cue 0:00:03.000 0:00:04.000] Only considered: knight f3} Nc6 (2... d6) *"
    assert scored(truth, truth).mainline_total == 2
    assert scored(truth, truth).sideline_total == 3
    without_marker = scored("1. e4 e5 2. Nf3 Nc6 *", truth)
    assert without_marker.mainline_exact
    assert (without_marker.sideline_produced, without_marker.sideline_correct) == (2, 2)


def test_times_of_right_plies_that_have_a_true_time() -> None:
    made = scored(
        "1. e4 {[%cue 0:00:01.500]} e5 {[%cue 0:00:03.500 0:00:09.000] talk} 2. Nf3 Nc6 {[%cue 0:00:40.000]} "
        "3. Bc4 {[%cue 0:00:05.000]} *"
    )
    assert (made.time_plies, made.time_without_cue) == (3, 1)
    assert (made.time_median, made.time_p95, made.time_within_1s) == (1.0, 1.5, 0.3333)


def test_95th_percentile_is_the_nearest_rank() -> None:
    """Nearest rank: the smallest value that at least 95 % of the values do not exceed."""
    sans = ["Nf3", "Nf6", "Ng1", "Ng8"] * 10
    truth = " ".join(f"{san} {{[%cue 0:01:00.000]}}" for san in sans)
    produced = " ".join(f"{san} {{[%cue 0:01:{number:02}.000]}}" for number, san in enumerate(sans))
    made = scored(produced, truth)
    assert (made.time_plies, made.time_p95, made.time_median) == (40, 37.0, 19.5)


def test_times_are_compared_and_told_in_milliseconds() -> None:
    """As cues are written: the truth's 0.0006 s is 0.001 s, and 1 s before the produced time."""
    made = scored("1. e4 {[%cue 0:00:01.001]} e5 {[%cue 0:00:02.2004]} *",
                  "1. e4 {[%cue 0:00:00.0006]} e5 {[%cue 0:00:02.000]} *")  # fmt: skip
    assert (made.time_within_1s, made.time_p95, made.time_median) == (1.0, 1.0, 0.6)
    assert scored("1. e4 {[%cue 0:00:02.2004]}", "1. e4 {[%cue 0:00:02.000]}").time_p95 == 0.2


def test_common_subsequence_of_all_short_sequences() -> None:
    texts = ["".join(letters) for size in range(5) for letters in product("abc", repeat=size)]
    for left, right in product(texts, texts):
        pairs = common_subsequence(left, right)
        assert len(pairs) == LCSseq.similarity(left, right), (left, right)
        assert all(left[i] == right[j] for i, j in pairs)


@given(st.lists(st.sampled_from("abcd"), max_size=30), st.lists(st.sampled_from("abcd"), max_size=30))
def test_common_subsequence_is_as_long_as_rapidfuzz_finds_it(left: list[str], right: list[str]) -> None:
    pairs = common_subsequence(left, right)
    assert len(pairs) == LCSseq.similarity(left, right)
    assert all(left[i] == right[j] for i, j in pairs)
    assert pairs == sorted(pairs)
    assert len({i for i, _ in pairs}) == len({j for _, j in pairs}) == len(pairs)


@pytest.mark.parametrize(
    ("comment", "seconds"),
    [
        ("[%cue 0:01:23.450 0:01:31.050] knight f3", 83.45),
        ("talk [%cue 1:00:00]", 3600.0),
        ("[%cue 0:00:01] [%cue 0:00:09]", 1.0),
        ("[%clk 0:01:00]", None),
        ("", None),
    ],
)
def test_cue_seconds(comment: str, seconds: float | None) -> None:
    assert cue_seconds(comment) == seconds


def test_files_with_several_games(tmp_path: Path) -> None:
    produced, truth = tmp_path / "produced.pgn", tmp_path / "truth.pgn"
    produced.write_text("1. e4 *", encoding="utf-8")
    truth.write_text("1. e4 *\n\n1. d4 d5 *", encoding="utf-8")
    first, second = score_files(produced, truth)
    assert (first.mainline_exact, second.mainline_exact, second.mainline_total) == (True, False, 2)


def test_a_produced_game_that_the_truth_does_not_have_is_left_out(tmp_path: Path) -> None:
    produced, truth = tmp_path / "produced.pgn", tmp_path / "truth.pgn"
    produced.write_text("1. e4 *\n\n1. d4 *", encoding="utf-8")
    truth.write_text("1. e4 *", encoding="utf-8")
    assert [made.mainline_exact for made in score_files(produced, truth)] == [True]


def test_a_truth_that_is_too_long_to_compare_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What counts is the plies that are there, not those before the start position."""
    monkeypatch.setattr("sync.files.score.MOST_PLIES", 2)
    late = '[SetUp "1"]\n[FEN "4k3/8/8/8/8/8/4P3/4K3 w - - 0 40"]\n\n40. e4 Kd7 *\n'
    produced, truth = tmp_path / "produced.pgn", tmp_path / "truth.pgn"
    produced.write_text(late, encoding="utf-8")
    truth.write_text(late, encoding="utf-8")
    assert score_files(produced, truth)[0].mainline_exact
    truth.write_text(f"{late}\n1. e4 e5 2. Nf3 *\n", encoding="utf-8")
    with pytest.raises(InputError, match="game 2 has more than 2 plies"):
        score_files(produced, truth)


def test_an_empty_produced_file_scores_nothing_and_an_empty_truth_is_refused(tmp_path: Path) -> None:
    empty, truth = tmp_path / "empty.pgn", tmp_path / "truth.pgn"
    empty.write_text("", encoding="utf-8")
    truth.write_text(TRUTH, encoding="utf-8")
    assert score_files(empty, truth)[0].mainline_correct == 0
    with pytest.raises(InputError, match="no game in it"):
        score_files(truth, empty)


def test_table_has_a_line_for_each_figure() -> None:
    made = scored(TRUTH)
    lines = score_table([made]).splitlines()
    assert lines[1].split() == ["main", "line:", "exact", "yes"]
    assert len(lines) == len(json.loads(score_json([made]))[0])
    assert len({len(line) for line in lines}) == 1
    assert score_table([made, made]).splitlines()[0].split() == ["game", "1", "2"]
    rows = dict(line.rsplit(maxsplit=1) for line in score_table([scored("*")]).splitlines())
    assert (rows["main line: exact"], rows["main line: plies"]) == ("no", "5")
    assert rows["times: share within 1 s"] == "-"


def test_json_has_the_fields_of_the_score() -> None:
    made = scored(TRUTH)
    assert [Score(**fields) for fields in json.loads(score_json([made]))] == [made]
