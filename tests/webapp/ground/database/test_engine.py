"""The engine: durable, one writer at a time, and quiet about values."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from flask import Flask
from sqlalchemy import Connection, text
from sqlalchemy.exc import IntegrityError, StatementError

from setup_rules import read_request, recommend
from tests.conftest import DURABLE
from webapp.ground.database import sqlite
from webapp.ground.database.engine import StorageUnavailableError, database
from webapp.setups.queries import setups as queries
from webapp.setups.revision import Revision

#: What the rows belong to; none of these tests looks at it.
SETUP = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}))


@pytest.mark.sqlite
def test_sqlite_writes_ahead_and_waits_for_the_disk(
    make_app: Callable[..., Flask], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite, "_prepare_sqlite", DURABLE)
    app = make_app()
    with app.app_context(), database.read() as connection:
        values = [
            connection.execute(text(f"PRAGMA {p}")).scalar() for p in ("journal_mode", "synchronous", "foreign_keys")
        ]
    assert values == ["wal", 2, 1]


def test_a_block_that_fails_saves_nothing(app: Flask) -> None:
    with app.app_context():
        with pytest.raises(RuntimeError, match="half way"), database.write() as connection:  # noqa: PT012 - the block is the test
            insert(connection, "0" * 26)
            raise RuntimeError("half way")
        with database.read() as connection:
            assert queries.count_setups(connection) == 0


@pytest.mark.sqlite
def test_a_second_writer_waits_for_the_first(app: Flask) -> None:
    order: list[str] = []
    begun, done = threading.Event(), threading.Event()

    def second() -> None:
        begun.wait()
        with app.app_context(), database.write():
            order.append("second")
        done.set()

    thread = threading.Thread(target=second)
    thread.start()
    with app.app_context(), database.write():
        begun.set()
        assert not done.wait(0.1)
        order.append("first")
    thread.join()
    assert order == ["first", "second"]


@pytest.mark.sqlite
def test_a_writer_that_waits_too_long_is_told(make_app: Callable[..., Flask]) -> None:
    app = make_app(DATABASE_WAIT_S=0.05)
    with app.app_context(), database.write(), pytest.raises(StorageUnavailableError), database.write():
        pass
    with app.app_context(), database.write() as connection:
        insert(connection, "1" * 26)


def test_a_broken_constraint_does_not_tell_the_values(app: Flask) -> None:
    with app.app_context():
        with database.write() as connection:
            insert(connection, "2" * 26)
        with pytest.raises(IntegrityError) as caught, database.write() as connection:
            insert(connection, "2" * 26)
    assert "2" * 26 not in str(caught.value)


def test_a_moment_without_a_zone_is_not_stored(app: Flask) -> None:
    with app.app_context(), pytest.raises(StatementError, match="time zone"), database.write() as connection:
        insert(connection, "3" * 26, datetime(2026, 1, 1))  # noqa: DTZ001 - that is the point


def test_a_moment_comes_back_aware_and_to_the_microsecond(app: Flask) -> None:
    moment = datetime(2026, 5, 4, 3, 2, 1, 123456, tzinfo=UTC)
    with app.app_context():
        with database.write() as connection:
            insert(connection, "4" * 26, moment)
        with database.read() as connection:
            found = queries.setup_by_code(connection, "4" * 26)
    assert found is not None
    assert found.created_at == moment


def insert(connection: Connection, code: str, moment: datetime = datetime(2026, 1, 1, tzinfo=UTC)) -> None:
    """Store the row of a setup, made and expiring at `moment`."""
    first = Revision(code=code, reason="Start point", setup=SETUP, created_at=moment, expires_at=moment)
    queries.insert_setup(connection, first, owner_key_hash=code * 2)


class BusyCursor:
    """A cursor of a database that other starts are switching over: it refuses at first."""

    def __init__(self, refusals: int, words: str = "database is locked") -> None:
        self.refusals, self.words, self.asked = refusals, words, 0

    def execute(self, _statement: str) -> None:
        self.asked += 1
        if self.asked <= self.refusals:
            raise sqlite3.OperationalError(self.words)


def test_a_start_asks_again_while_another_one_switches_the_log_over() -> None:
    cursor = BusyCursor(refusals=3)
    sqlite._turn_wal_on(cursor)
    assert cursor.asked == 4


def test_another_fault_of_the_log_is_told_at_once() -> None:
    cursor = BusyCursor(refusals=1, words="disk I/O error")
    with pytest.raises(sqlite3.OperationalError, match="disk"):
        sqlite._turn_wal_on(cursor)
    assert cursor.asked == 1
