"""Whatever is wrong with a media file: sound of a bearable length, or one line that names the file."""

from __future__ import annotations

import os
import tempfile
import wave
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sync.errors import InputError
from sync.recording import LONGEST, SAMPLE_RATE, decode, probe
from sync.recording.media import LONGEST_GAP
from tests.recording.media import tone, write_media

FORMS = [
    ("wav", "pcm_u8", 8_000, "mono"),
    ("wav", "pcm_s16le", 48_000, "7.1"),
    ("w64", "pcm_s16le", 16_000, "mono"),
    ("aiff", "pcm_s16be", 16_000, "mono"),
    ("caf", "pcm_s16le", 16_000, "mono"),
    ("avi", "pcm_s16le", 22_050, "stereo"),
    ("mov", "alac", 44_100, "stereo"),
    ("mp4", "aac", 48_000, "5.1"),
    ("aac", "aac", 44_100, "mono"),
    ("mp3", "libmp3lame", 44_100, "stereo"),
    ("flv", "aac", 44_100, "mono"),
    ("ts", "mp2", 48_000, "stereo"),
    ("mpg", "mp2", 48_000, "stereo"),
    ("mkv", "flac", 16_000, "mono"),
    ("webm", "libopus", 48_000, "stereo"),
    ("ogg", "libopus", 48_000, "mono"),
]
EDGES = [0, 1, *(2**bits + step for bits in (7, 8, 15, 16, 31, 32, 63) for step in (-1, 0)), 2**64 - 1]
"""Numbers at which sizes, rates and times turn over."""
NO_CHANNELS = b"RIFF\x2c\0\0\0WAVEfmt \x10\0\0\0\1\0\0\0\x80>\0\0\0}\0\0\2\0\x10\0data\x08\0\0\0" + bytes(8)


@pytest.fixture(scope="module")
def media_bytes(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("media")
    found = {}
    for kind, codec, rate, layout in FORMS:
        path = write_media(folder / f"{codec}.{kind}", tone(0.3, rate), rate, codec, layout)
        found[path.name] = path.read_bytes()
    return found


@st.composite
def damage(draw: st.DrawFn, data: bytes) -> bytes:
    """The bytes with numbers put in, bits turned, stretches taken out, doubled or cut off; most near the beginning."""
    damaged = bytearray(data)
    for _ in range(draw(st.integers(1, 5))):
        at = draw(st.integers(0, min(400, len(damaged))) | st.integers(0, len(damaged)))
        match draw(st.sampled_from(["number", "bit", "out", "twice", "cut"])):
            case "number":
                size = draw(st.sampled_from([2, 4, 8]))
                number = draw(st.sampled_from(EDGES)) % 256**size
                damaged[at : at + size] = number.to_bytes(size, draw(st.sampled_from(["little", "big"])))
            case "bit" if at < len(damaged):
                damaged[at] ^= 1 << draw(st.integers(0, 7))
            case "out":
                del damaged[at : at + draw(st.sampled_from([1, 4, 32, 1000]))]
            case "twice":
                damaged[at:at] = damaged[at : at + draw(st.sampled_from([4, 32, 1000]))]
            case "cut" if at > 40:
                del damaged[at:]
    return bytes(damaged)


def heard(path: Path) -> float:
    """Seconds of sound that the file gives, 0 where it is refused in one line."""
    try:
        recording = probe(path)
        assert 0 < recording.duration <= LONGEST
        return sum(map(len, decode(path, lambda _: None))) / SAMPLE_RATE
    except InputError as error:
        assert len(str(error).splitlines()) == 1 and str(path) in str(error)
        return 0.0


@given(st.data())
@settings(deadline=None, max_examples=150)
def test_damaged_media_of_all_kinds(media_bytes: dict[str, bytes], data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(media_bytes)))
    suffix = data.draw(st.just(name) | st.sampled_from(sorted(media_bytes))).rpartition(".")[2]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"talk.{suffix}"
        path.write_bytes(data.draw(damage(media_bytes[name])))
        assert heard(path) < LONGEST_GAP + 600  # slowed down to 4000 samples a second, and with all gaps


@given(st.binary(max_size=400), st.sampled_from(["wav", "mp4", "webm", "txt", ""]))
@example(NO_CHANNELS, "wav")
@settings(deadline=None, max_examples=60)
def test_any_bytes(data: bytes, suffix: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"talk.{suffix}"
        path.write_bytes(data)
        heard(path)


@pytest.mark.parametrize("suffix", ["mp3", "mkv", "txt", "pgn", ""])
def test_the_suffix_does_not_matter(tmp_path: Path, suffix: str) -> None:
    path = write_media(tmp_path / "talk.wav", tone(1.0, SAMPLE_RATE), SAMPLE_RATE, "pcm_s16le")
    assert heard(path.rename(tmp_path / f"talk.{suffix}")) == pytest.approx(1.0)


def test_every_length_of_a_cut_off_file(media_bytes: dict[str, bytes], tmp_path: Path) -> None:
    for name, data in media_bytes.items():
        for length in range(0, len(data), max(1, len(data) // 12)):
            path = tmp_path / name
            path.write_bytes(data[:length])
            assert heard(path) <= 0.6


def test_a_rate_that_changes_on_the_way(tmp_path: Path) -> None:
    """An MP3 stream is a row of frames, each with a rate and channels of its own (ISO/IEC 11172-3, 2.4.1.3)."""
    parts = [
        write_media(tmp_path / f"{rate}{layout}.mp3", tone(1.0, rate), rate, "libmp3lame", layout).read_bytes()
        for rate, layout in ((44_100, "stereo"), (8_000, "mono"), (48_000, "mono"))
    ]
    (tmp_path / "talk.mp3").write_bytes(b"".join(parts))
    samples = np.concatenate(list(decode(tmp_path / "talk.mp3", lambda _: None)))
    assert len(samples) / SAMPLE_RATE == pytest.approx(3.0, abs=0.5)


def test_a_rate_too_low_for_speech_is_refused(tmp_path: Path) -> None:
    """A file of a few kilobytes would else last for hours."""
    path = tmp_path / "talk.wav"
    with wave.open(str(path), "wb") as audio:
        audio.setparams((1, 2, 1, 0, "NONE", "NONE"))
        audio.writeframes(bytes(20_000))
    with pytest.raises(InputError, match="1 samples a second are too few"):
        probe(path)


def test_a_stated_length_that_cannot_be_is_counted(tmp_path: Path) -> None:
    """The duration in an MP4's movie and track headers (ISO/IEC 14496-12, 8.2.2 and 8.4.2) says 68 years."""
    path = write_media(tmp_path / "talk.mp4", tone(2.0, 16_000), 16_000, "aac")
    data = bytearray(path.read_bytes())
    for box, time_scale in ((b"mvhd", 12), (b"mdhd", 12)):
        at = data.index(box) + 4 + time_scale
        data[at : at + 8] = (1).to_bytes(4, "big") + (2**31 - 1).to_bytes(4, "big")
    path.write_bytes(data)
    try:
        assert probe(path).duration <= LONGEST
    except InputError as error:
        assert "a length of" in str(error)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on Windows")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "talk.wav")
    with pytest.raises(InputError, match="is a pipe or a device"):
        probe(tmp_path / "talk.wav")


@pytest.mark.parametrize("name", ["x" * 300 + ".wav", "file.wav/talk.wav", "loop.wav"])
def test_paths_that_lead_nowhere(tmp_path: Path, name: str) -> None:
    (tmp_path / "file.wav").write_bytes(b"x")
    if hasattr(os, "symlink"):
        os.symlink("loop.wav", tmp_path / "loop.wav")
    with pytest.raises(InputError, match="check the path"):
        probe(tmp_path / name)


def test_sound_in_an_unknown_form_is_left_out_and_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_media(tmp_path / "talk.wav", tone(1.0, SAMPLE_RATE), SAMPLE_RATE, "pcm_s16le")

    class Refusing:
        def __init__(self, **_: object) -> None:
            pass

        def resample(self, _: object) -> list[object]:
            raise av.error.ArgumentError(22, "Invalid argument")

    monkeypatch.setattr(av, "AudioResampler", Refusing)
    warnings: list[str] = []
    samples = np.concatenate(list(decode(path, warnings.append)))
    assert not samples.any()  # silence in their place: what comes after keeps its time
    assert warnings[0].endswith("pieces of sound in an unknown form were left out")
