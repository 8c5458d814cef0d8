"""The engine: SQLite kept durable, one writer at a time in the process, PostgreSQL by a setting."""

from __future__ import annotations

import contextlib
import json
import os
import threading
from collections.abc import Iterator
from typing import Any, Final

from flask import Flask, current_app
from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError, OperationalError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from webapp.ground.database.migrate import upgrade
from webapp.ground.database.postgresql import READING, make_postgresql, postgresql_kind
from webapp.ground.database.sqlite import BUSY, is_empty_file, make_sqlite, primary_code, sqlite_kind, stay_with_file
from webapp.ground.errors import ConfigError, DatabaseDamagedError, StorageDamagedError, StorageUnavailableError
from webapp.ground.text.i18n import gettext as _

_EXTENSION: Final = "setup_card_database"

#: How many writers may wait as long as set. A server has few threads, and those that only read need some of them.
_PATIENT_WRITERS: Final = 3
#: How long the other writers wait [s]: long enough for the saves of a busy moment, which take milliseconds each.
_BRIEF_WAIT_S: Final = 1.0


class _Bound:
    """What belongs to one app: its engine, the writers' lock and how long anyone waits for it."""

    def __init__(self, engine: Engine, wait_s: float, *, was_empty: bool) -> None:
        self.engine = engine
        self.was_empty = was_empty
        self.is_sqlite = engine.dialect.name == "sqlite"
        self.writing_engine = engine.execution_options(immediate=True)
        self.reading_engine = engine if self.is_sqlite else engine.execution_options(**READING)
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
            was_empty = is_empty_file(engine)
            upgrade(engine)
        except (SQLAlchemyError, ImportError) as error:
            reason = getattr(error, "orig", None) or error
            if isinstance(error, DBAPIError) and sqlite_kind(error) is StorageDamagedError:
                raise DatabaseDamagedError(damage_advice(str(engine.url.database), reason)) from error
            raise ConfigError(
                _(
                    "The database cannot be opened (%(reason)s). Check SETUP_CARD_DATABASE_URL and "
                    "SETUP_CARD_DATA, that the disk is not full, that the folder can be written to, and that the "
                    "database's driver is installed.",
                    reason=reason,
                )
            ) from error
        if engine.dialect.name == "sqlite":
            stay_with_file(engine)
        app.extensions[_EXTENSION] = _Bound(engine, wait_s, was_empty=was_empty)

    @property
    def engine(self) -> Engine:
        """The current app's engine."""
        return self._get_engine().engine

    @contextlib.contextmanager
    def read(self) -> Iterator[Connection]:
        """Give a connection for reading; what it sees is one moment."""
        with _translate_error(), self._get_engine().reading_engine.connect() as connection:
            yield connection

    @contextlib.contextmanager
    def write(self) -> Iterator[Connection]:
        """Give a connection in a transaction that is durable once this block is left without an error.

        SQLite has one writer at a time. Queueing for it here costs less than its own polling. PostgreSQL has many:
        what is read here to be changed is held first (`connection.hold`).
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
        try:
            self.empty_log()
        finally:
            self._get_engine().engine.dispose()

    def empty_log(self, *, wait: bool = True) -> None:
        """Write SQLite's log of changes back and empty it: what was erased must not lie in there until it is reused.

        While somebody reads it is emptied as far as they let it, without waiting where `wait` is false; the next time
        does the rest.
        """
        bound = self._get_engine()
        if not bound.is_sqlite:
            return
        with _translate_error(), bound.engine.connect() as connection:
            connection.rollback()
            cursor = connection.connection.cursor()
            if not wait:
                cursor.execute("PRAGMA busy_timeout=0")
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").close()
            if not wait:
                connection.invalidate()  # it has no patience any more

    def take_back(self) -> None:
        """Delete the file, where this start made it: it holds empty tables and nothing else."""
        bound = self._get_engine()
        bound.engine.dispose()
        if bound.was_empty:
            for ending in ("", "-wal", "-shm"):
                with contextlib.suppress(FileNotFoundError):
                    os.unlink(f"{bound.engine.url.database}{ending}")

    def _get_engine(self) -> _Bound:
        bound: _Bound = current_app.extensions[_EXTENSION]
        return bound


@contextlib.contextmanager
def _turn(bound: _Bound) -> Iterator[None]:
    if not bound.is_sqlite:
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
    except PoolTimeoutError as error:
        raise StorageUnavailableError(_("other requests did not finish in time")) from error
    except DBAPIError as error:
        kind = sqlite_kind(error) or postgresql_kind(error)
        if kind is None and (isinstance(error, OperationalError) or error.connection_invalidated):
            kind = StorageUnavailableError
        if kind is None:
            raise
        raise kind(str(error.orig)) from error


def _write_next_to_nothing(connection: Connection) -> None:
    """Commit a change that nobody reads; a database that somebody else is writing to is left alone."""
    if connection.dialect.name != "sqlite":
        # A number is given to writers only, and logged; it is given too where saving was switched off.
        asked = "SELECT txid_current(), current_setting('transaction_read_only')"
        if connection.exec_driver_sql(asked).one()[1] == "on":
            raise StorageUnavailableError(_("the database takes no saves now: it is set to reading only"))
        connection.commit()
        return
    waits_ms = connection.exec_driver_sql("PRAGMA busy_timeout").scalar_one()
    connection.exec_driver_sql("PRAGMA busy_timeout=0")
    try:
        version = connection.exec_driver_sql("PRAGMA user_version").scalar_one()
        connection.exec_driver_sql(f"PRAGMA user_version={(version + 1) % 1_000_000}")
        connection.commit()
    except OperationalError as error:
        if primary_code(error) not in BUSY:
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
    return (make_sqlite if url.startswith("sqlite") else make_postgresql)(url, wait_s, options)


def _compact_json(value: Any) -> str:
    return json.dumps(value, separators=(",", ":"), allow_nan=False)


def damage_advice(path: str, reason: object) -> str:
    """Return what to do about a damaged file."""
    return _(
        "The database %(path)s is damaged and cannot be opened (%(reason)s). Stop the server and move %(path)s away, "
        "and %(path)s-wal and %(path)s-shm if they are there. Then restore a backup: setup-card restore FILE",
        path=path,
        reason=reason,
    )


database: Final = Database()
