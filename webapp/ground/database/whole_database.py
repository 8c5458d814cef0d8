"""Whether a file of SQLite is a whole database of this tool: our tables, our columns, and nothing that acts in them."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any, Final

from sqlalchemy import create_engine

from webapp.ground.database.tables import metadata
from webapp.ground.errors import BackupError
from webapp.ground.text.i18n import gettext as _

#: What stands beside our tables: the migration that they are at, and what SQLite keeps for itself.
_BESIDE: Final = "alembic_version"
#: Columns by table (name, whether they may be empty, place in the key), and what is unique in it.
_Shape = dict[str, tuple[frozenset[tuple[Any, ...]], frozenset[tuple[str, ...]]]]


def need_plain(database: sqlite3.Connection, path: Path) -> None:
    """Return when a database of any version holds tables alone and says once which version that is.

    Raises
    ------
    BackupError
        When it has triggers or views, which would run among our own statements, or no version or several.
    """
    acting = database.execute("SELECT type, name FROM sqlite_master WHERE type NOT IN ('table', 'index')").fetchall()
    if acting:
        raise BackupError(_not_ours(path, ", ".join(f"{kind} {name}" for kind, name in acting[:3])))
    versions = database.execute(f"SELECT version_num FROM {_BESIDE}").fetchall()  # noqa: S608 - a name of ours
    if len(versions) != 1:
        raise BackupError(_not_ours(path, f"{_BESIDE}: {len(versions)}"))


def need_whole(database: sqlite3.Connection, path: Path) -> None:
    """Return when a database has the tables, columns and unique values of this version.

    Raises
    ------
    BackupError
        With the tables that are missing, foreign or other than ours.
    """
    ours, there = _wanted_shape(), _read_shape(database)
    wrong = sorted(name for name in ours.keys() | there.keys() if ours.get(name) != there.get(name))
    if wrong:
        raise BackupError(_not_ours(path, ", ".join(wrong[:5])))


def cannot_be_updated(path: Path) -> BackupError:
    """Return the refusal of a copy whose tables are not those of the version that it says it is of."""
    return BackupError(_not_ours(path, _BESIDE))


def _wanted_shape() -> _Shape:
    engine = create_engine("sqlite://")
    try:
        with engine.begin() as connection:
            metadata.create_all(connection)
            return _read_shape(connection.connection.driver_connection)
    finally:
        engine.dispose()


def _read_shape(database: Any) -> _Shape:
    names = [row[0] for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    return {name: _read_table(database, name) for name in names if name != _BESIDE and not name.startswith("sqlite_")}


def _read_table(database: Any, name: str) -> tuple[frozenset[tuple[Any, ...]], frozenset[tuple[str, ...]]]:
    columns = database.execute("SELECT name, [notnull], pk FROM pragma_table_info(?)", (name,)).fetchall()
    indexes = database.execute("SELECT name FROM pragma_index_list(?) WHERE [unique]", (name,)).fetchall()
    unique = (database.execute("SELECT name FROM pragma_index_info(?)", index).fetchall() for index in indexes)
    return frozenset(map(tuple, columns)), frozenset(tuple(str(row[0]) for row in rows) for rows in unique)


def _not_ours(path: Path, what: str) -> str:
    return _("%(path)s is not a whole database of this tool (%(what)s). Nothing was changed.", path=path, what=what)
