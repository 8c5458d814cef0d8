"""SIGTERM while a save waits: the save is finished and answered, the log is written back, and the exit code is 0."""

from __future__ import annotations

import http.client
import json
import signal
import socket
import sqlite3
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from tests.faults.test_killed_server import PATIENCE_S, REQUEST, server

HELD_S = 1.5


def post_slowly(port: int, answers: list[tuple[int, dict[str, Any]]]) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    connection.request("POST", "/api/v1/setups", json.dumps(REQUEST), {"Content-Type": "application/json"})
    answer = connection.getresponse()
    answers.append((answer.status, json.loads(answer.read())))
    connection.close()


def refuses_newcomers(port: int) -> None:
    """Wait until nobody new is let in: at once on a quiet machine."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        try:
            socket.create_connection(("127.0.0.1", port)).close()
        except ConnectionRefusedError:
            return
        time.sleep(0.1)
    pytest.fail("it lets newcomers in while it stops")


@pytest.fixture(autouse=True)
def _hears_ctrl_c() -> None:
    """Who starts the tests in the background of a script lets every process below them ignore Ctrl+C."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.mark.sqlite
@pytest.mark.parametrize("how", [signal.SIGTERM, pytest.param(signal.SIGINT, marks=pytest.mark.long)])
def test_what_is_under_way_is_finished_before_the_stop(tmp_path: Path, how: signal.Signals) -> None:
    file, answers = tmp_path / "setups.db", []
    with server(tmp_path, SETUP_CARD_DATABASE_WAIT_S="30") as (process, port):
        idle = socket.create_connection(("127.0.0.1", port))  # a browser that keeps its connection
        other = sqlite3.connect(file, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        saving = threading.Thread(target=post_slowly, args=(port, answers))
        saving.start()
        time.sleep(HELD_S)
        assert not answers, "the save should be waiting for the lock"
        process.send_signal(how)
        refuses_newcomers(port)
        time.sleep(HELD_S)
        assert process.poll() is None, "it went without its request"
        other.execute("ROLLBACK")
        other.close()
        saving.join(PATIENCE_S)
        assert process.wait(PATIENCE_S) == 0
        idle.close()
    ((status, body),) = answers
    assert status == 201
    log = file.with_name("setups.db-wal")
    assert not log.exists() or log.stat().st_size == 0
    with sqlite3.connect(f"file:{file}?mode=ro&immutable=1", uri=True) as copy:
        assert copy.execute("SELECT code FROM setup").fetchall() == [(body["code"],)]
    copy.close()
