"""Copies of the embedded database: taken while it is in use, looked through, and put back in one transaction."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import SQLAlchemyError

from webapp.ground.data_folder import file_url
from webapp.ground.database.engine import database, make_engine
from webapp.ground.database.migrate import upgrade
from webapp.ground.database.tables import metadata
from webapp.ground.database.whole_database import cannot_be_updated, need_plain, need_whole
from webapp.ground.errors import BackupError, ConfigError, StorageFullError, StorageUnavailableError
from webapp.ground.text.i18n import gettext as _

#: How long a copy waits for others who write [s].
_PATIENCE_S: Final = 30.0
_TABLES: Final = tuple(table.name for table in metadata.sorted_tables)


def is_embedded() -> bool:
    """Return whether the current app keeps its data in SQLite, the only database that is copied here."""
    return database.engine.dialect.name == "sqlite"


def copy_database(path: Path) -> dict[str, int]:
    """Copy the database of the current app to a new file `path` and return how many rows each table of it has.

    The copy is one moment of the database, however many save meanwhile; it is looked through before it gets its name.

    Raises
    ------
    BackupError
        When there is such a file already, it cannot be written, or the copy is not whole.
    """
    if path.exists():
        raise BackupError(_("%(path)s exists already. Choose another name, or move the file away.", path=path))
    with _beside(path) as copy:
        with _engine_connection() as source, contextlib.closing(sqlite3.connect(copy)) as target:
            _carry_over(source, target)
            target.execute("PRAGMA journal_mode=DELETE")  # one file, without a log beside it
        counts = look_through(copy)
        _name_durably(copy, path)
    return counts


def look_through(path: Path) -> dict[str, int]:
    """Open a copy, check that it is whole, and return how many rows each table has.

    Raises
    ------
    BackupError
        When it is no copy of this tool's database, is damaged, or holds a setup without a version.
    """
    try:
        with contextlib.closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as copy:
            return _look_through(copy, path)
    except sqlite3.Error as error:
        raise BackupError(_("%(path)s cannot be used as a backup (%(why)s).", path=path, why=error)) from error


def _look_through(copy: sqlite3.Connection, path: Path) -> dict[str, int]:
    faults = [row[0] for row in copy.execute("PRAGMA integrity_check(3)") if row[0] != "ok"]
    faults += [f"{row[0]} {row[1]}" for row in copy.execute("PRAGMA foreign_key_check").fetchmany(3)]
    there = {row[0] for row in copy.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if not faults and not {"alembic_version", "setup", "revision"} <= there:
        raise BackupError(_("%(path)s is not a backup of this tool.", path=path))
    if not faults:
        without = "SELECT count(*) FROM setup WHERE deleted_at IS NULL AND id NOT IN (SELECT setup_id FROM revision)"
        if bare := copy.execute(without).fetchone()[0]:
            faults.append(f"{bare} setup")
    if faults:
        raise BackupError(_("%(path)s is damaged (%(why)s).", path=path, why="; ".join(faults)))
    # The names are our own tables'.
    return {name: copy.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in _TABLES if name in there}  # noqa: S608


def restore_database(path: Path, kept: Path | None, amend: Callable[[Connection], None]) -> dict[str, int]:
    """Replace all that the current app's database holds by the copy at `path`; return the rows of each table.

    `amend` changes the copy, in one transaction of it, before that.

    It happens in one transaction, so that a server that runs meanwhile sees the old rows or the new. A copy of an
    older version of the tool is brought up to date first. What was there is copied to `kept` before.

    Raises
    ------
    BackupError
        When the copy is damaged or no copy, not whole, or what is there cannot be kept.
    ConfigError
        When the copy is of a newer version of the tool.
    """
    look_through(path)
    with _beside(Path(str(database.engine.url.database or path))) as fresh:
        _copy_file(path, fresh)
        _bring_up_to_date(fresh, path, amend)
        counts = look_through(fresh)
        if kept is not None:
            copy_database(kept)
        with contextlib.closing(sqlite3.connect(fresh)) as source, _engine_connection() as target:
            _carry_over(source, target)
    return counts


def _bring_up_to_date(fresh: Path, path: Path, amend: Callable[[Connection], None]) -> None:
    """Apply the migrations that a copy is behind, look that it is whole (named by `path`), and amend it."""
    with contextlib.closing(sqlite3.connect(fresh)) as copy:
        need_plain(copy, path)
    engine = make_engine(file_url(fresh), _PATIENCE_S)
    try:
        _upgrade(engine, path)
        with contextlib.closing(sqlite3.connect(fresh)) as copy:
            need_whole(copy, path)
        with engine.begin() as connection:
            amend(connection)
    finally:
        engine.dispose()


def _upgrade(engine: Engine, path: Path) -> None:
    try:
        upgrade(engine)
    except ConfigError as error:  # said of the copy: the database that is here has nothing to do with it
        told = _(
            "%(path)s was written by a newer version of this tool. Nothing was changed. Update the tool, then restore "
            "it again.",
            path=path,
        )
        raise ConfigError(told) from error
    except SQLAlchemyError as error:
        raise cannot_be_updated(path) from error


def database_folder() -> Path:
    """Return the folder of the embedded database's file."""
    return Path(str(database.engine.url.database)).absolute().parent


def stored_setups() -> int:
    """Return how many rows there are that a restore would replace: setups, also erased ones, and shops."""
    with database.read() as connection:
        return sum(
            int(connection.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar_one())  # noqa: S608 - two names of ours
            for name in ("setup", "shop")
        )


@contextlib.contextmanager
def _engine_connection() -> Iterator[Any]:
    with database.engine.connect() as connection:
        connection.rollback()  # a copy begins its own transactions
        yield connection.connection.driver_connection


def _carry_over(source: sqlite3.Connection, target: sqlite3.Connection) -> None:
    end = time.monotonic() + _PATIENCE_S

    def lose_patience(status: int, _remaining: int, _total: int) -> None:
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() > end:
            raise StorageUnavailableError(_("other saves did not finish in time"))

    try:
        # All pages in one step: in pieces, a copy would begin again whenever somebody saves.
        source.backup(target, pages=-1, progress=lose_patience)
    except sqlite3.OperationalError as error:
        full = "full" in str(error)
        raise (StorageFullError if full else StorageUnavailableError)(str(error)) from error


def _copy_file(path: Path, fresh: Path) -> None:
    with (
        contextlib.closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as source,
        contextlib.closing(sqlite3.connect(fresh)) as target,
    ):
        _carry_over(source, target)


@contextlib.contextmanager
def _beside(path: Path) -> Iterator[Path]:
    """Give a new private file in the folder of `path`, which is gone afterwards, with what SQLite put beside it."""
    try:
        number, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.absolute().parent)
    except OSError as error:
        raise BackupError(_not_written(path, error)) from error
    os.close(number)
    try:
        yield Path(name)
    finally:
        for ending in ("", "-wal", "-shm", "-journal"):
            Path(name + ending).unlink(missing_ok=True)


def _name_durably(copy: Path, path: Path) -> None:
    """Give a finished copy its name, unless somebody was faster, once it is on the disk."""
    try:
        with copy.open("rb") as file:
            os.fsync(file.fileno())
        try:
            os.link(copy, path)
        except FileExistsError:
            raise
        except OSError:  # a disk without hard links, such as a memory stick
            if path.exists():
                raise
            copy.rename(path)
        _sync_folder(path)
    except OSError as error:
        raise BackupError(_not_written(path, error)) from error


def _sync_folder(path: Path) -> None:
    if os.name != "posix":
        return
    folder = os.open(path.absolute().parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def _not_written(path: Path, error: OSError) -> str:
    return _("%(path)s cannot be written (%(why)s).", path=path, why=error.strerror)
