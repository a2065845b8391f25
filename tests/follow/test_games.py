"""Talks of several games: where the next one begins."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import chess
import pytest

from sync.follow import follow
from sync.follow.games import AHEAD, _ahead, announcements, ended
from sync.follow.model import fitted
from sync.follow.search import Search, State, clear, spots
from sync.follow.tree import Game
from sync.mentions import spot
from sync.transcript.words import Transcript, Word
from tests.fitting.corpus import Script, read_script, spoken
from tests.follow.talk import game_moves

LESSONS = Path(__file__).parents[1] / "lessons"


def script(name: str) -> Script:
    return read_script(LESSONS / f"{name}.lesson.txt")


def joined(*parts: Transcript | str) -> Transcript:
    """Talks and sentences one after the other."""
    words: list[Word] = []
    clock = 0.0
    for part in parts:
        if isinstance(part, str):
            texts = part.split()
            said = tuple(Word(text, 0.3 * at, 0.3 * at + 0.25) for at, text in enumerate(texts))
            part = Transcript(said, 0.3 * len(texts), "sentence")
        words += [replace(word, start=word.start + clock, end=word.end + clock) for word in part.words]
        clock += part.duration + 1.0
    return Transcript(tuple(words), clock, "joined")


def talk(name: str) -> Transcript:
    return spoken(script(name))[0]


def played(game: Game) -> list[str]:
    return [ply.san for ply in game.plies if ply.played]


@pytest.fixture(scope="module")
def two_games() -> tuple[Transcript, tuple[Game, ...]]:
    transcript = joined(talk("s1"), "And now the next game.", talk("s2"))
    return transcript, follow(transcript, spot(transcript))


def test_each_game_is_followed_from_the_start(two_games: tuple[Transcript, tuple[Game, ...]]) -> None:
    _, games = two_games
    assert [played(game) for game in games] == [script("s1").game, script("s2").game]


def test_the_games_share_out_the_talk(two_games: tuple[Transcript, tuple[Game, ...]]) -> None:
    transcript, (first, second) = two_games
    assert (first.first_word, second.end_word) == (0, len(transcript.words))
    assert first.end_word == second.first_word
    assert transcript.words[second.first_word].text == "next"
    assert (first.start, second.end) == (0.0, transcript.duration)
    assert first.end == second.start == transcript.words[second.first_word].start
    for game in (first, second):
        for ply in game.plies:
            for moment in ply.moments:
                assert game.first_word <= moment.first_word < moment.end_word <= game.end_word


def test_a_game_that_is_only_spoken_of_ends_none() -> None:
    whole = talk("s1")
    half = len(whole.words) // 2
    while not whole.words[half - 1].text.endswith("."):
        half += 1
    start = whole.words[half].start
    later = tuple(replace(word, start=word.start - start, end=word.end - start) for word in whole.words[half:])
    transcript = joined(
        Transcript(whole.words[:half], start, "first half"),
        "In the next game he will know better.",
        Transcript(later, whole.duration - start, "second half"),
    )
    games = follow(transcript, spot(transcript))
    assert [played(game) for game in games] == [script("s1").game]


def test_a_game_hardly_ever_ends_in_a_line_that_was_only_considered() -> None:
    lesson = script("l12")
    transcript, _ = spoken(lesson)
    (game,) = follow(transcript, spot(transcript), start_fen=lesson.start_fen)
    assert played(game)[: len(lesson.game)] == lesson.game


@pytest.mark.parametrize(
    ("text", "first_words"),
    [
        ("Let's look at the next game now.", ["next"]),
        ("That was it. Game number two. And our second little game", ["Game", "second"]),
        ("He won the game in the end, a good game.", []),
        ("games two", []),
        ("Game over, and he was the last", []),
    ],
)
def test_what_may_announce_a_game(text: str, first_words: list[str]) -> None:
    words = joined(text).words
    assert [words[at].text for at in announcements(words)] == first_words


def test_a_game_that_leaves_a_line_open_at_its_end_is_less_likely_the_longer_the_line() -> None:
    search = Search(chess.Board(), fitted())

    def state(score: float, game: str, line: str) -> State:
        place = tip = search.places.root
        tree = [place.id]
        for number, move in enumerate(game_moves(line)):
            place = search.places.after(place, move)
            tip = place if number < len(game.split()) else tip
            tree.append(place.id)
        return replace(search.start, score=score, tip=tip, tree=frozenset(tree))

    shut = state(9.0, "e4 e5 Nf3", "e4 e5 Nf3")
    beside = replace(shut, tree=shut.tree | state(0.0, "", "d4 d5 c4 e6 Nc3").tree)
    left_open = state(9.5, "e4 e5", "e4 e5 Nf3")
    longer = state(9.5, "e4 e5", "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O Be7 Re1")
    assert ended(search, [longer, left_open, shut]) == [shut, left_open, longer]
    assert ended(search, [beside, left_open]) == [beside, left_open]
    far_better = replace(longer, score=99.0)
    assert ended(search, [far_better, shut]) == [far_better, shut]
    given = Search(chess.Board(), fitted(), game_moves("e4 e5"))
    assert ended(given, [left_open, shut]) == [left_open, shut]


def test_so_many_clear_mentions_and_what_is_between_them_are_read_ahead() -> None:
    transcript = talk("s1")
    found = spots(transcript, spot(transcript), fitted())
    plain_moves = clear(found)
    ahead = _ahead(found)
    assert list(ahead) == found[: len(ahead)]
    assert sum(each.key in plain_moves for each in ahead) == AHEAD
    assert found[len(ahead)].key in plain_moves
    assert _ahead(found[:3]) == found[:3]
