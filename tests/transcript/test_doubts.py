"""Inventions of a recogniser: each doubt is raised by what it is for, and not by plain talk."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sync.recording import SAMPLE_RATE
from sync.recording.chunks import Chunk, segment
from sync.transcript import Word
from sync.transcript import listen as listening
from sync.transcript.doubts import doubts, loops, unheard, without_inventions
from sync.transcript.recogniser import Hearing, Recogniser, Sound, compression_ratio

PLAIN = "so black takes the pawn and white takes back on d4 with the knight"
PROMPT = "Knight f3, bishop c4, castles kingside. Queen takes d5, rook to e1"


def heard(text: str, seconds: float = 6.0, log_probability: float = -0.2, complete: bool = True) -> Hearing:
    texts = text.split()
    step = seconds / max(1, len(texts))
    words = tuple(Word(word, index * step, (index + 1) * step) for index, word in enumerate(texts))
    return Hearing(words, log_probability, compression_ratio(text), complete, 0.0)


def test_plain_talk_raises_no_doubt() -> None:
    assert doubts(heard(PLAIN), [(0.0, 6.0)], PROMPT) == []
    assert doubts(heard("takes, takes, takes, takes."), [(0.0, 2.5)], PROMPT) == []
    assert doubts(heard(""), [(0.0, 1.0)], PROMPT) == []


@pytest.mark.parametrize(
    ("hearing", "speech", "doubt"),
    [
        (heard(f"{PLAIN} {'takes, ' * 30}"), 20.0, "repeats itself"),
        (heard(f"{PLAIN} {'and the rook ' * 3}"), 20.0, "repeats itself"),
        (heard(PLAIN, complete=False), 6.0, "not ended"),
        (heard(PLAIN, log_probability=-1.5), 6.0, "unsure"),
        (heard(PLAIN), 2.1, "too fast"),
        (heard(PLAIN), 12.0, "speech passed over"),
        (heard(""), 12.0, "speech passed over"),
        (heard(f"so {PROMPT.lower()}"), 6.0, "says the prompt back"),
    ],
)
def test_each_doubt_is_raised(hearing: Hearing, speech: float, doubt: str) -> None:
    assert doubt in doubts(hearing, [(0.0, speech)], PROMPT)


def test_a_loop_is_cut_to_the_time_it_fills() -> None:
    said = "he takes takes takes"
    looped = heard(f"{said} {'takes ' * 40}", seconds=3.0)
    words = without_inventions(looped, [(0.0, 3.0)])
    assert 4 <= len(words) <= 12


def test_words_where_nobody_speaks_are_dropped() -> None:
    words = without_inventions(heard("one two three", 9.0), [(0.0, 2.0)])
    assert [word.text for word in words] == ["one"]


@given(st.lists(st.sampled_from("ab"), max_size=40))
def test_loops_are_what_they_say(texts: list[str]) -> None:
    words = heard(" ".join(texts)).words
    end = 0
    for first, size, times in loops(words):
        assert first >= end
        unit = texts[first : first + size]
        assert texts[first : first + size * times] == unit * times
        end = first + size * times


class Looping(Recogniser):
    """Hears a loop, until it hears halves."""

    def __init__(self) -> None:
        self.calls: list[tuple[int, str, int]] = []

    def hear(self, sounds: Sequence[Sound], prompt: str, longest_repeat: int = 0) -> list[Hearing]:
        self.calls.append((len(sounds), prompt, longest_repeat))
        if len(sounds) == 2:
            return [heard("bishop takes", 1.4), heard("and castles", 1.4)]
        return [heard("takes, " * 50, 4.0)]


def test_a_doubtful_chunk_is_heard_again_until_nothing_speaks_against_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "speech_spans", lambda sound: [(0.5, 4.5)])
    samples = np.random.default_rng(0).normal(0, 1000, 5 * SAMPLE_RATE).astype(np.int16)
    recogniser = Looping()
    [part] = listening.listen([Chunk(30.0, segment(samples.tobytes()))], recogniser)
    assert [word.text for word in part.words] == ["bishop", "takes", "and", "castles"]
    assert (part.start, part.end) == (30.0, 35.0)
    assert all(30.5 <= word.start <= word.end <= 34.5 for word in part.words)
    assert [sounds for sounds, _, _ in recogniser.calls] == [1, 1, 2]


class PassingOver(Recogniser):
    """Passes over what is said after the fourth second, unless it hears no more than that."""

    def __init__(self) -> None:
        self.lengths: list[float] = []

    def hear(self, sounds: Sequence[Sound], prompt: str, longest_repeat: int = 0) -> list[Hearing]:
        self.lengths += [len(sound) / SAMPLE_RATE for sound in sounds]
        if len(sounds) == 1 and len(sounds[0]) < 4 * SAMPLE_RATE:
            return [heard("pawn takes e5", 1.5)]
        return [heard("so the push comes now", 4.0), *[heard("", 0.0)] * (len(sounds) - 1)]


@pytest.mark.parametrize("end", [7.0, 6.1])
def test_what_was_passed_over_is_heard_by_itself(end: float, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "speech_spans", lambda sound: [(0.5, 4.4), (4.6, end)])
    samples = np.random.default_rng(0).normal(0, 1000, 8 * SAMPLE_RATE).astype(np.int16)
    recogniser = PassingOver()
    [part] = listening.listen([Chunk(0.0, segment(samples.tobytes()))], recogniser)
    assert " ".join(word.text for word in part.words) == "so the push comes now pawn takes e5"
    assert recogniser.lengths[-1] == pytest.approx(end - 4.5)
    said = {word.text: word.start for word in part.words}
    assert 4.4 <= said["pawn"] < said["takes"] < said["e5"] < end


def test_a_short_stretch_without_a_word_is_not_heard_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listening, "speech_spans", lambda sound: [(0.5, 4.4), (4.6, 5.6)])
    recogniser = PassingOver()
    listening.listen([Chunk(0.0, segment(bytes(2 * 8 * SAMPLE_RATE)))], recogniser)
    assert recogniser.lengths == pytest.approx([5.1])


def test_only_long_stretches_of_speech_are_passed_over() -> None:
    words = heard("one two three", 3.0).words
    assert unheard(words, [(0.0, 4.5)], 1.8) == []
    assert unheard(words, [(0.0, 3.0), (6.0, 9.0)], 1.8) == [(3.0, 9.0)]
    assert unheard(words, [(0.0, 3.0), (8.0, 9.0)], 1.8) == []
    assert unheard((), [(1.0, 4.0)], 1.8) == [(1.0, 4.0)]
    assert unheard((), [], 1.8) == []
