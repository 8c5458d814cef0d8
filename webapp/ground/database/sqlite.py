"""SQLite: the write-ahead log, durable saves, transactions in our own hands, and what its result codes mean."""

from __future__ import annotations

import os
import sqlite3
import time
from typing import Any, Final

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError, DisconnectionError

from webapp.ground.errors import StorageDamagedError, StorageFullError, StorageUnavailableError
from webapp.ground.text.i18n import gettext as _

#: What it says while somebody else writes.
BUSY: Final = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
#: What it says by a result code of its own, where trying again does not help.
_KINDS: Final = {
    sqlite3.SQLITE_FULL: StorageFullError,
    sqlite3.SQLITE_CORRUPT: StorageDamagedError,
    sqlite3.SQLITE_NOTADB: StorageDamagedError,
}
#: How long and how often a new database is asked for its write-ahead log while other starts ask for it too [s].
_WAL_PATIENCE_S: Final = 5.0
_WAL_PAUSE_S: Final = 0.05


def make_sqlite(url: str, wait_s: float, options: dict[str, Any]) -> Engine:
    """Return an engine for an SQLite database that waits at most `wait_s` for another writer."""
    engine = create_engine(url, connect_args={"timeout": wait_s}, **options)
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    if path := _path(engine):
        event.listen(engine, "connect", lambda _connection, record: record.info.update(file=_file_at(path)))
    return engine


def stay_with_file(engine: Engine) -> None:
    """From now on, save nothing to a file that is no longer at its path, and make no new one there.

    A file that is deleted while it is open takes saves as before, and they are gone with the last that holds it open.
    Raised is `StorageUnavailableError` while there is no file; another one at the path is opened in its place.
    """
    path = _path(engine)
    if path is None:
        return

    def refuse_to_make(*_what: Any) -> None:
        if _file_at(path) is None:
            raise StorageUnavailableError(_("the database's file is gone: stop the server and put the file back"))

    def compare(_connection: Any, record: Any, _proxy: Any) -> None:
        if record.info.get("file") != _file_at(path):
            error = DisconnectionError("the database's file is another one now")
            error.invalidate_pool = True
            raise error

    event.listen(engine, "do_connect", refuse_to_make)
    event.listen(engine, "checkout", compare)


def is_empty_file(engine: Engine) -> bool:
    """Return whether the database is a file that is not there yet, or has nothing in it."""
    path = _path(engine)
    return path is not None and (not os.path.exists(path) or os.path.getsize(path) == 0)


def _path(engine: Engine) -> str | None:
    path = engine.url.database
    in_a_file = engine.dialect.name == "sqlite" and path and path != ":memory:" and not path.startswith("file:")
    return path if in_a_file else None


def _file_at(path: str) -> tuple[int, int] | None:
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_dev, found.st_ino


def primary_code(error: DBAPIError) -> int | None:
    """Return SQLite's primary result code, None where another database refused."""
    code = getattr(error.orig, "sqlite_errorcode", None)
    return None if code is None else code & 0xFF


def sqlite_kind(error: DBAPIError) -> type[StorageUnavailableError] | None:
    """Return which of our errors SQLite's own code means, None where it says nothing so plain."""
    return _KINDS.get(primary_code(error) or 0)


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
