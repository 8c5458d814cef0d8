"""The worker beside gunicorn says that it waits, which stack it worked on, and that it stopped."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.webapp.stacks.conftest import Table
from webapp.stacks.make_cards import waiting_stacks

PATIENCE_S = 60.0


@pytest.fixture
def worker(app: Flask) -> Iterator[subprocess.Popen[str]]:
    """`setup-card worker` on the app's own data."""
    settings = {"SETUP_CARD_DATA": str(app.config["DATA"])}
    with subprocess.Popen(
        [sys.executable, "-m", "webapp", "worker"],
        env=os.environ | settings,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        yield process
        process.kill()


@pytest.mark.sqlite
@pytest.mark.long
def test_a_worker_says_what_it_does(
    app: Flask, staff: FlaskClient, table: Table, worker: subprocess.Popen[str]
) -> None:
    assert staff.post("/shop/stacks/table", data={"table": table(2), "size": "a6"}).status_code == 303
    end = time.monotonic() + PATIENCE_S
    with app.app_context():
        while waiting_stacks():
            assert time.monotonic() < end, "nobody made the stack"
            time.sleep(0.2)
    worker.send_signal(signal.SIGTERM)
    _, said = worker.communicate(timeout=PATIENCE_S)
    assert worker.returncode == 0
    assert "Waiting for stacks of cards." in said
    assert re.search(r"Stack 1: worked on for \d+\.\d s\.", said)
    assert "Stopped." in said
