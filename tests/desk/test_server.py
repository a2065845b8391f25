"""The desk's server serves this machine's editor and nobody else."""

from __future__ import annotations

import http.client
import json
import os
import re
import signal
import subprocess
import time
from pathlib import Path
from typing import Any

import pytest

from cli.desk.run import LOOPBACK, listening
from cli.desk.server import HEADERS, new_token
from cli.review_command import find_recording
from sync.errors import InputError
from sync.lesson import Media
from sync.lesson.journal import Journal
from tests.cli.conftest import PROJECT, command
from tests.desk.conftest import TOKEN, Serve, Served
from tests.desk.lessons import put_down, small_lesson

TITLE = {"kind": "title", "at": 0, "text": "Quiet games"}


def ask(
    served: Served, path: str, method: str = "GET", body: Any = None, **headers: str
) -> tuple[int, http.client.HTTPResponse, bytes]:
    """A request with exactly these headers besides the host, _ standing for -."""
    connection = http.client.HTTPConnection(LOOPBACK, served.port, timeout=10)
    sent = {name.replace("_", "-"): value for name, value in headers.items()}
    connection.putrequest(method, path, skip_host="host" in sent, skip_accept_encoding=True)
    data = body if isinstance(body, bytes) else b"" if body is None else json.dumps(body).encode()
    if data:
        sent.setdefault("content-length", str(len(data)))
    for name, value in sent.items():
        connection.putheader(name, value)
    connection.endheaders(data or None)
    response = connection.getresponse()
    content = response.read()
    connection.close()
    return response.status, response, content


def post(served: Served, path: str, body: Any, **headers: str) -> tuple[int, Any]:
    own = {"origin": f"http://127.0.0.1:{served.port}", "content_type": "application/json"} | headers
    status, _, content = ask(served, f"/{TOKEN}/{path}", "POST", body, **own)
    return status, json.loads(content) if content.startswith(b"{") else content


def test_only_this_machine_can_reach_it() -> None:
    listener = listening(0)
    assert listener.getsockname()[0] == "127.0.0.1"
    listener.close()


def test_a_taken_port_is_told() -> None:
    listener = listening(0)
    with pytest.raises(InputError, match="cannot be used"):
        listening(listener.getsockname()[1])
    listener.close()


def test_each_run_has_a_token_of_its_own() -> None:
    tokens = {new_token() for _ in range(50)}
    assert len(tokens) == 50 and all(re.fullmatch(r"[\w-]{32}", token) for token in tokens)


@pytest.mark.parametrize("path", ["/", "/state", "/wrong/", f"/{TOKEN}", f"/{TOKEN}x/state", f"/x/../{TOKEN}y/"])
def test_without_the_token_nothing_is_told(serve: Serve, path: str) -> None:
    status, _, content = ask(serve(), path)
    assert (status, content) == (404, b"refused")


@pytest.mark.parametrize("host", ["lessons.example", "127.0.0.1", "127.0.0.1:1", "[::1]:80", "127.0.0.1.example", ""])
def test_a_host_that_is_not_this_one_is_refused(serve: Serve, host: str) -> None:
    """DNS rebinding: a foreign name that leads to the loopback address. RFC 9110, 15.5.20: 421 Misdirected Request."""
    status, _, _ = ask(serve(), f"/{TOKEN}/state", host=host)
    assert status in (400, 421)


@pytest.mark.parametrize("origin", ["http://lessons.example", "null", "https://127.0.0.1", "http://127.0.0.1:1"])
def test_a_page_of_another_origin_is_refused(serve: Serve, origin: str) -> None:
    served = serve()
    assert ask(served, f"/{TOKEN}/state", origin=origin)[0] == 403
    assert post(served, "edits", {"edits": [TITLE], "based_on": 0}, origin=origin)[0] == 403
    assert served.desk.opened.edits == ()


def test_what_another_site_asks_for_is_refused(serve: Serve) -> None:
    """Fetch Metadata Request Headers (W3C): Sec-Fetch-Site tells where a request comes from."""
    served = serve()
    assert ask(served, f"/{TOKEN}/recording", sec_fetch_site="cross-site")[0] == 403
    assert ask(served, f"/{TOKEN}/recording", sec_fetch_site="same-origin")[0] == 200


def test_edits_come_from_the_page_as_json_or_not_at_all(serve: Serve) -> None:
    served = serve()
    body = {"edits": [TITLE], "based_on": 0}
    assert ask(served, f"/{TOKEN}/edits", "POST", body, content_type="application/json")[0] == 403
    assert post(served, "edits", body, content_type="text/plain")[0] == 403
    assert served.desk.opened.edits == ()
    assert post(served, "edits", body)[0] == 200
    assert len(served.desk.opened.edits) == 1


@pytest.mark.parametrize(
    "path",
    ["../evening.plycue.json", "assets/../desk.py", "assets/..%2fdesk.py", "assets/%2e%2e/server.py", "recording/x",
     "evening.plycue.json", "evening.transcript.json", "assets//etc/passwd", "assets/%2fetc%2fpasswd",
     "assets/page.html", "recording?file=/etc/passwd%00"],
)  # fmt: skip
def test_no_other_file_is_handed_out(serve: Serve, path: str, recording: Path) -> None:
    status, _, content = ask(serve(), f"/{TOKEN}/{path}")
    assert status == 404 or content == recording.read_bytes()


def test_a_recording_outside_of_the_folder_is_not_taken(tmp_path: Path) -> None:
    """Not even by a symbolic link in it."""
    secret = tmp_path / "secret.webm"
    secret.write_bytes(b"x")
    folder = tmp_path / "lesson"
    (folder / "page").mkdir(parents=True)
    media = Media("evening.webm", "0" * 64, 1.0)
    assert find_recording(folder, media) is None
    (folder / "evening.webm").symlink_to(secret)
    assert find_recording(folder, media) is None
    (folder / "page" / "evening.webm").write_bytes(b"y")
    assert find_recording(folder, media) == folder / "page" / "evening.webm"


def test_every_answer_has_the_strict_headers(serve: Serve) -> None:
    served = serve()
    for path in ("", "assets/main.js", "state", "recording", "nothing"):
        _, response, _ = ask(served, f"/{TOKEN}/{path}")
        assert {name: response.getheader(name) for name in HEADERS} == HEADERS
    policy = HEADERS["content-security-policy"]
    assert policy.startswith("default-src 'none'; script-src 'self';") and "unsafe" not in policy


def test_parts_of_the_recording_can_be_asked_for(serve: Serve, recording: Path) -> None:
    """RFC 9110, 14: byte ranges."""
    served, data = serve(), recording.read_bytes()
    status, response, content = ask(served, f"/{TOKEN}/recording", range="bytes=100-199")
    assert (status, content) == (206, data[100:200])
    assert response.getheader("content-range") == f"bytes 100-199/{len(data)}"
    assert ask(served, f"/{TOKEN}/recording", range="bytes=-50")[2] == data[-50:]
    assert ask(served, f"/{TOKEN}/recording", range=f"bytes={len(data)}-")[0] == 416


@pytest.mark.parametrize(
    "body",
    [None, [], {"edits": None}, {"edits": []}, {"edits": [7]}, {"edits": [{"kind": "move"}]}, {"edits": [TITLE]},
     {"edits": [TITLE], "based_on": "0"}, {"edits": [{**TITLE, "more": 1}], "based_on": 0}],
)  # fmt: skip
@pytest.mark.parametrize("path", ["edits", "preview"])
def test_what_is_no_edit_is_told_and_changes_nothing(serve: Serve, path: str, body: Any) -> None:
    served = serve()
    status, told = post(served, path, body)
    assert status in (409, 422) and "\n" not in told["error"]
    assert served.desk.opened.edits == ()


def test_a_body_that_is_too_large_or_no_json_is_refused(serve: Serve) -> None:
    served = serve()
    own = {"origin": f"http://127.0.0.1:{served.port}", "content_type": "application/json"}
    for raw in (b'{"edits": "' + b"x" * 2_000_000 + b'"}', b"{", b"\xff"):
        assert ask(served, f"/{TOKEN}/edits", "POST", raw, **own)[0] == 422
    assert ask(served, f"/{TOKEN}/state")[0] == 200


def test_the_second_of_two_windows_is_told(serve: Serve) -> None:
    served = serve()
    assert post(served, "edits", {"edits": [TITLE], "based_on": 0})[0] == 200
    status, told = post(served, "edits", {"edits": [{**TITLE, "text": "Mine"}], "based_on": 0})
    assert (status, told["error"]) == (409, "another window or command has changed this lesson")
    state = json.loads(ask(served, f"/{TOKEN}/state")[2])
    assert (state["title"], state["number"]) == ("Quiet games", 1)


def test_a_command_s_edit_shows_up(serve: Serve) -> None:
    """The journal was added to by another process."""
    served = serve()
    stamp = json.loads(ask(served, f"/{TOKEN}/state")[2])["stamp"]
    assert ask(served, f"/{TOKEN}/state?since={stamp}")[0] == 204
    from sync.lesson.edits import TitleEdit

    Journal(served.path.with_name("evening.plycue.journal")).add([TitleEdit(0, "By a command")], 0)
    assert json.loads(ask(served, f"/{TOKEN}/state?since={stamp}")[2])["title"] == "By a command"


def test_kill_9_at_the_desk_loses_nothing(tmp_path: Path) -> None:
    """The command itself is killed the moment it has acknowledged an edit; the next desk has the edit."""
    path = put_down(tmp_path, *small_lesson())
    for number in range(3):
        process = subprocess.Popen(
            command("review", path, "--no-browser"), stdout=subprocess.PIPE, text=True, cwd=PROJECT,
            env=os.environ | {"PLYCUE_CACHE": str(tmp_path / "cache")},
        )  # fmt: skip
        assert process.stdout is not None
        address = process.stdout.readline().strip()
        found = re.fullmatch(r"http://127\.0\.0\.1:(\d+)/([\w-]{32})/", address)
        assert found is not None
        connection = http.client.HTTPConnection(LOOPBACK, int(found[1]), timeout=20)
        body = json.dumps({"edits": [{**TITLE, "text": f"title {number}"}], "based_on": number})
        headers = {"origin": address.rstrip("/").rsplit("/", 1)[0], "content-type": "application/json"}
        connection.request("POST", f"/{found[2]}/edits", body, headers)
        state = json.loads(connection.getresponse().read())
        os.kill(process.pid, signal.SIGKILL)
        process.wait()
        assert state["title"] == f"title {number}"
        assert [edit["text"] for edit in state["edits"]] == [f"title {made}" for made in range(number + 1)]


@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGTERM])
def test_ctrl_c_ends_it_and_the_edits_are_in_the_project(tmp_path: Path, ending: signal.Signals) -> None:
    path = put_down(tmp_path, *small_lesson())
    process = subprocess.Popen(
        command("review", path, "--no-browser"), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=PROJECT
    )
    assert process.stdout is not None and process.stdout.readline()
    from sync.lesson.edits import TitleEdit

    Journal(tmp_path / "evening.plycue.journal").add([TitleEdit(0, "Quiet games")], 0)
    time.sleep(0.5)
    process.send_signal(ending)
    _, errors = process.communicate(timeout=20)
    assert (process.returncode, errors) == (0, "")
    assert json.loads(path.read_text())["edits"] == [TITLE | {"at": 0.0}]
