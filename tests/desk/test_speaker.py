"""What was misheard once is known the next time that the same speaker talks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import chess
import pytest

from sync.errors import InputError
from sync.lesson import Lesson, Settings
from sync.lesson.doubts import doubts
from sync.lesson.edits import MoveEdit
from sync.lesson.speaker import (
    Form,
    Speaker,
    forget_speaker,
    form_of,
    known_speakers,
    load_speaker,
    said,
    save_speaker,
    spot_as,
)
from sync.lesson.speech import moments_of
from sync.mentions import spot
from sync.mentions.atoms import plain
from sync.publish import make_lesson, write_project
from sync.revise import learnt_forms, open_project, revise
from sync.transcript import Transcript, Word
from tests.desk.lessons import line
from tests.fitting.corpus import read_script, spoken

LESSONS = Path(__file__).parents[1] / "lessons"

def talk(text: str) -> Transcript:
    words = []
    clock = 0.0
    for each in text.split():
        words.append(Word(each, round(clock, 2), round(clock + 0.35, 2)))
        clock += 0.4 + (0.5 if each.endswith((".", "!", "?")) else 0.15 if each.endswith(",") else 0)
    return Transcript(tuple(words), words[-1].end + 1, "by hand")


def misheard(name: str) -> Transcript:
    """A lesson of the corpus, every word of it as it was said but d4, which in this voice sounds otherwise."""
    said, _ = spoken(read_script(LESSONS / f"{name}.lesson.txt"))
    words: list[Word] = []
    for word in said.words:
        if plain(word.text) != "d4":
            words.append(word)
            continue
        middle, ending = (word.start + word.end) / 2, word.text[len(word.text.rstrip(".,;:!?")) :]
        words += [Word("brie", word.start, middle), Word(f"floor{ending}", middle, word.end)]
    return replace(said, words=tuple(words))


def doubts_of(transcript: Transcript, lesson: Lesson) -> int:
    return len(doubts(lesson.games, (), [word.end for word in transcript.words]))


def moves_of(lesson: Lesson) -> list[str]:
    return [ply.san for ply in lesson.games[0].plies if ply.played]


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("PLYCUE_SPEAKERS", str(tmp_path / "speakers"))
    monkeypatch.setenv("PLYCUE_CACHE", str(tmp_path / "cache"))
    return tmp_path


def test_a_fix_in_one_lesson_leaves_fewer_doubts_in_the_next(folder: Path) -> None:
    """The real search, on two lessons in which the same square was misheard in the same way."""
    transcript = misheard("s2")
    lesson = make_lesson(transcript)
    path, _ = write_project(lesson, transcript, Settings(speaker="Greta"), folder, "s2")
    opened = open_project(path)
    words = transcript.words
    at = next(number for number, word in enumerate(words) if word.text == "brie" and words[number - 1].text == "to")
    before = line(*"e4 e5 Nf3 Nc6 Bc4 Nf6 d3 Be7 O-O O-O Re1 d6 h3 Na5 Bb3 Nxb3 axb3 Be6".split())
    opened.journal.add([MoveEdit(words[at].start, words[at + 1].end, "d3d4", None, before)], 0)
    revision = revise(opened)
    assert revision.unfit == ()
    forms = learnt_forms(opened, revision.followed)
    assert forms == {Form("brie floor", "d4")}
    save_speaker(Speaker("Greta", tuple(forms)))
    next_talk = misheard("s1")
    plain_lesson, known_lesson = make_lesson(next_talk), make_lesson(next_talk, speaker=load_speaker("Greta"))
    assert doubts_of(next_talk, known_lesson) < doubts_of(next_talk, plain_lesson)
    heard_well, _ = spoken(read_script(LESSONS / "s1.lesson.txt"))
    clear_lesson = make_lesson(heard_well)
    assert moves_of(known_lesson) == moves_of(clear_lesson)
    assert doubts_of(next_talk, known_lesson) <= doubts_of(heard_well, clear_lesson)
    heard = " ".join(word.text for word in next_talk.words)
    assert "brie floor" in heard and all(moment.heard in heard for moment in moments_of(known_lesson.games))


def test_forms_come_on_top_of_what_is_heard_and_point_to_the_heard_words() -> None:
    transcript = talk("then brie floor, and knight f6.")
    mentions = spot_as(transcript, Speaker("Greta", (Form("brie floor", "b4"),)))
    assert set(spot(transcript)) <= set(mentions)
    (new,) = set(mentions) - set(spot(transcript))
    assert (new.heard, new.first, new.last, new.start, new.end) == ("brie floor,", 1, 3, 0.4, 1.15)
    assert new.to is not None and new.to[chess.B4] == 0


def test_a_form_of_more_words_than_it_has_means_the_same_place() -> None:
    transcript = talk("then nighthawk, and e5.")
    mentions = spot_as(transcript, Speaker("Greta", (Form("nighthawk", "knight f3"),)))
    new = next(mention for mention in mentions if mention.form == "piece-square")
    assert (new.heard, new.first, new.last) == ("nighthawk,", 1, 2)


@pytest.mark.parametrize(
    ("heard", "san", "form"),
    [
        ("Brie floor,", "b4", Form("brie floor", "b4")),
        ("nigh tough free", "Nf3", Form("nigh tough free", "knight f3")),
        ("pawn to b4", "b4", None),
        ("knight f3", "Nf3", None),
        ("and so the white horse goes there", "Nf3", None),
        ("", "Nf3", None),
    ],
)
def test_what_is_learnt(heard: str, san: str, form: Form | None) -> None:
    board = chess.Board()
    assert form_of(heard, board, board.parse_san(san)) == form


@pytest.mark.parametrize(
    ("fen", "san", "words"),
    [
        (chess.STARTING_FEN, "e4", "e4"),
        ("r3k2r/8/8/8/8/8/8/R3K2R w KQkq - 0 1", "O-O", "castles kingside"),
        ("r3k2r/8/8/8/8/8/8/R3K2R w KQkq - 0 1", "O-O-O", "castles queenside"),
        ("4k3/8/8/3p4/4P3/8/8/4K3 w - - 0 1", "exd5", "e takes d5"),
        ("4k3/8/8/3p4/8/4N3/8/4K3 w - - 0 1", "Nxd5", "knight takes d5"),
    ],
)
def test_moves_are_said_in_words_that_are_spotted(fen: str, san: str, words: str) -> None:
    board = chess.Board(fen)
    move = board.parse_san(san)
    assert said(board, move) == words
    assert form_of(words, board, move) is None


def test_profiles_are_kept_listed_and_forgotten() -> None:
    speaker = Speaker("Greta O'Hara", (Form("brie floor", "b4"), Form("nigh tough free", "knight f3")))
    save_speaker(speaker)
    assert load_speaker("Greta O'Hara") == speaker and known_speakers() == ["Greta O'Hara"]
    forget_speaker("Greta O'Hara")
    assert load_speaker("Greta O'Hara").forms == ()
    with pytest.raises(InputError, match="no profile"):
        forget_speaker("Greta O'Hara")


@pytest.mark.parametrize("name", ["", "..", "a/b", "a\\b", ".hidden", "x" * 80, "a\nb", "a\x00b", "con:"])
def test_a_name_that_leads_elsewhere_is_refused(name: str) -> None:
    with pytest.raises(InputError):
        load_speaker(name)


def test_a_broken_profile_is_told(folder: Path) -> None:
    save_speaker(Speaker("Greta")).write_text("{")
    with pytest.raises(InputError, match="delete it or restore it"):
        load_speaker("Greta")
