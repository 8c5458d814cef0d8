"""The engine: SQLite kept durable, one writer at a time in the process, PostgreSQL by a setting."""

from __future__ import annotations

import contextlib
import json
import sqlite3
import threading
import time
from collections.abc import Iterator
from typing import Any, Final

from flask import Flask, current_app
from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError, OperationalError, SQLAlchemyError

from webapp.ground.database.migrate import upgrade
from webapp.ground.errors import ConfigError, StorageDamagedError, StorageFullError, StorageUnavailableError
from webapp.ground.text.i18n import gettext as _

_EXTENSION: Final = "setup_card_database"

#: How long and how often a new database is asked for its write-ahead log while other starts ask for it too [s].
_WAL_PATIENCE_S: Final = 5.0
_WAL_PAUSE_S: Final = 0.05
#: What SQLite says by a result code of its own, where trying again does not help.
_KINDS: Final = {
    sqlite3.SQLITE_FULL: StorageFullError,
    sqlite3.SQLITE_CORRUPT: StorageDamagedError,
    sqlite3.SQLITE_NOTADB: StorageDamagedError,
}
#: How many writers may wait as long as set. A server has few threads, and those that only read need some of them.
_PATIENT_WRITERS: Final = 3
#: How long the other writers wait [s]: long enough for the saves of a busy moment, which take milliseconds each.
_BRIEF_WAIT_S: Final = 1.0
_BUSY: Final = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


class _Bound:
    """What belongs to one app: its engine, the writers' lock and how long anyone waits for it."""

    def __init__(self, engine: Engine, wait_s: float) -> None:
        self.engine = engine
        self.writing_engine = engine.execution_options(immediate=True)
        self.wait_s = wait_s
        self.write_lock = threading.Lock()
        self.patient = threading.BoundedSemaphore(_PATIENT_WRITERS)


class Database:
    """Access to the database of the current app."""

    def init_app(self, app: Flask) -> None:
        """Build the engine of `app`, then bring its tables up to date.

        Raises
        ------
        ConfigError
            When the database cannot be opened, or belongs to a newer version of the tool.
        """
        wait_s = float(app.config["DATABASE_WAIT_S"])
        try:
            engine = make_engine(str(app.config["DATABASE_URL"]), wait_s)
            upgrade(engine)
        except (SQLAlchemyError, ImportError) as error:
            reason = getattr(error, "orig", None) or error
            raise ConfigError(
                _(
                    "The database cannot be opened (%(reason)s). Check SETUP_CARD_DATABASE_URL and "
                    "SETUP_CARD_DATA, that the disk is not full, that the folder can be written to, and that the "
                    "database's driver is installed.",
                    reason=reason,
                )
            ) from error
        app.extensions[_EXTENSION] = _Bound(engine, wait_s)

    @property
    def engine(self) -> Engine:
        """The current app's engine."""
        return self._get_engine().engine

    @contextlib.contextmanager
    def read(self) -> Iterator[Connection]:
        """Give a connection for reading; what it sees is one moment."""
        with _translate_error(), self._get_engine().engine.connect() as connection:
            yield connection

    @contextlib.contextmanager
    def write(self) -> Iterator[Connection]:
        """Give a connection in a transaction that is durable once this block is left without an error.

        SQLite has one writer at a time. Queueing for it here costs less than its own polling.
        """
        bound = self._get_engine()
        with (
            _translate_error(),
            _turn(bound),
            bound.writing_engine.begin() as connection,
        ):
            yield connection

    def try_to_save(self) -> None:
        """Save next to nothing, waiting for nobody: where another save is under way, saving works.

        Raises
        ------
        StorageUnavailableError
            When nothing can be saved.
        """
        bound = self._get_engine()
        if not bound.write_lock.acquire(blocking=False):
            return
        try:
            with _translate_error(), bound.engine.connect() as connection:
                _write_next_to_nothing(connection)
        finally:
            bound.write_lock.release()

    def close(self) -> None:
        """Write everything back into the one file, so that a copy of it is whole, and let go of it."""
        bound = self._get_engine()
        try:
            if bound.engine.dialect.name == "sqlite":
                with _translate_error(), bound.engine.connect() as connection:
                    connection.rollback()
                    connection.connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)").close()
        finally:
            bound.engine.dispose()

    def _get_engine(self) -> _Bound:
        bound: _Bound = current_app.extensions[_EXTENSION]
        return bound


@contextlib.contextmanager
def _turn(bound: _Bound) -> Iterator[None]:
    if bound.engine.dialect.name != "sqlite":
        yield
        return
    _await_turn(bound)
    try:
        yield
    finally:
        bound.write_lock.release()


def _await_turn(bound: _Bound) -> None:
    """Take the writers' lock, waiting long beside few others and shortly beside many."""
    if bound.write_lock.acquire(blocking=False):
        return
    patient = bound.patient.acquire(blocking=False)
    try:
        taken = bound.write_lock.acquire(timeout=bound.wait_s if patient else min(bound.wait_s, _BRIEF_WAIT_S))
    finally:
        if patient:
            bound.patient.release()
    if not taken:
        raise StorageUnavailableError(_("other saves did not finish in time"))


@contextlib.contextmanager
def _translate_error() -> Iterator[None]:
    """Turn the driver's word for "not now" into ours; a broken constraint stays what it is."""
    try:
        yield
    except DBAPIError as error:
        kind = _KINDS.get(_sqlite_code(error) or 0)
        if kind is None and (isinstance(error, OperationalError) or error.connection_invalidated):
            kind = StorageUnavailableError
        if kind is None:
            raise
        raise kind(str(error.orig)) from error


def _sqlite_code(error: DBAPIError) -> int | None:
    """Return SQLite's primary result code, None where another database refused."""
    code = getattr(error.orig, "sqlite_errorcode", None)
    return None if code is None else code & 0xFF


def _write_next_to_nothing(connection: Connection) -> None:
    """Commit a change that nobody reads; a database that somebody else is writing to is left alone."""
    if connection.dialect.name != "sqlite":
        connection.exec_driver_sql("SELECT txid_current()")  # a number is given to writers only, and logged
        connection.commit()
        return
    waits_ms = connection.exec_driver_sql("PRAGMA busy_timeout").scalar_one()
    connection.exec_driver_sql("PRAGMA busy_timeout=0")
    try:
        version = connection.exec_driver_sql("PRAGMA user_version").scalar_one()
        connection.exec_driver_sql(f"PRAGMA user_version={(version + 1) % 1_000_000}")
        connection.commit()
    except OperationalError as error:
        if _sqlite_code(error) not in _BUSY:
            raise
    finally:
        connection.rollback()
        connection.exec_driver_sql(f"PRAGMA busy_timeout={waits_ms}")


def make_engine(url: str, wait_s: float) -> Engine:
    """Return an engine for `url` that waits at most `wait_s` seconds for another writer.

    Values are left out of error texts: they hold the rider's weight.
    """
    options: dict[str, Any] = {
        "hide_parameters": True,
        "json_serializer": _compact_json,
        "json_deserializer": json.loads,
    }
    if not url.startswith("sqlite"):
        return create_engine(url, pool_pre_ping=True, **options)
    engine = create_engine(url, connect_args={"timeout": wait_s}, **options)
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _compact_json(value: Any) -> str:
    return json.dumps(value, separators=(",", ":"), allow_nan=False)


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    """Take transactions into our own hands; saves survive a power cut, and what is erased is overwritten."""
    connection.isolation_level = None
    cursor = connection.cursor()
    _turn_wal_on(cursor)
    for pragma in ("synchronous=FULL", "foreign_keys=ON", "secure_delete=ON"):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _turn_wal_on(cursor: Any) -> None:
    """Switch to the write-ahead log; SQLite refuses at once, without waiting, while another start does the same."""
    end = time.monotonic() + _WAL_PATIENCE_S
    while True:
        try:
            cursor.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError as error:
            if "locked" not in str(error) or time.monotonic() > end:
                raise
            time.sleep(_WAL_PAUSE_S)
        else:
            return


def _begin_sqlite(connection: Connection) -> None:
    """Begin as a writer at once where asked: a reader that turns writer can be refused without waiting."""
    if connection.get_execution_options().get("immediate", False):
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    else:
        # A plain BEGIN takes no lock and so cannot be refused: no need of the engine's way to tell errors.
        connection.connection.cursor().execute("BEGIN").close()


database: Final = Database()
