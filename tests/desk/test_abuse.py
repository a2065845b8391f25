"""Clients that are slow, greedy or hostile do not stop the desk's server, nor learn anything from it."""

from __future__ import annotations

import json
import socket
import time
from contextlib import suppress
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cli.desk.run import LOOPBACK
from sync.lesson.edits import KINDS
from tests.desk.conftest import TOKEN, Serve, Served
from tests.desk.test_server import ask, post

OWN = {"host": "127.0.0.1:{port}", "origin": "http://127.0.0.1:{port}", "content-type": "application/json"}


def raw(served: Served, data: bytes) -> bytes:
    """What comes back for these bytes, up to the end of the connection or half a second of silence."""
    with socket.create_connection((LOOPBACK, served.port), timeout=5) as connection:
        answer = b""
        with suppress(TimeoutError, ConnectionError):
            connection.sendall(data)
            connection.settimeout(0.5)
            while part := connection.recv(65536):
                answer += part
        return answer


def is_alive(served: Served) -> bool:
    return ask(served, f"/{TOKEN}/state")[0] == 200


@pytest.mark.parametrize("number", ["²", "--1", "9" * 5000, "-1", "1e9", "٣", "", "%00", "0x10", "1_0"])
def test_numbers_in_addresses_may_be_anything(serve: Serve, number: str) -> None:
    from urllib.parse import quote

    served = serve()
    assert ask(served, f"/{TOKEN}/state?since={quote(number)}")[0] in (200, 204)
    assert ask(served, f"/{TOKEN}/position?game={quote(number)}")[0] in (200, 422)


@pytest.mark.parametrize(
    "body", [b"[" * 900_000, b'{"a":' * 150_000, b'{"edits": [NaN], "based_on": 1e999}', b"1" * 9000]
)
def test_bodies_that_choke_readers_are_refused(serve: Serve, body: bytes) -> None:
    served = serve()
    own = {"origin": f"http://127.0.0.1:{served.port}", "content_type": "application/json"}
    for path in ("edits", "preview", "undo", "redo"):
        assert ask(served, f"/{TOKEN}/{path}", "POST", body, **own)[0] in (409, 422)
    assert served.desk.opened.edits == ()


RANGES = [
    "bytes=" + ",".join(f"{n}-{n}" for n in range(0, 8000, 2)),
    "bytes=" + ",".join(["0-"] * 1000),
    "bytes=-" + "9" * 4000,
    "bytes=" + "9" * 4000 + "-",
    "bytes=5-1", "bytes=--1", "bytes=²-", "bytes=", "lines=1-2", "bytes=0-0,99999999999999999999-",
]  # fmt: skip


@pytest.mark.parametrize("value", RANGES, ids=lambda value: value[:20])
def test_ranges_are_answered_soon_and_never_with_more_than_twice_the_file(
    serve: Serve, value: str, recording: Any
) -> None:
    """RFC 9110, 14.2: a server may ignore or refuse ranges that overlap, or are many."""
    served = serve()
    before = time.process_time()
    status, _, content = ask(served, f"/{TOKEN}/recording", range=value.encode().decode("latin-1"))
    assert status in (200, 206, 400, 416)
    assert len(content) <= 2 * recording.stat().st_size + 1_000_000
    assert time.process_time() - before < 5
    assert is_alive(served)


def test_slow_clients_hold_nobody_up(serve: Serve) -> None:
    """Two hundred that send half a request or half a body, and wait; one that never reads what it asked for."""
    served = serve()
    half = f"GET /{TOKEN}/state HTTP/1.1\r\nhost: 127.0.0.1:{served.port}\r\nx: ".encode()
    head = "".join(f"{name}: {value.format(port=served.port)}\r\n" for name, value in OWN.items())
    body = f"POST /{TOKEN}/edits HTTP/1.1\r\n{head}content-length: 500000\r\n\r\n{{".encode()
    whole = f"GET /{TOKEN}/recording HTTP/1.1\r\nhost: 127.0.0.1:{served.port}\r\n\r\n".encode()
    held = []
    for number in range(201):
        connection = socket.create_connection((LOOPBACK, served.port), timeout=5)
        connection.sendall(whole * 20 if number == 200 else (half, body)[number % 2])
        held.append(connection)
    assert is_alive(served)
    assert post(served, "edits", {"edits": [{"kind": "title", "at": 0, "text": "x"}], "based_on": 0})[0] == 200
    for connection in held:
        connection.close()
    assert is_alive(served)


JUNK = [
    b"\r\n\r\n", b"GET", b"GET / HTTP/9.9\r\n\r\n", b"\x16\x03\x01\x02\x00\x01\x00",
    b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    b"GET /\xff\xfe HTTP/1.1\r\nhost: x\r\n\r\n", b"GET /%ff%00 HTTP/1.1\r\nhost: x\r\n\r\n",
    b"GET / HTTP/1.1\r\nhost: a\r\nhost: b\r\n\r\n", b"GET / HTTP/1.1\r\n\r\n",
    b"GET / HTTP/1.1\r\nhost: " + b"x" * 100_000 + b"\r\n\r\n", b"GET /" + b"a" * 200_000 + b" HTTP/1.1\r\n\r\n",
    b"POST / HTTP/1.1\r\ncontent-length: -1\r\n\r\n", b"POST / HTTP/1.1\r\ntransfer-encoding: chunked\r\n\r\nzz\r\n",
    b"GET / HTTP/1.1\r\nupgrade: websocket\r\nconnection: upgrade\r\nsec-websocket-key: eA==\r\n\r\n",
]  # fmt: skip


@pytest.mark.parametrize("data", JUNK, ids=lambda data: repr(data[:30]))
def test_what_is_no_request_tells_nothing(serve: Serve, data: bytes, recording: Any) -> None:
    served = serve()
    answer = raw(served, data)
    status = answer.split(b" ")[1:2]
    assert status in ([], [b"400"], [b"404"], [b"421"], [b"431"])
    assert TOKEN.encode() not in answer and b"Traceback" not in answer and len(answer) < 1000
    assert is_alive(served)


PLAIN = st.sampled_from([None, True, "e2e4", "e7e5", "played", "\ud800", "", 0, 1, 2.5, 5.0, -1, 10**20, float("nan")])
VALUES = PLAIN | st.lists(PLAIN, max_size=3) | st.text(max_size=8)
MEMBERS = ("at", "end", "text", "uci", "role", "line", "was", "game", "nags", "start", "stop", "order", "tags")
EDITS = st.fixed_dictionaries({"kind": st.sampled_from(sorted(KINDS))}, optional=dict.fromkeys(MEMBERS, VALUES))


@pytest.fixture
def served(serve: Serve) -> Served:
    return serve()


@given(st.sampled_from(["edits", "preview", "speaker", "undo"]), EDITS, VALUES, VALUES)
@settings(deadline=None, max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_json_gets_an_answer(served: Served, path: str, edit: Any, based_on: Any, name: Any) -> None:
    """Never a fault of the server, and every refusal in one line."""
    number = served.desk.opened.journal.history.number
    body = {"edits": [edit], "based_on": number if based_on is None else based_on, "name": name}
    own = {"origin": f"http://127.0.0.1:{served.port}", "content_type": "application/json"}
    status, _, content = ask(served, f"/{TOKEN}/{path}", "POST", json.dumps(body).encode(), **own)
    assert status in (200, 409, 422)
    if status != 200:
        assert len(json.loads(content)["error"].splitlines()) == 1
