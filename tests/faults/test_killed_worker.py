"""The process that makes cards is killed half way: the server starts another, and each card is made once."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import time
import urllib.parse
import urllib.request
from collections.abc import Callable
from http.cookiejar import CookieJar
from pathlib import Path

import pytest

from tests.conftest import settings_in
from tests.faults.test_killed_server import server
from webapp import create_app
from webapp.accounts.actions.open_shop import open_shop
from webapp.ground.database.engine import database

PATIENCE_S = 120.0
CARDS = 60
PASSWORD = "three grey herons asleep"  # noqa: S105 it opens an invented shop


def state(folder: Path) -> tuple[str, int]:
    """Return the stack's state and how many of its cards are done."""
    with sqlite3.connect(folder / "setups.db") as connection:
        found = connection.execute(
            "SELECT state, (SELECT count(*) FROM stack_card WHERE state = 'done') FROM card_stack"
        ).fetchone()
    connection.close()
    return str(found[0]), int(found[1])


def wait_until(holds: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < end, "it did not get so far"
        time.sleep(0.1)


def child_of(process: subprocess.Popen[str]) -> int:
    """Return the process that the server started."""
    path = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    children = [int(one) for task in path.parent.parent.iterdir() for one in (task / "children").read_text().split()]
    (worker,) = children
    return worker


@pytest.mark.sqlite
@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="finds the child in /proc")
def test_a_worker_killed_half_way_is_replaced_and_nothing_is_lost_or_doubled(tmp_path: Path) -> None:
    app = create_app(settings_in(tmp_path))
    with app.app_context():
        open_shop("Lantern Lane", "mira", PASSWORD)
        database.close()
    with server(tmp_path, SETUP_CARD_WTF_CSRF_ENABLED="false") as (process, port):
        browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))

        def send(path: str, form: dict[str, str]) -> str:
            data = urllib.parse.urlencode(form).encode()
            with browser.open(f"http://127.0.0.1:{port}{path}", data, timeout=PATIENCE_S) as answer:
                return str(answer.url)

        send("/shop/log-in", {"login": "mira", "password": PASSWORD})
        lines = [f"{50 + n},trail,140,Heron {n}" for n in range(CARDS)]
        table = "\n".join(("Rider weight,Riding style,Fork travel,Bike", *lines))
        page = send("/shop/stacks/table", {"table": table, "size": "a4-8"})
        assert page.endswith("/shop/stacks/1")
        wait_until(lambda: state(tmp_path)[1] >= CARDS // 3)
        first = child_of(process)
        os.kill(first, signal.SIGKILL)
        wait_until(lambda: state(tmp_path)[0] == "done")
        assert child_of(process) != first
        with browser.open(f"{page}/cards-1.pdf", timeout=PATIENCE_S) as answer:
            assert answer.read(5) == b"%PDF-"
        process.send_signal(signal.SIGTERM)
        assert process.wait(PATIENCE_S) == 0
    with sqlite3.connect(tmp_path / "setups.db") as connection:
        labels = [row[0] for row in connection.execute("SELECT bike_label FROM revision")]
        parts = connection.execute("SELECT first, cards FROM stack_part").fetchall()
    connection.close()
    assert sorted(labels) == sorted(f"Heron {n}" for n in range(CARDS))
    assert parts == [(1, CARDS)]
