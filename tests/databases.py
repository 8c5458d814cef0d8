"""The database that a test runs on: SQLite in its own folder, or with `SETUP_CARD_TEST_DATABASE_URL` a PostgreSQL."""

from __future__ import annotations

import contextlib
import os
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from sqlalchemy import Engine, create_engine, make_url
from sqlalchemy.exc import SQLAlchemyError

from tests.servers import DATABASE_SWITCH
from webapp.ground.database.engine import make_engine
from webapp.ground.database.migrate import upgrade
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
        _let_be_emptied(address(server, _TEMPLATE))
        _ready.append(_TEMPLATE)
    name = f"test_{uuid.uuid4().hex}"
    _on_server(server, f"CREATE DATABASE {name} TEMPLATE {'template0' if empty else _TEMPLATE}")
    return address(server, name)


def drop_database(server: str, url: str) -> None:
    """Throw a database away, whoever is still connected to it."""
    _on_server(server, f"DROP DATABASE {make_url(url).database} WITH (FORCE)")


#: Empties a database for the next test in one turn and returns what it is like: its version and every column.
_EMPTYING: Final = """
CREATE FUNCTION empty_for_the_next_test() RETURNS text LANGUAGE plpgsql AS $$
BEGIN
    PERFORM set_config('lock_timeout', '2000', true);
    PERFORM pg_terminate_backend(pid) FROM pg_stat_activity
        WHERE datname = current_database() AND pid <> pg_backend_pid();
    {deletes}
    RETURN (SELECT string_agg(version_num, ' ') FROM alembic_version) || (
        SELECT md5(string_agg(relname || '.' || attname || ' ' || atttypid, ',' ORDER BY relname, attnum))
        FROM pg_attribute JOIN pg_class ON pg_class.oid = attrelid
        WHERE relnamespace = 'public'::regnamespace AND relkind = 'r' AND attnum > 0 AND NOT attisdropped
    );
END $$
"""
#: What an emptied database is like, and the connections that empty: one a database that is used again.
_whole: list[str] = []
_cleaners: dict[str, Engine] = {}


def _let_be_emptied(url: str) -> None:
    numbered = [table.name for table in metadata.sorted_tables if "id" in table.columns]
    deletes = [f"DELETE FROM {name};" for name in _TABLES]  # noqa: S608 - our own tables
    deletes += [f"PERFORM setval('{name}_id_seq', 1, false);" for name in numbered]
    _on_server(url, _EMPTYING.replace("{deletes}", "\n    ".join(deletes)))
    whole = _emptied_like(url)
    assert whole is not None
    _whole.append(whole)
    _cleaners.pop(url).dispose()


def _emptied_like(url: str) -> str | None:
    """Empty a database and return what it is like, None where that cannot be done."""
    if url not in _cleaners:
        _cleaners[url] = create_engine(url, isolation_level="AUTOCOMMIT", pool_size=1)
    try:
        with _cleaners[url].connect() as connection:
            return str(connection.exec_driver_sql("SELECT empty_for_the_next_test()").scalar_one())
    except SQLAlchemyError:
        return None


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
            if _emptied_like(url) in _whole:
                _emptied.append(url)
            else:
                _cleaners.pop(url).dispose()
                drop_database(server, url)
