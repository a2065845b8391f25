"""What the talk around a mention tells of names, colours, move numbers and pauses."""

from __future__ import annotations

from dataclasses import replace

import chess
import pytest

from sync.follow.context import Talk, context
from sync.mentions import spot
from tests.follow.talk import talk


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("Tonight Milo has the white pieces, and his rival is not here.", {"milo": chess.WHITE}),
        ("Tonight Milo plays with black again.", {"milo": chess.BLACK}),
        ("The one with white is Greta this time.", {"greta": chess.WHITE}),
        ("As before black was Greta this time.", {"greta": chess.BLACK}),
        ("Tonight Milo meets Greta, who plays with black.", {"milo": None, "greta": chess.BLACK}),
        ("Tonight Milo likes white rooms and old chairs.", {"milo": None}),
        ("Tonight Milo has no time for tea.", {"milo": None}),
        ("It is Milo. There is milo in the cup.", {}),
        ("Hello. Milo sat down. And then Knight moves, and Bishop moves, and But I said.", {}),
    ],
)
def test_names_of_players_and_their_colours(text: str, names: dict[str, chess.Color | None]) -> None:
    assert Talk(talk(text)).names == names


@pytest.mark.parametrize(
    ("told", "number"),
    [
        ("On move 12 he plays", 12),
        ("On move twelve he plays", 12),
        ("On move twenty-one he plays", 21),
        ("On move one he plays", 1),
        ("On his 12 boards he plays", None),
        ("On move one, no, on move two he plays", 2),
        ("On move 1812 he plays", None),
    ],
)
def test_the_last_move_number_that_was_told(told: str, number: int | None) -> None:
    transcript = talk(f"{told} knight to f3.")
    mention = next(each for each in spot(transcript) if each.full)
    assert context(Talk(transcript), mention, 0, len(transcript.words)).number == number


@pytest.mark.parametrize(
    ("told", "colour"),
    [
        ("Here white plays", chess.WHITE),
        ("Here black plays", chess.BLACK),
        ("After white's move black plays", chess.BLACK),
        ("Here somebody plays", None),
        ("So Milo with black is here. Now Milo plays", chess.BLACK),
    ],
)
def test_the_side_that_was_told_last_is_to_move(told: str, colour: chess.Color | None) -> None:
    transcript = talk(f"{told} knight to f3.")
    mention = next(each for each in spot(transcript) if each.full)
    assert context(Talk(transcript), mention, 0, len(transcript.words)).colour == colour


@pytest.mark.parametrize(
    ("seconds", "name"), [(0.1, "short"), (0.4, "breath"), (0.9, "stop"), (2.0, "long"), (3.0, "very-long")]
)
def test_the_longest_silence_before_a_mention_is_told_unless_times_are_coarse(seconds: float, name: str) -> None:
    transcript = talk("Here white now plays knight to f3.")
    mention = next(each for each in spot(transcript) if each.full)
    later = [seconds if number > 2 else 0.0 for number in range(len(transcript.words))]
    words = tuple(
        replace(word, start=number + wait, end=number + 1.0 + wait)
        for number, (word, wait) in enumerate(zip(transcript.words, later, strict=True))
    )
    heard = replace(transcript, words=words)
    features = context(Talk(heard), mention, 0, len(words)).features
    assert [each for each in features if each.startswith("pause=")] == [f"pause={name}"]
    coarse = replace(heard, words=tuple(replace(word, spread=2.0) for word in words))
    assert "pause=unknown" in context(Talk(coarse), mention, 0, len(words)).features


def test_the_end_of_a_sentence_and_words_inside_a_name_are_told() -> None:
    inside, ends = talk("Here the knight goes to f3 and so on."), talk("Here the knight to f3. And so on.")
    found = []
    for transcript in (inside, ends):
        mention = next(each for each in spot(transcript) if each.full and each.piece)
        found.append(set(context(Talk(transcript), mention, 0, len(transcript.words)).features))
    assert "inner=goes" in found[0] and "inner=knight" not in found[0]
    assert "stop-after" in found[1] - found[0]
