"""The worker beside gunicorn says that it waits, which stack it worked on, and that it stopped."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.servers import free_port
from tests.webapp.stacks.conftest import Table
from webapp.stacks.make_cards import waiting_stacks

PATIENCE_S = 60.0


Start = Callable[..., "subprocess.Popen[str]"]


@pytest.fixture
def start(app: Flask) -> Iterator[Start]:
    """Start `setup-card worker` on the app's own data, with more settings."""
    with contextlib.ExitStack() as started:

        def start(**settings: str) -> subprocess.Popen[str]:
            given = os.environ | {"SETUP_CARD_DATA": str(app.config["DATA"])} | settings
            command = [sys.executable, "-m", "webapp", "worker"]
            process = started.enter_context(subprocess.Popen(command, env=given, stderr=subprocess.PIPE, text=True))
            started.callback(process.kill)
            return process

        yield start


def order(app: Flask, staff: FlaskClient, table: Table) -> None:
    """Order a stack of two cards."""
    with app.app_context():
        answer = staff.post("/shop/stacks/table", data={"table": table(2), "size": "a6"})
    assert answer.status_code == 303


def finished(app: Flask, worker: subprocess.Popen[str]) -> str:
    """Wait until no stack waits, stop the worker and return what it said."""
    end = time.monotonic() + PATIENCE_S
    with app.app_context():
        while waiting_stacks():
            assert time.monotonic() < end, "nobody made the stack"
            time.sleep(0.2)
    worker.send_signal(signal.SIGTERM)
    _, said = worker.communicate(timeout=PATIENCE_S)
    assert worker.returncode == 0
    return said


@pytest.mark.sqlite
@pytest.mark.long
def test_a_worker_says_what_it_does(app: Flask, staff: FlaskClient, table: Table, start: Start) -> None:
    worker = start()
    order(app, staff, table)
    said = finished(app, worker)
    assert "Waiting for stacks of cards." in said
    assert re.search(r"Stack 1: worked on for \d+\.\d s\.", said)
    assert "Stopped." in said


@pytest.mark.sqlite
@pytest.mark.long
def test_a_worker_whose_redis_is_away_makes_what_waits_and_says_so_once(
    app: Flask, staff: FlaskClient, table: Table, start: Start
) -> None:
    """Before, the stack waited for as long as Redis was away, and the log grew by 6 kB a second."""
    order(app, staff, table)
    worker = start(SETUP_CARD_REDIS_URL=f"redis://127.0.0.1:{free_port()}")
    time.sleep(4)
    said = finished(app, worker)
    assert "Stack 1: worked on" in said
    assert "Traceback" not in said
    assert said.count("Error reading from queue") == 1
