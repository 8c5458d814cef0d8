"""The database that a test runs on: SQLite in its own folder, or with `SETUP_CARD_TEST_DATABASE_URL` a PostgreSQL."""

from __future__ import annotations

import contextlib
import os
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from sqlalchemy import Connection, create_engine, make_url, text
from sqlalchemy.exc import SQLAlchemyError

from tests.servers import DATABASE_SWITCH
from webapp.ground.database.engine import make_engine
from webapp.ground.database.migrate import HEAD, current_version, upgrade
from webapp.ground.database.missing_columns import missing_columns
from webapp.ground.database.tables import metadata

#: Copied for every test; each test process makes its own, as a database that is copied must not be in use.
_TEMPLATE: Final = f"template_{os.getpid()}"
_made: dict[Path, str] = {}
_ready: list[str] = []
#: Databases that a test left behind, emptied for the next: that takes a tenth of the time of making one.
_emptied: list[str] = []
_TABLES: Final = tuple(table.name for table in reversed(metadata.sorted_tables))


def server_url() -> str | None:
    """Return the address of the PostgreSQL that the tests run on, None for SQLite."""
    return os.environ.get(DATABASE_SWITCH) or None


def _on_server(server: str, *statements: str) -> None:
    engine = create_engine(server, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        for statement in statements:
            connection.exec_driver_sql(statement)
    engine.dispose()


def address(server: str, name: str) -> str:
    """Return the address of a database of the same server."""
    return make_url(server).set(database=name).render_as_string(hide_password=False)


def fresh_database(server: str, *, empty: bool = False) -> str:
    """Make a database, with the tables unless `empty`, and return its address."""
    if not _ready and not empty:
        _on_server(server, f"CREATE DATABASE {_TEMPLATE}")
        engine = make_engine(address(server, _TEMPLATE), 5.0)
        upgrade(engine)
        engine.dispose()
        _ready.append(_TEMPLATE)
    name = f"test_{uuid.uuid4().hex}"
    _on_server(server, f"CREATE DATABASE {name} TEMPLATE {'template0' if empty else _TEMPLATE}")
    return address(server, name)


def drop_database(server: str, url: str) -> None:
    """Throw a database away, whoever is still connected to it."""
    _on_server(server, f"DROP DATABASE {make_url(url).database} WITH (FORCE)")


def _emptied_database(url: str) -> bool:
    """Return whether a database is as new: nobody connected, its tables the newest, whole and without a row."""
    engine = create_engine(url)
    try:
        with engine.begin() as connection:
            return current_version(connection) == HEAD and not missing_columns(connection) and _empty(connection)
    except SQLAlchemyError:
        return False
    finally:
        engine.dispose()


def _empty(connection: Connection) -> bool:
    connection.execute(
        text(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
            "WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
    )
    numbered = [table.name for table in metadata.sorted_tables if "id" in table.columns]
    statements = [f"DELETE FROM {name}" for name in _TABLES]  # noqa: S608 - our own tables
    statements += [f"ALTER SEQUENCE {name}_id_seq RESTART" for name in numbered]
    connection.exec_driver_sql("SET lock_timeout = 2000; " + "; ".join(statements))
    return True


def storage(folder: Path) -> dict[str, Any]:
    """Return the settings by which apps and servers on `folder` share one database: the same for the same folder."""
    server = server_url()
    if server is None:
        return {}
    if folder not in _made:
        _made[folder] = _emptied.pop() if _emptied else fresh_database(server)
    return {"DATABASE_URL": _made[folder]}


def set_storage(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Put the settings of `storage` and the folder into the environment, for commands and servers."""
    for name, value in ({"DATA": str(folder)} | storage(folder)).items():
        monkeypatch.setenv(f"SETUP_CARD_{name}", value)


@contextlib.contextmanager
def forgotten() -> Iterator[None]:
    """Throw away afterwards what `storage` made meanwhile."""
    try:
        yield
    finally:
        server = server_url()
        while _made and server is not None:
            url = _made.popitem()[1]
            if _emptied_database(url):
                _emptied.append(url)
            else:
                drop_database(server, url)
