"""Where somebody speaks."""

from __future__ import annotations

from faster_whisper.vad import VadOptions, get_speech_timestamps

from sync.recording import SAMPLE_RATE
from sync.transcript.doubts import Span
from sync.transcript.recogniser import Sound

VOICE = VadOptions(min_silence_duration_ms=300, speech_pad_ms=200)


def speech_spans(sound: Sound) -> list[Span]:
    """Stretches with a voice, a fifth of a second wider on both sides, in seconds from the start of the sound."""
    return [(span["start"] / SAMPLE_RATE, span["end"] / SAMPLE_RATE) for span in get_speech_timestamps(sound, VOICE)]
