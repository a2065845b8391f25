"""Builds the bundled sample anew from its script: python -m tests.speech.make_sample samples/NAME.lesson.txt

Writes NAME.ogg (Opus), NAME.webm (the same sound with a board that shows what is talked about, VP8) and
NAME.truth.pgn (the true game, each move with the time at which it is first named) beside the script.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import av
import chess
import numpy as np
from numpy.typing import NDArray

from sync.files.diagram import diagram_png, diagram_svg
from tests.speech.script import Script, build_tree, read_script
from tests.speech.speak import OUTPUT_RATE, Samples, piper_voice, spoken_lesson
from tests.speech.truth import mention_starts, true_game

BIT_RATE = 24_000
PICTURE_SIZE = 360
PICTURES_A_SECOND = 4
OPUS_RATE = 48_000
OPUS_FRAME = 960

Picture = NDArray[np.uint8]


def write_lesson_media(path: Path, samples: Samples, pictures: Iterator[Picture] | None) -> None:
    """The samples (OUTPUT_RATE, mono) as Opus; with pictures, one after the other, as VP8."""
    with av.open(str(path), "w") as container:
        sound: Any = container.add_stream("libopus", rate=OPUS_RATE, layout="mono")
        sound.bit_rate = BIT_RATE
        if pictures is not None:
            _write_pictures(container, pictures)
        frame = av.AudioFrame.from_ndarray((np.clip(samples, -1, 1) * 32767).astype(np.int16)[None, :], "s16", "mono")
        frame.sample_rate = OUTPUT_RATE
        resampler = av.AudioResampler("flt", "mono", OPUS_RATE, frame_size=OPUS_FRAME)
        passed = 0
        for part in [*resampler.resample(frame), *resampler.resample(None)]:
            part.pts, passed = passed, passed + part.samples
            container.mux(sound.encode(part))
        container.mux(sound.encode(None))


def _write_pictures(container: Any, pictures: Iterator[Picture]) -> None:
    stream = container.add_stream("libvpx", rate=PICTURES_A_SECOND)
    stream.width = stream.height = PICTURE_SIZE
    stream.pix_fmt = "yuv420p"
    stream.codec_context.gop_size = 5 * PICTURES_A_SECOND
    stream.options = {"crf": "30", "b": "60k", "deadline": "good"}
    for picture in pictures:
        container.mux(stream.encode(av.VideoFrame.from_ndarray(picture, "rgb24")))
    container.mux(stream.encode(None))


def board_pictures(script: Script, starts: dict[str, float], duration: float) -> Iterator[Picture]:
    """The board at every PICTURES_A_SECOND-th of a second."""
    _, nodes = build_tree(script)
    changes = sorted(((start, nodes[place]) for place, start in starts.items()), key=lambda change: change[0])
    picture = _picture(chess.Board(script.start_fen), None)
    for number in range(round(duration * PICTURES_A_SECOND)):
        while changes and changes[0][0] <= number / PICTURES_A_SECOND:
            _, node = changes.pop(0)
            picture = _picture(node.board(), node.move)
        yield picture


def _picture(board: chess.Board, move: chess.Move | None) -> Picture:
    png = diagram_png(diagram_svg(board, last_move=move), PICTURE_SIZE)
    with av.open(io.BytesIO(png), "r") as container:
        pixels = next(container.decode(video=0)).to_ndarray(format="rgb24")
    return pixels.astype(np.uint8)[:PICTURE_SIZE, :PICTURE_SIZE]


def main(script_path: Path) -> None:
    script = read_script(script_path)
    samples, truth = spoken_lesson(script, piper_voice(speed=1.0))
    starts = mention_starts(truth)
    name = script_path.name.removesuffix(".lesson.txt")
    write_lesson_media(script_path.with_name(f"{name}.ogg"), samples, None)
    pictures = board_pictures(script, starts, truth["duration"])
    write_lesson_media(script_path.with_name(f"{name}.webm"), samples, pictures)
    script_path.with_name(f"{name}.truth.pgn").write_text(f"{true_game(script, starts)}\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
