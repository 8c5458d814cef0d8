"""What stands between a browser and the app: large bodies, and connections that are held open."""

from __future__ import annotations

import contextlib
import json
import resource
import secrets
import socket
import time
from collections.abc import Iterator
from http.client import HTTPConnection, HTTPResponse
from pathlib import Path

import pytest

from tests.faults.test_killed_server import save, server
from webapp import create_app
from webapp.accounts.actions.open_shop import open_shop
from webapp.ground.database.engine import database
from webapp.ground.fields.uploaded_text import FILE_LIMIT

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
FORM = "application/x-www-form-urlencoded"
#: About the HTTP server, which is the same on every database.
pytestmark = pytest.mark.sqlite
PATIENCE_S = 60.0
#: The longest that a page may take while others hold connections open [s].
LONGEST_S = 2.0
IDLE, SLOW = 1_000, 200


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """A running server with one shop."""
    folder = tmp_path_factory.mktemp("data")
    app = create_app({"DATA": str(folder)})
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        database.engine.dispose()
    with server(folder, SETUP_CARD_WTF_CSRF_ENABLED="false") as (_process, port):
        save(port, "warm")
        yield port


def ask(port: int, method: str, path: str, body: bytes, kind: str, cookie: str = "") -> tuple[HTTPResponse, str]:
    """Return a request's answer and its text."""
    connection = HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    try:
        connection.request(method, path, body or None, {"Content-Type": kind, "Cookie": cookie})
        answer = connection.getresponse()
        return answer, answer.read().decode()
    finally:
        connection.close()


def log_in(port: int) -> str:
    """Return the cookies of the shop's owner."""
    answer, page = ask(port, "POST", "/shop/log-in", f"login=mira&password={PASSWORD.replace(' ', '+')}".encode(), FORM)
    assert answer.status == 303, page
    return "; ".join(one.partition(";")[0] for one in answer.headers.get_all("Set-Cookie", []))


def library_file(size: int) -> bytes:
    """Return a form with a CSV file of nearly `size` bytes: few forks, long notes."""
    row = f"fork,Fork {{n}},{'a' * 190}\n"
    text = "kind,name,note\n" + "".join(row.format(n=n) for n in range(size // 210))
    text += "\n" * (size - len(text))
    head = '--x\r\nContent-Disposition: form-data; name="file"; filename="forks.csv"\r\n\r\n'
    return (head + text + "\r\n--x\r\n").encode() + (
        b'Content-Disposition: form-data; name="known"\r\n\r\nreplace\r\n--x--\r\n'
    )


@pytest.mark.parametrize("size", [1_100_000, FILE_LIMIT - 1])
def test_a_file_as_large_as_the_page_promises_reaches_the_library(port: int, size: int) -> None:
    kind = "multipart/form-data; boundary=x"
    answer, page = ask(port, "POST", "/shop/units/import", library_file(size), kind, log_in(port))
    assert answer.status == 303, page[:300]
    assert "added=" in str(answer.headers["Location"])


@pytest.mark.parametrize("size", [100_000, 1_200_000, 3_000_000, 20_000_000])
def test_a_body_that_is_too_large_is_answered_with_a_page(port: int, size: int) -> None:
    answer, page = ask(port, "POST", "/", b"a=" + b"x" * size, FORM)
    assert answer.status == 413
    assert "<h1>The request is too large</h1>" in page
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    answer, text = ask(port, "POST", "/api/v1/setups", b'{"a": "' + b"x" * size + b'"}', "application/json")
    assert answer.status == 413
    assert json.loads(text)["errors"][0]["field"] == "body"


def test_a_body_without_end_is_answered_before_it_comes(port: int) -> None:
    head = f"POST / HTTP/1.1\r\nHost: localhost\r\nContent-Type: {FORM}\r\nContent-Length: 900000000000\r\n\r\n"
    with socket.create_connection(("127.0.0.1", port), PATIENCE_S) as held:
        held.sendall(head.encode())
        assert b"413" in held.recv(100)


def timed(port: int, path: str) -> float:
    """Return how long a page takes [s]; it has to be answered."""
    begun = time.monotonic()
    connection = HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    try:
        connection.request("GET", path)
        answer = connection.getresponse()
        answer.read()
    finally:
        connection.close()
    assert answer.status == 200
    return time.monotonic() - begun


@pytest.mark.long
def test_a_thousand_idle_and_two_hundred_slow_connections_keep_nobody_waiting(tmp_path: Path) -> None:
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(4_000, hard), hard))
    try:
        with server(tmp_path) as (_process, port), contextlib.ExitStack() as held:
            took = [timed(port, "/")]
            idle = [held.enter_context(socket.create_connection(("127.0.0.1", port), PATIENCE_S)) for _n in range(IDLE)]
            slow = [held.enter_context(socket.create_connection(("127.0.0.1", port), PATIENCE_S)) for _n in range(SLOW)]
            for part in (b"POST / HTTP/1.1\r\n", b"Host: localhost\r\n", b"Content-Length: 900\r\n\r\n", b"a", b"="):
                for one in slow:
                    one.sendall(part)
                took += [timed(port, path) for path in ("/", "/about", "/healthz")]
            took.append(timed(port, f"/s/{save(port, secrets.token_hex(16))['code']}"))
            assert max(took[1:]) < LONGEST_S, took
            assert len(idle) == IDLE
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


@pytest.mark.long
def test_a_request_that_trickles_in_is_given_up(tmp_path: Path) -> None:
    with server(tmp_path) as (_process, port), socket.create_connection(("127.0.0.1", port), PATIENCE_S) as held:
        begun = time.monotonic()
        held.settimeout(1.0)
        ended = False
        while not ended and time.monotonic() - begun < PATIENCE_S:
            try:
                held.sendall(b"GET / HTTP/1.1\r\n"[:1])  # a request line that goes on and on
                ended = held.recv(100) == b""
            except TimeoutError:
                continue
            except OSError:
                ended = True
        assert ended
        assert timed(port, "/about") < LONGEST_S
