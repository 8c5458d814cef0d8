"""The database is locked, full, read-only, damaged or away: a clear word, nothing half saved, and it recovers."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from flask import Flask

from webapp import create_app
from webapp.ground.database.engine import database
from webapp.ground.errors import ConfigError, StorageUnavailableError
from webapp.setups.queries import setups as queries

Make = Callable[..., Flask]


def setups(app: Flask) -> int:
    with app.app_context(), database.read() as connection:
        return queries.count_setups(connection)


@pytest.mark.sqlite
def test_a_database_held_by_another_program_answers_503_and_recovers(
    make_app: Make, tmp_path: Path, whole_request: dict[str, Any]
) -> None:
    app = make_app(DATABASE_WAIT_S=0.1)
    client = app.test_client()
    other = sqlite3.connect(tmp_path / "data" / "setups.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    refused = client.post("/api/v1/setups", json=whole_request)
    assert refused.status_code == 503
    assert refused.headers["Retry-After"] == "5"
    assert refused.json is not None
    assert "Nothing was saved" in refused.json["errors"][0]["message"]
    assert client.get("/healthz").status_code == 200  # reading goes on
    other.execute("ROLLBACK")
    other.close()
    assert setups(app) == 0
    assert client.post("/api/v1/setups", json=whole_request).status_code == 201
    assert setups(app) == 1


@pytest.mark.sqlite
def test_a_full_disk_answers_503_saves_nothing_half_and_recovers(make_app: Make, whole_request: dict[str, Any]) -> None:
    app = make_app()
    client = app.test_client()
    kept = client.post("/api/v1/setups", json=whole_request).json
    with app.app_context():
        # The page limit belongs to a connection, and this thread's connection goes back to the pool for reuse.
        limit_pages(1)
        refused = client.post("/api/v1/setups", json=whole_request)
        for _ in range(20):
            if refused.status_code == 503:
                break
            refused = client.post("/api/v1/setups", json=whole_request)
        saved = setups(app)
        with database.read() as connection:
            orphans = connection.exec_driver_sql(
                "SELECT count(*) FROM setup WHERE id NOT IN (SELECT setup_id FROM revision)"
            ).scalar()
        limit_pages(1_000_000)
    assert refused.status_code == 503
    assert orphans == 0
    assert kept is not None
    assert client.get(f"/api/v1/setups/{kept['code']}").status_code == 200
    assert client.post("/api/v1/setups", json=whole_request).status_code == 201
    assert setups(app) == saved + 1


def limit_pages(count: int) -> None:
    with database.engine.connect() as connection:
        connection.exec_driver_sql(f"PRAGMA max_page_count={count}")


@pytest.mark.sqlite
def test_a_read_only_database_answers_503_and_still_shows_what_is_there(
    make_app: Make, tmp_path: Path, whole_request: dict[str, Any]
) -> None:
    writing = make_app()
    saved = writing.test_client().post("/api/v1/setups", json=whole_request).json
    assert saved is not None
    path = tmp_path / "data" / "setups.db"
    client = make_app(DATABASE_URL=f"sqlite:///file:{path}?mode=ro&uri=true").test_client()
    assert client.get(f"/api/v1/setups/{saved['code']}").status_code == 200
    assert client.post("/api/v1/setups", json=whole_request).status_code == 503


@pytest.mark.sqlite
def test_a_damaged_database_stops_the_start_with_a_clear_word(tmp_path: Path) -> None:
    (tmp_path / "setups.db").write_bytes(b"this is no database" * 100)
    with pytest.raises(ConfigError, match="cannot be opened"):
        create_app({"DATA": str(tmp_path)})
    assert (tmp_path / "setups.db").read_bytes().startswith(b"this is no database")


@pytest.mark.sqlite
def test_a_folder_in_the_databases_place_stops_the_start(tmp_path: Path) -> None:
    (tmp_path / "setups.db").mkdir()
    with pytest.raises(ConfigError, match="cannot be opened"):
        create_app({"DATA": str(tmp_path)})


def test_a_database_server_without_its_driver_or_out_of_reach_stops_the_start(tmp_path: Path) -> None:
    with pytest.raises(ConfigError, match="SETUP_CARD_DATABASE_URL"):
        create_app({"DATA": str(tmp_path), "DATABASE_URL": "postgresql+psycopg://nobody@127.0.0.1:1/none"})


def test_a_revision_row_that_was_tampered_with_is_an_error_page_not_a_wrong_number(
    make_app: Make, whole_request: dict[str, Any]
) -> None:
    app = make_app(TESTING=False)
    client = app.test_client()
    saved = client.post("/api/v1/setups", json=whole_request).json
    assert saved is not None
    with app.app_context(), database.write() as connection:
        connection.exec_driver_sql("UPDATE revision SET result = '{}'")
    answer = client.get(f"/api/v1/setups/{saved['code']}")
    assert answer.status_code == 503
    assert answer.json is not None
    assert set(answer.json) == {"errors"}


def spoil(app: Flask, folder: Path, keep: int) -> None:
    """Overwrite the database file from byte `keep` on, as a failing disk would, below the running app."""
    with app.app_context():
        with database.write() as connection:
            connection.exec_driver_sql("SELECT 1")
        database.engine.dispose()
    path = folder / "data" / "setups.db"
    with contextlib.closing(sqlite3.connect(path)) as own:
        own.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(keep)
        file.write(b"\x55" * (size - keep))


@pytest.mark.sqlite
@pytest.mark.parametrize("keep", [0, 100, 4096])
def test_a_database_that_is_damaged_while_running_is_said_in_words(
    make_app: Make, tmp_path: Path, whole_request: dict[str, Any], keep: int
) -> None:
    app = make_app(TESTING=False)
    client = app.test_client()
    saved = client.post("/api/v1/setups", json=whole_request).json
    assert saved is not None
    spoil(app, tmp_path, keep)
    read = client.get(f"/s/{saved['code']}")
    wrote = client.post("/api/v1/setups", json=whole_request)
    health = client.get("/healthz")
    assert (read.status_code, wrote.status_code, health.status_code) == (503, 503, 503)
    for answer in (read, wrote, health):
        assert "The database is damaged" in answer.text
        assert "Traceback" not in answer.text


@pytest.mark.sqlite
def test_the_health_check_tells_that_nothing_can_be_saved(make_app: Make, tmp_path: Path) -> None:
    make_app()
    path = tmp_path / "data" / "setups.db"
    client = make_app(DATABASE_URL=f"sqlite:///file:{path}?mode=ro&uri=true").test_client()
    assert client.get("/about").status_code == 200
    assert client.get("/healthz").status_code == 503


@pytest.mark.sqlite
def test_the_health_check_tells_that_the_disk_is_nearly_full(make_app: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    client = make_app().test_client()
    assert client.get("/healthz").status_code == 200
    monkeypatch.setattr("shutil.disk_usage", lambda _path: SimpleNamespace(total=1e9, used=1e9, free=1_000_000))
    full = client.get("/healthz")
    assert full.status_code == 503
    assert "disk is nearly full" in full.text


@pytest.mark.sqlite
def test_the_health_check_waits_for_nobody(make_app: Make, tmp_path: Path) -> None:
    client = make_app(DATABASE_WAIT_S=20.0).test_client()
    with contextlib.closing(sqlite3.connect(tmp_path / "data" / "setups.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        begun = time.monotonic()
        assert client.get("/healthz").status_code == 200  # somebody saves: it can be done
        assert time.monotonic() - begun < 5
        other.execute("ROLLBACK")


#: Where a disk may be full at a first start [bytes that any file may have]: from the key to the first link.
FULL_AT = (0, 3_000, 60_000, 100_000, 143_000, 147_000, 150_000)


@pytest.mark.parametrize("size", FULL_AT)
def test_a_disk_that_is_full_at_the_first_start_is_said_in_one_sentence(tmp_path: Path, size: int) -> None:
    script = (
        "import os, resource, sys, threading\n"
        f"resource.setrlimit(resource.RLIMIT_FSIZE, ({size}, {size}))\n"
        "from webapp.commands.cli import main\n"
        "threading.Timer(20, os._exit, (99,)).start()\n"
        "code = main(['serve', '--port', '0'])\n"
        "sys.stderr.flush(); os._exit(code)"
    )
    environment = os.environ | {"SETUP_CARD_DATA": str(tmp_path)}
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False, env=environment)
    assert done.returncode in (1, 2), done.stderr
    last = done.stderr.strip().splitlines()[-1]
    assert "Traceback" not in done.stderr
    assert last.startswith("setup-card: ")
    assert "that the disk is not full" in last


@pytest.mark.sqlite
def test_ten_writers_that_wait_leave_threads_for_those_who_read(make_app: Make, tmp_path: Path) -> None:
    app, refused = make_app(DATABASE_WAIT_S=6.0), []

    def save() -> None:
        with app.app_context(), contextlib.suppress(StorageUnavailableError):
            try:
                with database.write():
                    pass
            except StorageUnavailableError:
                refused.append(time.monotonic())
                raise

    with contextlib.closing(sqlite3.connect(tmp_path / "data" / "setups.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        begun = time.monotonic()
        writers = [threading.Thread(target=save) for _n in range(10)]
        for writer in writers:
            writer.start()
        time.sleep(2)
        soon = len(refused)
        other.execute("ROLLBACK")
        for writer in writers:
            writer.join()
    assert soon >= 6, [moment - begun for moment in refused]
    assert len(refused) < 10  # those that were let wait did save in the end
