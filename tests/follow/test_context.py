"""What the talk around a mention tells of names, colours, move numbers and pauses."""

from __future__ import annotations

from dataclasses import replace

import chess
import pytest

from sync.follow.context import LONG, SHORT, Neighbours, Talk, context
from sync.follow.search import main_readings
from sync.mentions import spot
from tests.follow.talk import talk

ALONE = Neighbours(())


def features_of(text: str, which: int) -> set[str]:
    """The features of one of the full mentions of a talk among the others."""
    transcript = talk(text)
    full = [each for each in main_readings(spot(transcript)) if each.full]
    return set(context(Talk(transcript), full[which], Neighbours(full)).features)


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
    assert context(Talk(transcript), mention, ALONE).number == number


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
    assert context(Talk(transcript), mention, ALONE).colour == colour


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
    features = context(Talk(heard), mention, ALONE).features
    assert [each for each in features if each.startswith("pause=")] == [f"pause={name}"]
    coarse = replace(heard, words=tuple(replace(word, spread=2.0) for word in words))
    assert "pause=unknown" in context(Talk(coarse), mention, ALONE).features


def test_the_end_of_a_sentence_and_words_inside_a_name_are_told() -> None:
    inside, ends = talk("Here the knight goes to f3 and so on."), talk("Here the knight to f3. And so on.")
    found = []
    for transcript in (inside, ends):
        mention = next(each for each in spot(transcript) if each.full and each.piece)
        found.append(set(context(Talk(transcript), mention, ALONE).features))
    assert "inner=goes" in found[0] and "inner=knight" not in found[0]
    assert "stop-after" in found[1] - found[0]


def test_what_was_named_before_and_after_is_told() -> None:
    first, second, third = (features_of("Knight f3, bishop takes c6. And now king to g1.", which) for which in range(3))
    assert {"before-form=None", "after-form=piece-takes-square", "sentence-with=FalseTrue", "in-sentence=0"} <= first
    assert {"before-form=piece-square gap=0", "after-form=piece-square", "sentence-with=TrueFalse"} <= second
    assert {"in-sentence=1", "new=False 0", "until=1-2"} <= second
    assert {"sentence-with=FalseFalse", "in-sentence=0", "new=True 1-2", "after-form=None"} <= third


def test_unknown_words_count_by_their_endings() -> None:
    told = features_of("Then the rook trundled to d4 and there, quietly, somebody whistled an old tune.", 0)
    assert {"inner=trundled", "inner-class=ed", "det+inner", "det-inner=ed", "last=the"} <= told
    assert "later=whistled" in told and "after=whistled" not in told
    assert "last-class=ing" in features_of("Everybody was whistling rook d4", 0)


def test_where_in_a_long_talk_a_mention_stands_is_told() -> None:
    chatter = "and so it went on "
    early = "Knight f3 " + chatter * 130
    late = chatter * 130 + "and black resigned here. So remember knight f3 above all."
    assert {"begun=25", "rest=more", "part=more"} <= features_of(early, 0)
    assert {"begun=more", "rest=25", "part=0.03", "piece-square rest=25", "ended=25"} <= features_of(late, 0)
    assert not any(each.startswith("ended=") for each in features_of(early, 0))


@pytest.mark.parametrize(
    ("words", "told"), [(SHORT - 1, set()), (SHORT, {"part"}), (LONG - 1, {"part"}), (LONG, {"part", "rest", "begun"})]
)
def test_in_a_short_talk_the_place_tells_less(words: int, told: set[str]) -> None:
    features = features_of("Knight f3" + " so" * (words - 2), 0)
    assert {each.split("=")[0] for each in features} & {"part", "rest", "begun", "ended"} == told


@pytest.mark.parametrize(
    ("text", "verbs"),
    [
        ("Here the knight took on e5.", {"verb=took"}),
        ("Here the knight wins the pawn on e5.", {"verb=wins", "weak-verb", "piece-takes-square weak-verb"}),
        ("Here he castled.", {"verb=castled"}),
        ("Then the pawn to e8 becomes a queen.", {"verb=becomes"}),
        ("Here knight to e5 was best.", set()),
    ],
)
def test_the_verb_of_a_name_tells_by_itself(text: str, verbs: set[str]) -> None:
    """ "Took" tells of the game, "takes" of either, "wins" often of neither."""
    assert {feature for feature in features_of(text, 0) if "verb" in feature} == verbs
