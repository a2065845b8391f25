"""Small media files for the tests, written with PyAV."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import av
import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]


def tone(seconds: float, rate: int, hertz: float = 440.0, level: float = 0.3) -> Samples:
    """A sine; level is its amplitude, full scale = 1."""
    return level * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate)


def write_media(
    path: Path,
    samples: Samples,
    rate: int,
    codec: str,
    layout: str = "mono",
    video: bool = False,
    offset: float = 0.0,
    options: dict[str, Any] | None = None,
) -> Path:
    """The samples on every channel of one sound track that starts offset seconds into the file."""
    with av.open(str(path), "w", options=options or {}) as container:
        sound: Any = container.add_stream(codec, rate=rate, layout=layout)
        picture = _picture_stream(container) if video else None
        codec_format = sound.codec_context.format.name if sound.codec_context.format else "s16"
        channels = len(av.AudioLayout(layout).channels)
        if picture is not None:
            _write_pictures(container, picture, offset + len(samples) / rate)
        resampler = av.AudioResampler(codec_format, layout, rate, frame_size=1024)
        pcm = np.repeat((np.clip(samples, -1, 1) * 32767).astype(np.int16)[:, None], channels, axis=1)
        frame = av.AudioFrame.from_ndarray(pcm.reshape(1, -1), "s16", layout)
        frame.sample_rate = rate
        frame.pts = 0
        position = round(offset * rate)
        for part in [*resampler.resample(frame), *resampler.resample(None)]:
            part.pts = position
            position += part.samples
            container.mux(sound.encode(part))
        container.mux(sound.encode(None))
    return path


def _picture_stream(container: Any) -> Any:
    stream = container.add_stream("mpeg4" if container.format.name != "webm" else "libvpx", rate=5)
    stream.width, stream.height, stream.pix_fmt = 32, 32, "yuv420p"
    return stream


def _write_pictures(container: Any, stream: Any, seconds: float) -> None:
    for _ in range(round(seconds * 5)):
        container.mux(stream.encode(av.VideoFrame.from_ndarray(np.zeros((32, 32, 3), np.uint8), "rgb24")))
    container.mux(stream.encode(None))
