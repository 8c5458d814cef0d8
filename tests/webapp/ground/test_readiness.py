"""Whether requests can be sent here."""

from __future__ import annotations

import threading
import time

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import text

from webapp.commands.doctor import look_at_database
from webapp.ground import health, look_in_time
from webapp.ground.database.engine import database
from webapp.ground.errors import StorageUnavailableError


def test_a_started_tool_is_ready(client: FlaskClient) -> None:
    assert client.get("/readyz").text == "ready\n"


def test_tables_that_another_version_brought_further_are_told(app: Flask, client: FlaskClient) -> None:
    with app.app_context(), database.write() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert answer.headers["Retry-After"]
    assert client.get("/healthz").status_code == 200  # it lives, and should not be killed for it


@pytest.mark.sqlite
def test_a_disk_that_is_nearly_full_is_told(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(health, "LEAST_FREE", 1 << 62)
    assert client.get("/readyz").status_code == 503


@pytest.mark.postgresql
def test_a_database_that_was_set_to_reading_only_is_told(app: Flask, client: FlaskClient) -> None:
    with app.app_context():
        engine = database.engine
        switch = f"ALTER DATABASE {engine.url.database} SET default_transaction_read_only ="
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql(f"{switch} on")
        engine.dispose()
        try:
            assert client.get("/healthz").status_code == 503
            assert [one.state for one in look_at_database()] == ["missing"]
        finally:
            with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
                connection.exec_driver_sql("SET default_transaction_read_only = off")
                connection.exec_driver_sql(f"{switch} off")
            engine.dispose()
    assert client.get("/healthz").status_code == 200


@pytest.mark.sqlite
def test_doctor_tells_of_a_database_that_takes_no_save(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse() -> None:
        raise StorageUnavailableError("attempt to write a readonly database")

    monkeypatch.setattr(database, "try_to_save", refuse)
    with app.app_context():
        (found,) = look_at_database()
    assert found.state == "missing"


def test_a_table_that_lacks_a_column_is_told_though_the_version_is_right(app: Flask, client: FlaskClient) -> None:
    with app.app_context(), database.write() as connection:
        connection.execute(text("ALTER TABLE revision RENAME COLUMN service_note TO note"))
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert client.get("/healthz").status_code == 200
    with app.app_context(), database.write() as connection:
        connection.execute(text("ALTER TABLE revision RENAME COLUMN note TO service_note"))
    assert client.get("/readyz").status_code == 200  # a failure is looked at again at once


def test_columns_are_not_looked_for_at_each_visit(
    app: Flask, client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    looks: list[object] = []
    monkeypatch.setattr(health, "missing_columns", lambda connection: looks.append(connection) or ())
    for _visit in range(3):
        assert client.get("/readyz").status_code == 200
    assert len(looks) == 1
    monkeypatch.setattr(health, "_COLUMNS_HOLD_S", 0.0)
    assert client.get("/readyz").status_code == 200
    assert len(looks) == 2


def await_ready(client: FlaskClient) -> None:
    """Wait until the look that hung has ended, and the next one finds everything well."""
    ends_s = time.monotonic() + 60
    while client.get("/readyz").status_code != 200:
        assert time.monotonic() < ends_s


def test_a_database_that_hangs_is_told_in_time_by_one_look(
    app: Flask, client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert look_in_time.LONGEST_S <= 3.0
    monkeypatch.setattr(look_in_time, "LONGEST_S", 0.2)
    answers, looks = threading.Event(), list[float]()

    def hang() -> None:
        looks.append(time.monotonic())
        assert answers.wait(60)

    with monkeypatch.context() as hanging:
        hanging.setattr(health, "check_health", hang)
        began_s = time.monotonic()
        asked = [client.get("/readyz") for _visit in range(3)]
        assert time.monotonic() - began_s < 30
        assert [one.status_code for one in asked] == [503] * 3
        assert asked[0].headers["Retry-After"]
        assert len(looks) == 1
        assert sum(one.name == "readiness" for one in threading.enumerate()) == 1
    answers.set()
    await_ready(client)


@pytest.mark.postgresql
def test_a_lock_that_is_not_given_back_is_told_in_time(app: Flask, client: FlaskClient) -> None:
    with app.app_context(), database.write() as connection:
        connection.execute(text("LOCK TABLE setup IN ACCESS EXCLUSIVE MODE"))
        began_s = time.monotonic()
        assert client.get("/readyz").status_code == 503
        assert time.monotonic() - began_s < 4.5  # a lock is waited for 5 s
    await_ready(client)
