"""Coarse captions of a spoken lesson: python -m tests.speech.captions TRUTH.json OUT.txt

Plain text cut about every 20 seconds, each piece behind its [m:ss], without times of words.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

SECONDS = 20.0


def coarse_captions(text: str, duration: float) -> str:
    words = text.split()
    pace = duration / len(words)
    step = max(1, round(SECONDS / pace))
    pieces = ((int(at * pace), " ".join(words[at : at + step])) for at in range(0, len(words), step))
    return "\n\n".join(f"[{second // 60}:{second % 60:02d}] {piece}" for second, piece in pieces) + "\n"


if __name__ == "__main__":
    truth = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    Path(sys.argv[2]).write_text(coarse_captions(truth["text"], truth["duration"]), encoding="utf-8")
