"""The server is killed in the middle of saves: whatever it had acknowledged is there after the next start."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import signal
import socket
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from tests.databases import server_url, storage
from webapp import create_app
from webapp.ground.action_errors import LinkUnknownError
from webapp.ground.database.engine import database
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.list_revisions import list_revisions

REQUEST = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140, "rebound_clicks": 16}}
PATIENCE_S = 60.0


@contextmanager
def server(folder: Path, **settings: str) -> Iterator[tuple[subprocess.Popen[str], int]]:
    """Run `setup-card serve` on a free port and give its process and port."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith("SETUP_CARD_")}
    environment |= {"SETUP_CARD_DATA": str(folder), "SETUP_CARD_RATELIMIT_ENABLED": "false"}
    environment |= {f"SETUP_CARD_{name}": value for name, value in storage(folder).items()} | settings
    process = subprocess.Popen(
        [sys.executable, "-m", "webapp", "serve", "--port", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env=environment,
    )
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        yield process, int(line.split("localhost:")[1].split("/")[0])
    finally:
        if process.poll() is None:
            process.kill()
        process.wait()
        if process.stdout is not None:
            process.stdout.close()


def save(port: int, key: str) -> dict[str, Any]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    headers = {"Content-Type": "application/json", "Idempotency-Key": key}
    try:
        connection.request("POST", "/api/v1/setups", json.dumps(REQUEST), headers)
        answer = connection.getresponse()
        body = json.loads(answer.read())
        assert answer.status == 201, body
        return dict(body)
    finally:
        connection.close()


def keep_saving(port: int, name: str, acknowledged: list[tuple[str, dict[str, Any]]]) -> None:
    number = 0
    while True:
        key = f"{name}-{number}"
        try:
            answer = save(port, key)
        except (OSError, http.client.HTTPException, ValueError):
            return
        acknowledged.append((key, answer))
        number += 1


@pytest.fixture
def reopened(tmp_path: Path) -> Iterator[Any]:
    apps: list[Flask] = []

    def reopen() -> Flask:
        apps.append(create_app({"DATA": str(tmp_path), "RATELIMIT_ENABLED": False, **storage(tmp_path)}))
        return apps[-1]

    yield reopen
    for app in apps:
        with app.app_context():
            database.engine.dispose()


def check_whole() -> None:
    """Assert that the database is sound and that no setup is without a revision."""
    with database.read() as connection:
        if server_url() is None:
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
        query = "SELECT count(*) FROM setup WHERE id NOT IN (SELECT setup_id FROM revision)"
        assert connection.exec_driver_sql(query).scalar() == 0


@pytest.mark.parametrize("saves", [5, pytest.param(40, marks=pytest.mark.long)])
def test_nothing_acknowledged_is_lost_when_the_server_is_killed(tmp_path: Path, reopened: Any, saves: int) -> None:
    acknowledged: list[tuple[str, dict[str, Any]]] = []
    with server(tmp_path) as (process, port):
        clients = [threading.Thread(target=keep_saving, args=(port, f"client{i}", acknowledged)) for i in range(4)]
        for client in clients:
            client.start()
        until = time.monotonic() + PATIENCE_S
        while len(acknowledged) < saves and time.monotonic() < until:
            time.sleep(0.005)
        process.send_signal(signal.SIGKILL)  # in the middle: four clients never stop asking
        for client in clients:
            client.join()
    assert len(acknowledged) >= saves
    with reopened().app_context():
        for _, answer in acknowledged:
            saved = find_setup(answer["code"])
            assert saved.number == 1
            assert len(list_revisions(answer["code"])) == 1
        check_whole()


@pytest.mark.long
def test_a_client_whose_answer_was_lost_repeats_and_finds_its_save(tmp_path: Path) -> None:
    with server(tmp_path) as (process, port):
        first = save(port, "lost-reply")
        process.send_signal(signal.SIGKILL)
        process.wait()
    with server(tmp_path) as (_, port):
        again = save(port, "lost-reply")
    assert again["code"] == first["code"]


def test_a_polite_stop_ends_with_code_zero(tmp_path: Path) -> None:
    with server(tmp_path) as (process, port):
        save(port, "one")
        process.send_signal(signal.SIGTERM)
        assert process.wait(PATIENCE_S) == 0


@pytest.mark.sqlite
@pytest.mark.long
def test_after_a_polite_stop_everything_is_in_the_one_file(tmp_path: Path) -> None:
    with server(tmp_path) as (process, port):
        codes = [save(port, f"key {n}".replace(" ", "-"))["code"] for n in range(3)]
        process.send_signal(signal.SIGTERM)
        assert process.wait(PATIENCE_S) == 0
    log = tmp_path / "setups.db-wal"
    assert not log.exists() or log.stat().st_size == 0
    with contextlib.closing(sqlite3.connect(f"file:{tmp_path / 'setups.db'}?immutable=1", uri=True)) as alone:
        assert {code for (code,) in alone.execute("SELECT code FROM setup")} == set(codes)


def test_a_taken_port_is_said_in_one_sentence(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        command = [sys.executable, "-m", "webapp", "serve", "--port", port]
        environment = {**os.environ, "SETUP_CARD_DATA": str(tmp_path)}
        done = subprocess.run(command, capture_output=True, text=True, env=environment, timeout=PATIENCE_S, check=False)
    assert done.returncode == 2
    assert port in done.stderr
    assert "--port" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.long
def test_first_starts_at_the_same_moment_on_one_folder_all_serve(tmp_path: Path) -> None:
    ports: list[int] = []
    codes: list[str] = []
    everyone = threading.Barrier(3)

    def serve_and_save(name: str) -> None:
        with server(tmp_path) as (_, port):
            ports.append(port)
            codes.append(save(port, name)["code"])
            everyone.wait(PATIENCE_S)  # nobody stops before all have saved
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
            for code in codes:
                connection.request("GET", f"/api/v1/setups/{code}")
                answer = connection.getresponse()
                answer.read()
                statuses.append(answer.status)
            connection.close()
            everyone.wait(PATIENCE_S)

    statuses: list[int] = []
    threads = [threading.Thread(target=serve_and_save, args=(name,)) for name in ("a", "b", "c")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(set(ports)) == 3
    assert statuses == [200] * 9


def test_an_unknown_code_stays_unknown_after_a_kill(tmp_path: Path, reopened: Any) -> None:
    with server(tmp_path) as (process, port):
        save(port, "one")
        process.send_signal(signal.SIGKILL)
        process.wait()
    with reopened().app_context(), pytest.raises(LinkUnknownError):
        find_setup("0" * 26)
