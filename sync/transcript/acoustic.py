"""How well texts fit what is heard at a moment."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType

from sync.recording import SAMPLE_RATE, Recording, decode
from sync.transcript.models import DEFAULT_MODEL, find_model
from sync.transcript.recogniser import as_sound, give_back_memory, load_recogniser

SAMPLE_BYTES = 2
MARGIN = 0.1  # seconds; the result hardly depends on it
LONGEST = 29.0  # seconds
SQUARE = re.compile(r"\b[a-h](?=[1-8]\b)")


class Scorer:
    """The sound of one recording, and the model that listens to it. To be closed after use (a with block does).

    Opening it decodes the recording to a temporary file. Raises InputError as probe and find_model do.
    """

    def __init__(self, recording: Recording, model: str = DEFAULT_MODEL, cache: Path | None = None) -> None:
        self._recogniser = load_recogniser(find_model(model, cache))
        self._sound = tempfile.TemporaryFile()  # noqa: SIM115 closed by close
        for block in decode(recording.path):
            self._sound.write(block.tobytes())

    def score(self, start: float, end: float, texts: Sequence[str]) -> list[float]:
        """The log-likelihood of each text for the sound from start to end (seconds), in nats, higher is better.

        Texts of the same moment can be compared, also when they differ in length. A text is as it is spoken, in lower
        case, without a mark at its end: "knight takes d4". The window shall hold just these words; only its first 29 s
        count.
        """
        first = max(0.0, start - MARGIN)
        sound = as_sound(self._read(first, min(end + MARGIN, first + LONGEST)))
        # The full stop stands for the end: without it the beginning of a text would always fit better than the whole.
        return self._recogniser.log_likelihoods(sound, [f"{written(text)}." for text in texts])

    def close(self) -> None:
        self._sound.close()
        give_back_memory()

    def __enter__(self) -> Scorer:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _read(self, start: float, end: float) -> bytes:
        first = round(start * SAMPLE_RATE)
        self._sound.seek(first * SAMPLE_BYTES)
        data = self._sound.read(max(0, round(end * SAMPLE_RATE) - first) * SAMPLE_BYTES)
        return data or bytes(SAMPLE_BYTES * SAMPLE_RATE // 10)  # past the end nobody speaks


def written(text: str) -> str:
    """As models like to write it.

    >>> written("knight takes d4")
    'Knight takes D4'
    """
    return SQUARE.sub(lambda match: match[0].upper(), text[:1].upper() + text[1:])

