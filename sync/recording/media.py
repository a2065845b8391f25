"""Recordings: what a file holds, and its sound as one stream of samples."""

from __future__ import annotations

import hashlib
import logging
import math
import os
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sync.errors import InputError

if TYPE_CHECKING:
    import av
    import numpy as np
    from av.audio.frame import AudioFrame
    from av.audio.stream import AudioStream
    from av.container import InputContainer
    from numpy.typing import NDArray

SAMPLE_RATE = 16_000
BLOCK_SECONDS = 10
HASH_BLOCK = 1 << 20

# Only files that carry sound themselves, and only through the file system: playlists and scripts that point to other
# files or to the network are not opened.
CONTAINERS = "wav,w64,aiff,caf,mp3,aac,flac,ogg,mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi,asf,mpeg,mpegts,flv,amr"
OPEN_OPTIONS = {"protocol_whitelist": "file", "format_whitelist": CONTAINERS}

LONGEST = 100 * 3600.0
"""Seconds. No recording is longer, but a broken header or a broken time may say so."""
LOWEST_RATE = 4000  # samples a second; below, speech cannot be understood, and a small file would last for days
GAP = 0.1  # seconds; shorter ones are rounding
LONGEST_GAP = 3600.0  # seconds, of all gaps together; what goes beyond comes from broken timestamps
MISSING = 0.01  # share of the stated length from which on a shortfall is told
MISSING_SECONDS = 1.0

Warn = Callable[[str], None]
log_warning = logging.getLogger(__name__).warning


@dataclass(frozen=True, slots=True)
class Recording:
    """A file with sound.

    name: file name without folders; sha256: of its bytes, lower-case hex; duration: seconds, as the file states it, or
    counted where it does not; has_video: moving pictures, a cover image does not count.
    """

    path: Path
    name: str
    sha256: str
    duration: float
    has_video: bool


def probe(path: str | os.PathLike[str]) -> Recording:
    """What the file is, without decoding it.

    Raises InputError when there is no such file, it is no recording, or it has no sound.
    """
    file = Path(path)
    with _opened(file) as (container, stream):
        duration = _stated_duration(container, stream)
        has_video = any(not _is_cover(video) for video in container.streams.video)
    if duration is None or not 0 < duration <= LONGEST:
        duration = _counted_duration(file)
    if not 0 < duration <= LONGEST:
        length = "no length" if duration <= 0 else f"a length of {duration / 3600:.0f} hours"
        raise InputError(f"{file}: the sound has {length}; record or export it again")
    return Recording(file, file.name, file_sha256(file), duration, has_video)


def file_sha256(path: Path) -> str:
    """SHA-256 of the file's bytes, lower-case hex."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(HASH_BLOCK):
            digest.update(block)
    return digest.hexdigest()


def decode(path: str | os.PathLike[str], warn: Warn = log_warning) -> Iterator[NDArray[np.int16]]:
    """The sound at 16 kHz, mono, as blocks of at most 10 s; sample n is heard n / 16000 s after the file's start.

    Where the file leaves sound out (its timestamps jump ahead) there is silence, so that times stay true. Damaged
    pieces are left out and told to warn, and so is an early end. Raises InputError as probe does, and when nothing
    can be decoded.
    """
    import numpy as np

    file = Path(path)
    waiting: list[NDArray[np.int16]] = []
    size = BLOCK_SECONDS * SAMPLE_RATE
    total = held = 0
    with _opened(file) as (container, stream):
        stated = _stated_duration(container, stream)
        for samples in _samples(container, stream, warn):
            waiting.append(samples)
            held += len(samples)
            if held < size:
                continue
            joined = np.concatenate(waiting)
            whole = held - held % size
            yield from np.split(joined[:whole], whole // size)
            waiting, total, held = [joined[whole:]], total + whole, held - whole
    last = np.concatenate([np.empty(0, np.int16), *waiting])
    total += len(last)
    if not total:
        raise InputError(f"{file}: no sound can be decoded from it; record or export it again")
    heard = total / SAMPLE_RATE
    if stated and stated - heard > max(MISSING_SECONDS, MISSING * stated):
        warn(f"{file.name}: the sound ends at {_clock(heard)} of {_clock(stated)}; the file may be cut off")
    if len(last):
        yield last


@contextmanager
def _opened(file: Path) -> Iterator[tuple[InputContainer, AudioStream]]:
    import av

    size = _size(file)
    try:
        # "file:" keeps a name such as "concat:a" from being taken for a protocol.
        container = av.open(f"file:{file}", options=OPEN_OPTIONS, metadata_errors="replace")
    except PermissionError as error:
        raise InputError(f"{file}: may not be read; change its permissions") from error
    except (av.error.FFmpegError, OSError, ValueError) as error:
        problem = "not a recording that can be read" if size else "the file is empty"
        raise InputError(f"{file}: {problem}; give WAV, MP3, M4A, MP4, MKV, WebM, OGG or FLAC") from error
    with container:
        stream = container.streams.best("audio")
        if not isinstance(stream, av.AudioStream):
            raise InputError(f"{file}: no sound track in it; export the recording with its sound")
        if getattr(stream, "codec_context", None) is None:  # then it has no rate either
            raise InputError(f"{file}: its sound is in a form that cannot be decoded; export it again, say as WAV")
        if 0 < stream.rate < LOWEST_RATE:
            raise InputError(f"{file}: {stream.rate} samples a second are too few for speech; export it again")
        yield container, stream


def _size(file: Path) -> int:
    """Bytes of the file. Raises InputError for what is none: a pipe would be waited for without end."""
    try:
        status = file.stat()
    except FileNotFoundError as error:
        raise InputError(f"{file}: no such file; check the path") from error
    except OSError as error:
        raise InputError(f"{file}: cannot be read ({error.strerror}); check the path") from error
    if stat.S_ISDIR(status.st_mode):
        raise InputError(f"{file} is a folder: give one recording")
    if not stat.S_ISREG(status.st_mode):
        raise InputError(f"{file} is a pipe or a device: give one recording")
    return status.st_size


def _is_cover(stream: av.VideoStream) -> bool:
    from av.stream import Disposition

    return bool(stream.disposition & (Disposition.attached_pic | Disposition.timed_thumbnails))


def _stated_duration(container: InputContainer, stream: AudioStream) -> float | None:
    if stream.duration and stream.time_base:
        return float(stream.duration * stream.time_base)
    return container.duration / 1_000_000 if container.duration else None


def _counted_duration(file: Path) -> float:
    """End of the last packet; for files that do not state their length (written while they were recorded)."""
    import av

    end = 0.0
    with _opened(file) as (container, stream):
        origin = _origin(container)
        try:
            for packet in container.demux(stream):
                if packet.pts is not None and packet.time_base:
                    end = max(end, float((packet.pts + (packet.duration or 0)) * packet.time_base) - origin)
        except av.error.FFmpegError:
            pass  # cut off here; what came before counts
    return end if end > 0 else sum(map(len, decode(file))) / SAMPLE_RATE


def _origin(container: InputContainer) -> float:
    """The timestamp that players show as 0:00, in seconds."""
    return max(0, container.start_time or 0) / 1_000_000


def _samples(container: InputContainer, stream: AudioStream, warn: Warn) -> Iterator[NDArray[np.int16]]:
    """Decoded pieces of any length, gaps filled with silence."""
    import numpy as np

    origin = _origin(container)
    resampler = _Resampler()
    passed = gaps = 0.0  # seconds of sound so far, and of all gaps in it
    strange = 0
    for frame in _frames(container, stream, warn):
        # frame.time is None in files without timestamps: the sound is gapless then.
        gap = 0.0 if frame.time is None else frame.time - origin - passed
        if GAP < gap < LONGEST_GAP - gaps:
            yield resampler.end()
            yield np.zeros(round(gap * SAMPLE_RATE), np.int16)
            passed, gaps = passed + gap, gaps + gap
        samples = resampler.convert(frame)
        if samples is None:
            strange += 1
            continue
        passed += frame.samples / frame.sample_rate
        yield samples
    yield resampler.end()
    if strange:
        warn(f"{Path(container.name).name}: {strange} pieces of sound in an unknown form were left out")


def _frames(container: InputContainer, stream: AudioStream, warn: Warn) -> Iterator[AudioFrame]:
    import av

    damaged = 0
    packets = container.demux(stream)
    while True:
        try:
            packet = next(packets, None)
        except av.error.FFmpegError as error:
            warn(f"{Path(container.name).name}: cannot be read to its end ({error.strerror})")
            break
        if packet is None:
            break
        try:
            frames = packet.decode()
        except av.error.FFmpegError:
            damaged += 1
            continue
        yield from frames
    if damaged:
        warn(f"{Path(container.name).name}: {damaged} damaged pieces of sound were left out")


class _Resampler:
    """Frames to 16 kHz mono, also where the layout or the rate changes on the way."""

    def __init__(self) -> None:
        self._resampler: av.AudioResampler | None = None
        self._form: tuple[str, str, int] | None = None

    def convert(self, frame: AudioFrame) -> NDArray[np.int16] | None:
        """None for a frame that is no sound, as damaged files have them."""
        import av
        import numpy as np

        form = (frame.format.name, frame.layout.name, frame.sample_rate)
        rest = np.empty(0, np.int16) if form == self._form else self.end()
        if self._resampler is None:
            self._resampler = av.AudioResampler(format="s16", layout="mono", rate=SAMPLE_RATE)
            self._form = form
        frame.pts = None  # gaps are filled already
        try:
            parts = self._resampler.resample(frame)
        except (av.error.FFmpegError, ValueError):
            self._resampler = self._form = None
            return None
        return np.concatenate([rest, *(part.to_ndarray()[0] for part in parts)])

    def end(self) -> NDArray[np.int16]:
        """What is still on its way; the next frame starts anew."""
        import numpy as np

        parts = self._resampler.resample(None) if self._resampler else []
        self._resampler = self._form = None
        return np.concatenate([np.empty(0, np.int16), *(part.to_ndarray()[0] for part in parts)])


def _clock(seconds: float) -> str:
    minutes, rest = divmod(math.floor(seconds), 60)
    return f"{minutes // 60}:{minutes % 60:02d}:{rest:02d}"
