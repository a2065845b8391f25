"""The desk's web server, for this machine and this editor alone.

It listens on the loopback address; its address holds a random token; requests must name this host (against DNS
rebinding) and come from its own page; and the only file of the disk that it hands out is the recording.
"""

from __future__ import annotations

import json
import re
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from importlib.resources import files
from pathlib import Path
from typing import Any

from markupsafe import Markup
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from cli.desk.desk import Desk
from sync.errors import InputError
from sync.files.page.bundle import asset as page_asset
from sync.files.page.write import MEDIA_TYPES, _icon, _shapes
from sync.lesson.journal import StaleError

ASSETS = files("cli.desk") / "assets"
OWN = ("desk.css", *(f"{name}.js" for name in (
    "main", "state", "server", "sound", "edit", "detail", "lists", "keys", "dialog")))  # fmt: skip
SHARED = ("board.js", "position.js", "view.js", "lesson.js")
"""Modules of the viewer's page that the desk uses as well: its board."""

TYPES = {".js": "text/javascript", ".css": "text/css", ".html": "text/html"}
LARGEST_BODY = 1_000_000
"""Bytes."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; media-src 'self'; img-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; "
    "trusted-types 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cache-control": "no-store",
}

WHOLE_NUMBER = re.compile(r"[0-9]{1,15}")

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]


def new_token() -> str:
    """192 random bits, for one run."""
    return secrets.token_urlsafe(24)


def desk_app(desk: Desk, media: Path | None, token: str, port: int) -> Callable[[Scope, Receive, Send], Any]:
    """The desk as an ASGI application. media: the recording."""

    async def page(_: Request) -> Response:
        html = Markup((ASSETS / "desk.html").read_text(encoding="utf-8")).format(
            icon=_icon(), shapes=_shapes(), kind=_media_kind(media)
        )
        return Response(html, media_type="text/html")

    async def asset(request: Request) -> Response:
        name = request.path_params["name"]
        if name in OWN:
            text = (ASSETS / name).read_text(encoding="utf-8")
        elif name in SHARED:
            text = page_asset(name)
        else:
            return PlainTextResponse("no such file", 404)
        return Response(text, media_type=TYPES[Path(name).suffix])

    async def recording(_: Request) -> Response:
        if media is None:
            return PlainTextResponse("no recording", 404)
        return FileResponse(media, media_type=MEDIA_TYPES.get(media.suffix.lower(), "video/mp4"))

    async def state(request: Request) -> Response:
        shown = await run_in_threadpool(desk.shown, _whole_number(request.query_params.get("since", ""), -1))
        return Response(status_code=204) if shown is None else JSONResponse(shown)

    async def position(request: Request) -> Response:
        line = tuple(filter(None, request.query_params.get("line", "").split(",")))
        return await _answer(desk.position, _whole_number(request.query_params.get("game", ""), 0), line)

    async def preview(request: Request) -> Response:
        given = await _body(request)
        return await _answer(desk.preview, given.get("edits"), given.get("based_on"))

    async def take(request: Request) -> Response:
        given = await _body(request)
        return await _answer(desk.take, given.get("edits"), given.get("based_on"))

    async def undo(request: Request) -> Response:
        return await _answer(desk.undo, (await _body(request)).get("based_on"))

    async def redo(request: Request) -> Response:
        return await _answer(desk.redo, (await _body(request)).get("based_on"))

    async def speaker(request: Request) -> Response:
        return await _answer(desk.name_speaker, str((await _body(request)).get("name", "")))

    async def publish(_: Request) -> Response:
        return await _answer(lambda: {"files": [path.name for path in desk.publish()]})

    routes = [
        Route("/", page),
        Route("/assets/{name}", asset),
        Route("/recording", recording),
        Route("/state", state),
        Route("/position", position),
        *(
            Route(f"/{name}", endpoint, methods=["POST"])
            for name, endpoint in (
                ("preview", preview), ("edits", take), ("undo", undo), ("redo", redo), ("speaker", speaker),
                ("publish", publish),
            )
        ),
    ]  # fmt: skip
    return _guarded(Starlette(routes=routes), token, port)


def _media_kind(media: Path | None) -> str:
    if media is None:
        return "none"
    return "audio" if MEDIA_TYPES.get(media.suffix.lower(), "video").startswith("audio") else "video"


def _whole_number(text: str, otherwise: int) -> int:
    return int(text) if WHOLE_NUMBER.fullmatch(text) else otherwise


async def _body(request: Request) -> dict[str, Any]:
    data = b""
    async for chunk in request.stream():
        data += chunk
        if len(data) > LARGEST_BODY:
            return {}
    try:
        value = json.loads(data)
    except (ValueError, RecursionError):
        return {}
    return value if isinstance(value, dict) else {}


async def _answer(work: Callable[..., Any], *arguments: Any) -> Response:
    """What the desk answers; 409 when another window was quicker, 422 with one line when it cannot be done."""
    try:
        return JSONResponse(await run_in_threadpool(work, *arguments))
    except StaleError:
        return JSONResponse({"error": "another window or command has changed this lesson"}, 409)
    except InputError as error:
        return JSONResponse({"error": str(error)}, 422)


def _guarded(app: Starlette, token: str, port: int) -> Callable[[Scope, Receive, Send], Any]:
    """The app below /TOKEN/, for requests that name this host and come from its own page."""
    hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
    base = f"/{token}"

    async def guarded(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        status = _refusal(scope, hosts, base)

        async def with_headers(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [
                    *((name, value) for name, value in message["headers"] if name.decode() not in HEADERS),
                    *((name.encode(), value.encode()) for name, value in HEADERS.items()),
                ]
            await send(message)

        if status:
            await PlainTextResponse("refused", status)(scope, receive, with_headers)
            return
        path = scope["path"].removeprefix(base) or "/"
        await app({**scope, "path": path, "raw_path": path.encode(), "root_path": ""}, receive, with_headers)

    return guarded


def _refusal(scope: Scope, hosts: set[str], base: str) -> int:
    """The status with which a request is refused, 0 for one that is served."""
    headers: dict[str, list[str]] = {}
    for name, value in scope["headers"]:
        headers.setdefault(name.decode("latin-1"), []).append(value.decode("latin-1"))
    (host,) = headers.get("host", [""])[:1]
    if len(headers.get("host", ())) != 1 or host not in hosts:
        return 421
    origins = headers.get("origin", [])
    if any(origin != f"http://{host}" for origin in origins):
        return 403
    if headers.get("sec-fetch-site", ["none"])[0] not in ("none", "same-origin"):
        return 403
    sent = headers.get("content-type", [""])[0].partition(";")[0]
    if scope["method"] not in ("GET", "HEAD") and (not origins or sent != "application/json"):
        return 403
    given = scope["path"][: len(base) + 1]
    if not secrets.compare_digest(given.encode(), f"{base}/".encode()):
        return 404
    return 0
