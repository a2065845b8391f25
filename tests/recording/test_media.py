"""Probing and decoding files that PyAV (FFmpeg's libraries) writes."""

from __future__ import annotations

import hashlib
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from sync.errors import InputError
from sync.recording import SAMPLE_RATE, decode, probe
from tests.recording.media import tone, write_media

CONTAINERS = [
    ("wav", "pcm_s16le", 44_100, "stereo"),
    ("wav", "pcm_s16le", 8_000, "mono"),
    ("wav", "pcm_s16le", 48_000, "7.1"),
    ("wav", "pcm_f32le", 96_000, "mono"),
    ("mp3", "libmp3lame", 44_100, "stereo"),
    ("m4a", "aac", 44_100, "mono"),
    ("mp4", "aac", 48_000, "5.1"),
    ("mkv", "flac", 16_000, "mono"),
    ("webm", "libopus", 48_000, "stereo"),
    ("ogg", "libopus", 48_000, "stereo"),
    ("flac", "flac", 22_050, "mono"),
]


def decoded(path: Path, warnings: list[str] | None = None) -> NDArray[np.int16]:
    warn = (warnings if warnings is not None else []).append
    return np.concatenate(list(decode(path, warn)))


def pitch(samples: NDArray[np.int16]) -> float:
    """The strongest frequency, in hertz."""
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
    return float(np.argmax(spectrum)) * SAMPLE_RATE / len(samples)


@pytest.mark.parametrize(("kind", "codec", "rate", "layout"), CONTAINERS)
def test_every_container_decodes_to_16_khz_mono(tmp_path: Path, kind: str, codec: str, rate: int, layout: str) -> None:
    path = write_media(tmp_path / f"talk.{kind}", tone(2.0, rate), rate, codec, layout)
    recording = probe(path)
    assert recording.duration == pytest.approx(2.0, abs=0.1)
    assert recording.name == f"talk.{kind}"
    assert recording.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert not recording.has_video
    warnings: list[str] = []
    samples = decoded(path, warnings)
    assert samples.dtype == np.int16
    assert len(samples) / SAMPLE_RATE == pytest.approx(2.0, abs=0.1)
    assert pitch(samples) == pytest.approx(440, abs=3)
    assert np.abs(samples).max() > 3000
    assert warnings == []


@pytest.mark.parametrize(("kind", "codec"), [("mp4", "aac"), ("mkv", "aac"), ("webm", "libopus")])
def test_sound_that_starts_late_keeps_its_place(tmp_path: Path, kind: str, codec: str) -> None:
    path = write_media(tmp_path / f"talk.{kind}", tone(1.0, 48_000), 48_000, codec, video=True, offset=1.5)
    assert probe(path).has_video
    samples = decoded(path)
    onset = np.flatnonzero(np.abs(samples) > 2000)[0] / SAMPLE_RATE
    assert onset == pytest.approx(1.5, abs=0.03)
    assert len(samples) / SAMPLE_RATE == pytest.approx(2.5, abs=0.1)


def test_blocks_are_ten_seconds_and_join_to_the_whole(tmp_path: Path) -> None:
    path = write_media(tmp_path / "talk.flac", tone(23.0, 16_000), 16_000, "flac")
    assert [len(block) / SAMPLE_RATE for block in decode(path)] == [10.0, 10.0, 3.0]


def test_a_wav_decodes_to_its_own_samples(tmp_path: Path) -> None:
    path = write_media(tmp_path / "talk.wav", tone(1.0, SAMPLE_RATE), SAMPLE_RATE, "pcm_s16le")
    with wave.open(str(path)) as audio:
        expected = np.frombuffer(audio.readframes(audio.getnframes()), "<i2")
    assert np.array_equal(decoded(path), expected)


def test_a_file_written_while_recording_states_no_length(tmp_path: Path) -> None:
    path = write_media(tmp_path / "talk.webm", tone(3.0, 48_000), 48_000, "libopus", video=True, options={"live": "1"})
    assert probe(path).duration == pytest.approx(3.0, abs=0.1)


def test_a_cut_off_file_is_heard_as_far_as_it_goes(tmp_path: Path) -> None:
    path = write_media(tmp_path / "talk.wav", tone(8.0, SAMPLE_RATE), SAMPLE_RATE, "pcm_s16le")
    path.write_bytes(path.read_bytes()[:100_000])
    warnings: list[str] = []
    assert len(decoded(path, warnings)) / SAMPLE_RATE == pytest.approx(3.1, abs=0.1)


def test_a_cut_off_container_is_told(tmp_path: Path) -> None:
    path = write_media(tmp_path / "talk.mkv", tone(8.0, 16_000), 16_000, "flac")
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    warnings: list[str] = []
    assert 2 < len(decoded(path, warnings)) / SAMPLE_RATE < 6
    assert "talk.mkv: the sound ends at 0:00:0" in warnings[-1]


def test_damage_inside_is_told_and_left_out(tmp_path: Path) -> None:
    path = write_media(tmp_path / "talk.mp3", tone(8.0, 44_100), 44_100, "libmp3lame")
    data = bytearray(path.read_bytes())
    data[20_000:24_000] = np.random.default_rng(0).integers(0, 255, 4000, np.uint8).tobytes()
    path.write_bytes(data)
    warnings: list[str] = []
    assert len(decoded(path, warnings)) / SAMPLE_RATE == pytest.approx(8.0, abs=0.6)
    assert warnings


def refused(path: Path) -> str:
    with pytest.raises(InputError) as by_probe:
        probe(path)
    with pytest.raises(InputError) as by_decode:
        list(decode(path))
    for caught in (by_probe, by_decode):
        assert len(str(caught.value).splitlines()) == 1
    return str(by_probe.value)


def test_what_is_no_recording_is_refused(tmp_path: Path) -> None:
    assert "no such file" in refused(tmp_path / "nothing.wav")
    assert "is a folder" in refused(tmp_path)
    (tmp_path / "empty.wav").touch()
    assert "is empty" in refused(tmp_path / "empty.wav")
    (tmp_path / "text.mp4").write_text("1. e4 e5 2. Nf3\n" * 1000)
    assert "not a recording" in refused(tmp_path / "text.mp4")
    (tmp_path / "noise.mp3").write_bytes(np.random.default_rng(1).integers(0, 255, 3000, np.uint8).tobytes())
    refused(tmp_path / "noise.mp3")


def test_pictures_without_sound_are_refused(tmp_path: Path) -> None:
    import av

    with av.open(str(tmp_path / "talk.mp4"), "w") as container:
        stream = container.add_stream("mpeg4", rate=5)
        stream.width, stream.height, stream.pix_fmt = 32, 32, "yuv420p"
        container.mux(stream.encode(av.VideoFrame.from_ndarray(np.zeros((32, 32, 3), np.uint8), "rgb24")))
        container.mux(stream.encode(None))
    assert "no sound track" in refused(tmp_path / "talk.mp4")


def test_a_recording_of_no_length_is_refused(tmp_path: Path) -> None:
    with wave.open(str(tmp_path / "talk.wav"), "wb") as audio:
        audio.setparams((1, 2, 16_000, 0, "NONE", "NONE"))
    message = refused(tmp_path / "talk.wav")
    assert "no length" in message or "no sound" in message


def test_a_playlist_that_points_elsewhere_is_not_opened(tmp_path: Path) -> None:
    write_media(tmp_path / "talk.wav", tone(1.0, 16_000), 16_000, "pcm_s16le")
    (tmp_path / "list.m3u8").write_text(
        "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nhttp://127.0.0.1:9/x.ts\n#EXT-X-ENDLIST\n"
    )
    (tmp_path / "list.ffconcat").write_text("ffconcat version 1.0\nfile talk.wav\n")
    for name in ("list.m3u8", "list.ffconcat"):
        assert "not a recording" in refused(tmp_path / name)


def test_a_name_that_looks_like_a_protocol_is_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_media(tmp_path / "talk.wav", tone(1.0, 16_000), 16_000, "pcm_s16le").rename(tmp_path / "concat:a.wav")
    monkeypatch.chdir(tmp_path)
    assert probe("concat:a.wav").duration == pytest.approx(1.0)


def test_importing_loads_no_media_library() -> None:
    code = (
        "import sys, sync.recording, sync.transcript; "
        "print([name for name in ('numpy', 'av', 'pydub', 'faster_whisper', 'ctranslate2') if name in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


@pytest.fixture(scope="module")
def media_bytes(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("media")
    return {
        kind: write_media(folder / f"talk.{kind}", tone(0.3, rate), rate, codec, layout).read_bytes()
        for kind, codec, rate, layout in CONTAINERS
    }


@given(st.data())
@settings(deadline=None, max_examples=150)
def test_damaged_media_give_sound_or_one_line(media_bytes: dict[str, bytes], data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(sorted(media_bytes)))
    damaged = bytearray(media_bytes[kind])
    for _ in range(data.draw(st.integers(0, 6))):
        # Most of what can go wrong stands at the beginning.
        place = data.draw(st.integers(0, min(400, len(damaged) - 1)) | st.integers(0, len(damaged) - 1))
        damaged[place] = data.draw(st.integers(0, 255))
    cut = data.draw(st.just(len(damaged)) | st.integers(0, len(damaged)))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"talk.{kind}"
        path.write_bytes(damaged[:cut])
        for look in (probe, lambda file: sum(map(len, decode(file)))):
            try:
                look(path)
            except InputError as error:
                assert len(str(error).splitlines()) == 1


def test_sound_in_an_unknown_form_is_refused(tmp_path: Path) -> None:
    """A WAV header with a format tag that no decoder knows (its place: RIFF WAVE, "fmt " chunk, from memory)."""
    path = tmp_path / "unknown.wav"
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(8000)
        out.writeframes(bytes(16000))
    content = bytearray(path.read_bytes())
    content[20:22] = b"\x34\x12"
    path.write_bytes(content)
    with pytest.raises(InputError, match="cannot be decoded"):
        probe(path)
