"""Made-up lessons are good scripts, their unmarked words name no move, and they are misheard as real ones are."""

from __future__ import annotations

import random
from itertools import pairwise
from pathlib import Path

import chess
import pytest

from sync.mentions.spot import spot
from sync.transcript.words import Transcript, Word
from tests.fitting import narration_asides as asides
from tests.fitting.board_facts import move_facts, position_facts
from tests.fitting.corpus import read_script as read_with_marks
from tests.fitting.corpus import spoken
from tests.fitting.games import LAST_PLIES, exchange, long_game
from tests.fitting.mishear import blocks, general, misheard, word_error
from tests.fitting.narrate import narration
from tests.fitting.wording import Subject, Wording, rows
from tests.speech.check import faults
from tests.speech.script import read_script

SEEDS = range(16)


@pytest.fixture(scope="module")
def scripts(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("narrations")
    paths = []
    for seed in SEEDS:
        path = folder / f"z{seed}.lesson.txt"
        path.write_text(narration(str(seed)), encoding="utf-8")
        paths.append(path)
    return paths


def test_a_seed_gives_one_narration() -> None:
    assert narration("7", 30) == narration("7", 30)
    assert narration("7", 30) != narration("8", 30)


def test_narrations_are_good_scripts(scripts: list[Path]) -> None:
    """The reader plays every move of the game and the side lines, so an illegal one is a fault."""
    for path in scripts:
        assert list(faults(read_script(path))) == [], path.name


def test_the_game_is_as_long_as_was_asked(tmp_path: Path) -> None:
    path = tmp_path / "long.lesson.txt"
    path.write_text(narration("3", 120), encoding="utf-8")
    script = read_script(path)
    assert 120 - LAST_PLIES <= len(script.game) <= 120
    assert list(faults(script)) == []


def test_narrations_differ_in_style(scripts: list[Path]) -> None:
    """Of two speakers nobody opens the side lines and names the moves with the same words."""
    texts = [read_script(path).text for path in scripts]
    openings = {" ".join(text.split()[:12]) for text in texts}
    assert len(openings) > 12
    paces = [len(text.split()) / len(read_script(path).game) for text, path in zip(texts, scripts, strict=True)]
    assert max(paces) > 1.4 * min(paces)


def full_names(text: str) -> list[str]:
    """What the spotter takes for a whole move name: a piece with a square straight after it, a capture on a square."""
    words = tuple(Word(word, 0.3 * number, 0.3 * number + 0.25) for number, word in enumerate(text.split()))
    return [
        mention.heard
        for mention in spot(Transcript(words, 60.0, "test"))
        if mention.to
        and (mention.piece or mention.takes)
        and not mention.gaps
        and not {"on", "from"} & set(mention.heard.lower().split())
    ]


def test_asides_name_no_move() -> None:
    rng = random.Random(1)
    subjects = {"side": Subject("white", "she", "her"), "other": Subject("black", "he", "his")}
    said = 0
    for seed in range(8):
        board = chess.Board()
        for move in long_game(rng, board, 10 + 6 * seed):
            board.push(move)
        for kind, slots in position_facts(board):
            for row in rows(asides.ASIDES[kind]):
                text = Wording(slots, subjects, main="side").fill(rng, row.text)
                said += 1
                assert full_names(text) == [], text
    assert said > 300


def test_there_are_many_asides() -> None:
    assert sum(len(rows(table)) for table in asides.ASIDES.values()) >= 200


@pytest.mark.parametrize(
    ("fen", "kind", "slots"),
    [
        ("4k3/8/8/8/1b6/2N5/8/4K3 w - - 0 1", "pinned", {"piece": "knight", "sq": "c3"}),
        ("4k3/8/8/3P4/8/8/8/4K3 w - - 0 1", "passed", {"sq": "d5", "file": "d"}),
        ("4k3/8/8/3P4/3P4/8/8/4K3 w - - 0 1", "doubled", {"file": "d"}),
        ("4k3/8/8/8/8/8/8/4K2R w K - 0 10", "open-file", {"file": "a"}),
        ("r3k3/8/8/8/8/8/8/4K3 w - - 0 10", "loose", {"piece": "rook", "sq": "a8", "side": "black"}),
    ],
)
def test_facts_are_true(fen: str, kind: str, slots: dict[str, str]) -> None:
    found = [each for name, each in position_facts(chess.Board(fen)) if name == kind]
    assert any(slots.items() <= each.items() for each in found)


def test_a_move_is_said_to_attack_what_it_attacks() -> None:
    board = chess.Board("rnbqkbnr/pppp1ppp/8/4p3/4P3/8/PPPP1PPP/RNBQKBNR w KQkq - 0 2")
    found = move_facts(board, chess.Move.from_uci("g1f3"))
    assert ("attacks", {"victim": "pawn", "vsq": "e5", "piece": "knight", "sq": "f3"}) in found


@pytest.mark.parametrize(
    ("fen", "uci", "pawns"),
    [
        ("4k3/8/3p4/4p3/8/5N2/8/4K3 w - - 0 1", "f3e5", -2),
        ("4k3/8/8/4p3/8/5N2/8/4K3 w - - 0 1", "f3e5", 1),
        ("4k3/8/3p4/4p3/3P4/5N2/8/4K3 w - - 0 1", "d4e5", 1),
        ("4r1k1/8/8/4p3/8/8/4R3/4R1K1 w - - 0 1", "e2e5", 1),
    ],
)
def test_exchanges_are_counted(fen: str, uci: str, pawns: int) -> None:
    assert exchange(chess.Board(fen), chess.Move.from_uci(uci)) == pawns


def test_mishearings_are_those_of_the_recogniser_in_number(scripts: list[Path]) -> None:
    """tiny.en got 2 to 12 words in a hundred of the spoken lessons wrong, 6 on the average."""
    errors = []
    for path in scripts:
        transcript, _ = spoken(read_with_marks(path))
        found = misheard(transcript, path.name)
        assert found == misheard(transcript, path.name)
        assert found != misheard(transcript, f"{path.name} again")
        errors.append(word_error(transcript, found))
    assert 0.04 < sum(errors) / len(errors) < 0.1
    assert max(errors) < 0.25


def test_misheard_words_keep_their_times(scripts: list[Path]) -> None:
    """So the times of the marks are true of what was heard, too."""
    transcript, _ = spoken(read_with_marks(scripts[0]))
    found = misheard(transcript, "0")
    assert all(word.start <= word.end for word in found.words)
    assert all(first.start <= second.start for first, second in pairwise(found.words))
    assert all(0.0 <= word.probability <= 1.0 for word in found.words)
    said = {(word.text.strip(".,?!").lower(), word.start) for word in transcript.words}
    kept = [(word.text.strip(".,?!").lower(), word.start) in said for word in found.words]
    assert sum(kept) > 0.8 * len(kept)


def test_words_are_aligned_in_blocks() -> None:
    found = list(blocks("and knight e4 takes on d5".split(), "and 94 takes on d5 the".split()))
    assert [block for block, _, _ in found] == [
        (("and",), ("and",)),
        (("knight", "e4"), ("94",)),
        (("takes",), ("takes",)),
        (("on",), ("on",)),
        (("d5",), ("d5",)),
        (("d5",), ("d5", "the")),
    ]


def test_squares_are_generalised() -> None:
    assert general((("to", "e4"), ("to", "d4"))) == (("to", "@"), ("to", "@?"))
    assert general((("bishop", "e4"), ("the", "e4"))) == (("bishop", "@"), ("the", "@"))
    assert general((("e4",), ("before",))) == (("e4",), ("before",))
