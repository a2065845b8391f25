"""The page as a folder of files, or as one file."""

from __future__ import annotations

import base64
import hashlib
import mimetypes
import os
import re
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from markupsafe import Markup

from sync.atomic import PART, clear_parts, sync_folder, write_text
from sync.errors import InputError
from sync.files.page.bundle import asset, script
from sync.files.page.data import page_data
from sync.files.page.links import Links
from sync.files.page.moves import moves_html
from sync.files.page.speech import clock_text
from sync.files.page.talk import talk_html
from sync.files.pieces import MARGIN, PIECES, SQUARE, Shape
from sync.lesson.lesson import Lesson
from sync.transcript.words import Transcript

EMBEDDED_BYTES = 8 * 1024 * 1024
"""single_page takes a recording of up to this size into the page."""

MEDIA_TYPES = {
    ".aac": "audio/aac",
    ".flac": "audio/flac",
    ".m4a": "audio/mp4",
    ".m4v": "video/mp4",
    ".mkv": "video/x-matroska",
    ".mov": "video/quicktime",
    ".mp3": "audio/mpeg",
    ".mp4": "video/mp4",
    ".oga": "audio/ogg",
    ".ogg": "audio/ogg",
    ".ogv": "video/ogg",
    ".opus": "audio/ogg",
    ".wav": "audio/wav",
    ".weba": "audio/webm",
    ".webm": "video/webm",
}
"""By file name suffix; the same on every machine, where the system's own table is not."""

POLICY = (
    "default-src 'none'; script-src {script}; style-src {style}; media-src {media}; img-src data:; "
    "base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types 'none'"
)


NO_NAME = re.compile(r'[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\\/:*?"<>|]')


@dataclass(frozen=True, slots=True)
class _Parts:
    """Where the page finds what it is made of: URLs, and sources of the Content-Security-Policy."""

    media: str | None
    captions: str
    pgn: str
    style: Markup
    script: Markup
    style_source: str
    script_source: str


def write_page(
    lesson: Lesson,
    transcript: Transcript,
    out_dir: Path,
    *,
    pgn: str,
    captions: str,
    media_file: Path | None = None,
    media_link: str | None = None,
    name: str = "lesson",
) -> Path:
    """Writes index.html, page.css, page.js, NAME.pgn and NAME.vtt into out_dir and returns the path of index.html.

    The folder works on any static host and when index.html is opened from disk. pgn, captions: texts of the PGN and
    the WebVTT file. media_file: the recording; the page refers to it when it lies in out_dir or below, else it is put
    there under its own name, as a hard link where the file system has them and as a copy where not. media_link:
    address of a recording hosted elsewhere, with {seconds} for the time; moves then lead out of the page. Of the two at
    most one; with neither the page has no recording. Raises InputError.
    """
    links = _links(name, media_file, media_link)
    _make_folder(out_dir)
    media = None if media_file is None else _place_media(media_file, out_dir, name)
    parts = _Parts(
        media=media,
        captions=quote(f"{name}.vtt"),
        pgn=quote(f"{name}.pgn"),
        style=Markup('<link rel="stylesheet" href="page.css">'),
        script=Markup('<script src="page.js" defer></script>'),
        style_source="'self'",
        script_source="'self'",
    )
    page = out_dir / "index.html"
    write_text(out_dir / f"{name}.vtt", captions)
    write_text(out_dir / f"{name}.pgn", pgn)
    write_text(out_dir / "page.css", asset("page.css"))
    write_text(out_dir / "page.js", script())
    write_text(page, _html(lesson, transcript, parts, links, name))
    return page


def single_page(
    lesson: Lesson,
    transcript: Transcript,
    *,
    pgn: str,
    captions: str,
    media_file: Path | None = None,
    media_link: str | None = None,
    name: str = "lesson",
) -> str:
    """The page as one HTML file that needs no other, save a recording too large to be taken into it.

    A recording of up to EMBEDDED_BYTES is part of the page; a larger one must lie beside it under its own name. The
    rest is as in write_page.
    """
    links = _links(name, media_file, media_link)
    style, code = asset("page.css"), script()
    parts = _Parts(
        media=None if media_file is None else _embedded_media(media_file),
        captions=_data_url("text/vtt", captions.encode()),
        pgn=_data_url("application/vnd.chess-pgn", pgn.encode()),
        style=Markup(f"<style>{style}</style>"),
        script=Markup(f"<script>{code}</script>"),
        style_source=_hash_source(style),
        script_source=_hash_source(code),
    )
    return _html(lesson, transcript, parts, links, name)


def check_name(name: str) -> None:
    """Raises InputError for a name that some system cannot give to a file, for a page goes to other machines."""
    if not name or NO_NAME.search(name) or name.startswith("."):
        raise InputError(f"{name!r} cannot name a lesson's files: rename it to letters, digits, spaces, - and _")


def _links(name: str, media_file: Path | None, media_link: str | None) -> Links:
    """Checks what both forms of the page are given."""
    check_name(name)
    if media_file is not None and media_link is not None:
        raise InputError("the page can play a file or lead to a link, not both: leave one of them out")
    if media_file is not None and not media_file.is_file():
        raise InputError(f"no recording at {media_file}: check the path")
    return Links(media_link)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"cannot make the folder {folder}: {error.strerror}; choose another place") from error


def _html(lesson: Lesson, transcript: Transcript, parts: _Parts, links: Links, name: str) -> str:
    data = page_data(lesson, transcript, links.template)
    # A "<" in a text could end the data block; JSON has an escape for it.
    for character in "<>&\u2028\u2029":
        data = data.replace(character, f"\\u{ord(character):04x}")
    return Markup(asset("page.html")).format(
        policy=POLICY.format(script=parts.script_source, style=parts.style_source, media="'self' data:"),
        title=lesson.title or "A chess lesson",
        icon=_icon(),
        style=parts.style,
        script=parts.script,
        shapes=_shapes(),
        kind=_kind(parts.media, links),
        media=_media_html(parts),
        pgn=parts.pgn,
        pgn_name=f"{name}.pgn",
        moves=moves_html(lesson, links),
        talk=talk_html(lesson, transcript, links),
        chapters=_chapters(lesson, links),
        accuracy=_accuracy(transcript),
        data=Markup(data),
    )


def _kind(media: str | None, links: Links) -> str:
    if media is not None:
        return "file"
    return "none" if links.template is None else "link"


def _media_html(parts: _Parts) -> Markup:
    if parts.media is None:
        return Markup("")
    # The suffix alone tells little about .webm or .mp4: a video element plays sound as well.
    audio = parts.media.startswith("data:audio") or _media_type(parts.media).startswith("audio")
    return Markup(
        '<{tag} id="media" controls playsinline preload="metadata" src="{source}">'
        '<track kind="captions" srclang="en" label="English" src="{captions}"></{tag}>'
    ).format(tag="audio" if audio else "video", source=parts.media, captions=parts.captions)


def _chapters(lesson: Lesson, links: Links) -> Markup:
    item = Markup('<li><a class="chapter" data-c="{}" {}><span>{}</span> {}</a></li>')
    return Markup("\n").join(
        item.format(number, links.attributes(0, None, chapter.start), clock_text(chapter.start), chapter.title)
        for number, chapter in enumerate(lesson.chapters)
    )


def _accuracy(transcript: Transcript) -> str:
    """What to say about times that were read off coarse marks."""
    spread = max((word.spread for word in transcript.words), default=0.0)
    return f"Times may be off by up to {spread:.0f} seconds." if spread >= 1 else ""


def _shapes() -> Markup:
    return Markup("").join(_symbol(name, shape) for name, shape in PIECES.items())


def _symbol(name: str, shape: Shape) -> Markup:
    side = SQUARE - 2 * MARGIN
    body, cuts = _paths(shape.body), _paths(shape.cuts)
    return Markup(
        '<symbol id="piece-{}" viewBox="{} {} {} {}" overflow="visible"><g class="halo">{}</g><g class="body">{}</g>'
        '<g class="cuts">{}</g></symbol>'
    ).format(name, MARGIN, MARGIN, side, side, body, body, cuts)


def _paths(paths: tuple[str, ...]) -> Markup:
    return Markup("").join(Markup('<path d="{}"/>').format(path) for path in paths)


def _icon() -> str:
    svg = Markup(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"><rect width="100" height="100" rx="18" '
        'fill="#4d3a63"/><g fill="#fffdf8" stroke="#fffdf8" stroke-width="3">{}</g></svg>'
    ).format(_paths(PIECES["n"].body))
    return f"data:image/svg+xml,{quote(svg)}"


def _media_type(path: str) -> str:
    suffix = Path(path).suffix.lower()
    return MEDIA_TYPES.get(suffix) or mimetypes.guess_type(f"x{suffix}", strict=False)[0] or "video/mp4"


def _place_media(media_file: Path, out_dir: Path, name: str) -> str:
    """The recording's address relative to out_dir; puts it there when it lies elsewhere."""
    source = media_file.resolve()
    folder = out_dir.resolve()
    if source.is_relative_to(folder):
        return quote(source.relative_to(folder).as_posix())
    if media_file.name in ("index.html", "page.css", "page.js", f"{name}.pgn", f"{name}.vtt"):
        raise InputError(f"{media_file} bears the name of one of the page's files: rename it")
    target = folder / media_file.name
    if not (target.exists() and target.samefile(source)):
        _link_or_copy(source, target)
    return quote(media_file.name)


def _link_or_copy(source: Path, target: Path) -> None:
    """Puts source at target whole or not at all."""
    try:
        clear_parts(target.parent)
        with tempfile.TemporaryDirectory(prefix=".media.", suffix=PART, dir=target.parent) as folder:
            temporary = Path(folder) / "media"
            try:
                os.link(source, temporary)
            except OSError:
                _copy(source, temporary)
            os.replace(temporary, target)
        sync_folder(target.parent)
    except OSError as error:
        reason = error.strerror or error
        raise InputError(f"cannot put {source} into {target.parent}: {reason}; free the place or some room") from error


def _copy(source: Path, target: Path) -> None:
    shutil.copyfile(source, target)
    with target.open("rb+") as file:
        os.fsync(file.fileno())


def _embedded_media(media_file: Path) -> str:
    try:
        if media_file.stat().st_size > EMBEDDED_BYTES:
            return quote(media_file.name)
        return _data_url(_media_type(media_file.name), media_file.read_bytes())
    except OSError as error:
        raise InputError(f"cannot read {media_file}: {error.strerror or error}; check its rights") from error


def _data_url(media_type: str, data: bytes) -> str:
    return f"data:{media_type};base64,{base64.b64encode(data).decode()}"


def _hash_source(text: str) -> str:
    """The policy's source expression for one inline element (CSP Level 3, 2.3.1)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
