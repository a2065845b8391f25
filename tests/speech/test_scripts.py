"""Lesson scripts: all in the tests are right, faults are named, and spoken times are where the sound is."""

from __future__ import annotations

from pathlib import Path

import chess.pgn
import numpy as np
import pytest

from sync.files.score import score
from tests.speech.captions import coarse_captions
from tests.speech.check import faults
from tests.speech.script import Script, build_tree, read_script
from tests.speech.speak import OUTPUT_RATE, Samples, Voice, pieces, resample, speak
from tests.speech.truth import cue, true_game

PROJECT = Path(__file__).parents[2]
SCRIPTS = sorted([*(PROJECT / "tests" / "lessons").glob("*.lesson.txt"), *(PROJECT / "samples").glob("*.lesson.txt")])

SCRIPT = """\
# title: Test
# style: short
# game: e4 e5 Nf3 Nc6
# silent: 3
# var a: after 1: c5 Nf3
# var b: after a.1: Nc3
# var c: after 4: Bb5

Hello there. White plays {M 1|e4}, and black could try {V a.1|c5}, then {V a.2|knight f3} or "{V b.1|knight c3}".

{pause 2.5}

In the game {M 2|e5}. So the a pawn waits! {M 4|Knight c6}, and {V c.1|bishop b5}. {R M1|e4}, {X|rook a to c1}.
"""
STARTS = {"M 1": 1.0, "V a.1": 2.0, "V a.2": 3.5, "V b.1": 4.0, "M 2": 5.0, "M 4": 3661.25, "V c.1": 3662.0}


def script_of(text: str, folder: Path) -> Script:
    path = folder / "test.lesson.txt"
    path.write_text(text, encoding="utf-8")
    return read_script(path)


@pytest.fixture
def script(tmp_path: Path) -> Script:
    return script_of(SCRIPT, tmp_path)


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_every_script_is_right(path: Path) -> None:
    assert list(faults(read_script(path))) == []


def test_small_script_is_right(script: Script) -> None:
    assert list(faults(script)) == []


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("{M 2|e5}", "{M 2|e5", "{ outside of a mark"),
        ("{M 2|", "{N 2|", "bad mark"),
        ("# game: e4 e5", "# game: e4 e6 e5", "M 4: illegal san"),
        ("Nf3 Nc6", "Ng1f3 Nc6", "Ng1f3 must be written Nf3"),
        ("after a.1", "after a.7", "side lines b start"),
        ("a.1: Nc3", "a.1: Nf3", "another line leaves this position by Nf3 too"),
        ("# title: Test\n", "", "no header line 'title'"),
        ("# style: short", "# mood: short", "unknown or repeated header line"),
        ("# silent: 3", "# silent: three", "silent plies not readable"),
        ("# game: e4", "# start: 8/8/8/8/8/8/8/8 w - - 0 1\n# game: e4", "cannot stand on a board"),
    ],
)
def test_broken_scripts_are_named(tmp_path: Path, old: str, new: str, message: str) -> None:
    assert old in SCRIPT
    with pytest.raises(ValueError, match=message):
        build_tree(script_of(SCRIPT.replace(old, new), tmp_path))


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("{M 2|e5}", "e5", "M 2: never announced"),
        ("{R M1|e4}", "{M 1|e4}", "line 13: M 1: announced twice or out of order"),
        ("{M 4|Knight c6}", "{M 9|Knight c6}", "line 13: M 9: there is no such move"),
        ("{R M1|e4}", "{R M3|knight f3}", "line 13: R M3: this ply is silent"),
        ("then {V", "{R V b.1|knight c3} {V", "line 9: R V b.1: not announced yet"),
        ("Hello there", "Hello, Nf3", "line 9: written notation in speech: 'Nf3'"),
        ("Hello there", "Hello = there", "line 9: a sign that nobody says: '='"),
    ],
)
def test_faults_are_told(tmp_path: Path, old: str, new: str, fault: str) -> None:
    assert old in SCRIPT
    assert fault in list(faults(script_of(SCRIPT.replace(old, new), tmp_path)))


def test_truth_is_the_whole_tree_and_scores_perfect(script: Script) -> None:
    truth = true_game(script, STARTS)
    moves = chess.pgn.StringExporter(columns=None, headers=False, comments=False)
    assert truth.accept(moves) == "1. e4 e5 ( 1... c5 2. Nf3 ( 2. Nc3 ) ) 2. Nf3 Nc6 3. Bb5 *"
    result = score(truth, truth)
    assert (result.mainline_total, result.sideline_total, result.time_plies) == (4, 4, 3)
    assert result.mainline_exact
    assert result.sideline_f1 == result.time_within_1s == 1.0


def test_cue() -> None:
    assert [cue(0), cue(59.9996), cue(3661.25)] == ["[%cue 0:00:00.000]", "[%cue 0:01:00.000]", "[%cue 1:01:01.250]"]


def test_coarse_captions() -> None:
    assert coarse_captions("a b c d e f g h", 80.0) == "[0:00] a b\n\n[0:20] c d\n\n[0:40] e f\n\n[1:00] g h\n"


def test_pieces_start_at_marks_and_sentences(script: Script) -> None:
    assert [(piece.text, piece.gap) for piece in pieces(script.paragraphs)] == [
        ("Hello there.", 0.8),
        ("White plays", 0.35),
        ("e4, and black could try", 0.0),
        ("c5, then", 0.0),
        ('knight f3 or "', 0.0),
        ('knight c3".', 0.0),
        ("In the game", 3.3),
        ("e5.", 0.0),
        ("So the eh pawn waits!", 0.35),
        ("Knight c6, and", 0.35),
        ("bishop b5.", 0.0),
        ("e4,", 0.35),
        ("rook eh to c1.", 0.0),
    ]


def test_mention_times_are_where_the_sound_is(script: Script) -> None:
    rate = 22_050

    def tone(text: str) -> Samples:
        """0.1 s silence, 0.05 s a word of tone, 0.2 s silence."""
        time = np.arange(round(0.05 * rate) * len(text.split())) / rate
        return np.concatenate([np.zeros(rate // 10), np.sin(2 * np.pi * 440 * time), np.zeros(rate // 5)])

    speech, mentions = speak(script, Voice(rate, tone))
    samples = resample(speech, rate)
    assert [(mention.tag, mention.words) for mention in mentions] == [
        ("M 1", "e4"), ("V a.1", "c5"), ("V a.2", "knight f3"), ("V b.1", "knight c3"),
        ("M 2", "e5"), ("M 4", "Knight c6"), ("V c.1", "bishop b5"), ("R M1", "e4"), ("X", "rook a to c1"),
    ]  # fmt: skip
    loud = np.abs(samples) > 0.02
    for mention in mentions:
        begin, end = round(mention.start * OUTPUT_RATE), round(mention.end * OUTPUT_RATE)
        assert not loud[begin - 500 : begin - 16].any()
        assert not loud[end + 16 : end + 500].any()
        assert loud[begin : begin + 100].any()  # to 6 ms
        assert loud[end - 100 : end].any()
