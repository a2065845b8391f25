"""Transcript files: any caption or transcript file in, Plycue's own JSON in and out."""

from __future__ import annotations

import codecs
import os
import re
from pathlib import Path

from sync.atomic import write_text
from sync.errors import InputError
from sync.transcript.captions import read_captions
from sync.transcript.cues import cue_words
from sync.transcript.json_form import from_json, to_json
from sync.transcript.marks import read_marked_text
from sync.transcript.place import in_time_order
from sync.transcript.words import Transcript

LARGEST = 100_000_000  # bytes; three hours of talk with word times are about 3 million
MOST_WORDS = 100_000  # eleven hours of talk
BYTE_ORDER_MARKS = {codecs.BOM_UTF8: "utf-8-sig", codecs.BOM_UTF16_LE: "utf-16", codecs.BOM_UTF16_BE: "utf-16"}
BINARY = re.compile(r"[\x00-\x08\x0e-\x1a\x1c-\x1f]")
TIMING_LINE = re.compile(r"\d\s*-->", re.ASCII)


def read_transcript(path: str | os.PathLike[str]) -> Transcript:
    """Reads WebVTT, SubRip, JSON (Plycue's own or a recogniser's) or plain text with [m:ss] marks.

    The kind is told by the content. Words whose times are only coarsely known carry a spread.
    Raises InputError when there is no such file, it holds no words, or its times cannot be read.
    """
    file = Path(path)
    text = _text(file)
    transcript = parse_transcript(text, file.name)
    if not transcript.words:
        raise InputError(f"{file}: no words in it; choose another transcript or let the recording be heard")
    if len(transcript.words) > MOST_WORDS:
        raise InputError(f"{file}: more than {MOST_WORDS} words, longer than a lesson; cut it into parts")
    return transcript


def write_transcript(transcript: Transcript, path: str | os.PathLike[str]) -> None:
    """Writes Plycue's own JSON, whole or not at all; read_transcript gives the same transcript back."""
    write_text(path, to_json(transcript))


def parse_transcript(text: str, name: str) -> Transcript:
    """The transcript in a text of any kind that read_transcript knows; name is that of its file. May have no words."""
    start = text.lstrip()[:20]
    if start[:1] == "{" or (start[:1] == "[" and start[1:].lstrip()[:1] in ("{", "]")):
        return from_json(text, name)
    if start.startswith("WEBVTT") or TIMING_LINE.search(text):
        words = cue_words(read_captions(text, name))
    else:
        words = read_marked_text(text, name) if text.strip() else []
    ordered = in_time_order(words)
    return Transcript(ordered, max((word.end for word in ordered), default=0.0), name)


def _text(file: Path) -> str:
    try:
        with file.open("rb") as opened:
            data = opened.read(LARGEST + 1)
    except FileNotFoundError as error:
        raise InputError(f"{file}: no such file; check the path") from error
    except OSError as error:
        raise InputError(f"{file}: cannot be read ({error.strerror}); give a transcript file") from error
    if len(data) > LARGEST:
        raise InputError(f"{file}: larger than {LARGEST // 1_000_000} MB, no transcript; give recordings as FILE")
    text = _decoded(data)
    if BINARY.search(text):
        raise InputError(f"{file}: not a text file; give WebVTT, SubRip, JSON or text with [m:ss] marks")
    return text


def _decoded(data: bytes) -> str:
    encoding = next((name for mark, name in BYTE_ORDER_MARKS.items() if data.startswith(mark)), "utf-8")
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")  # what old subtitle editors write
