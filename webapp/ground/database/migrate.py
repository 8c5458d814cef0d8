"""Brings the tables up to date when the tool starts, once, however many processes start together."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, inspect, text

from webapp.ground.errors import ConfigError
from webapp.ground.text.i18n import gettext as _

#: The newest migration. A start that finds it in the database does not even import Alembic.
HEAD: Final = "0012"

_FOLDER: Final = Path(__file__).parent / "migrations"
#: Any fixed number will do, as long as every process asks PostgreSQL for the same lock.
_LOCK_NUMBER: Final = 7_401_926


def current_version(connection: Connection) -> str | None:
    """Return the migration that the database stands at, None for an empty database."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    version = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if version is None else str(version)


def upgrade(engine: Engine) -> None:
    """Apply the migrations that are missing; a database that is up to date is only read.

    Raises
    ------
    ConfigError
        When the database was written by a newer version of the tool.
    """
    with engine.connect() as connection:
        if current_version(connection) == HEAD:
            return
    with engine.execution_options(immediate=True).begin() as connection:
        _lock(connection)
        if current_version(connection) != HEAD:  # another process may have done it while this one waited
            _run(connection)


def _lock(connection: Connection) -> None:
    """Hold off every other process: SQLite did so when the transaction began, PostgreSQL is asked here.

    A change of large tables may take longer than any request may wait, and so may waiting for it.
    """
    if connection.dialect.name == "postgresql":
        for name in ("lock_timeout", "statement_timeout", "idle_in_transaction_session_timeout"):
            connection.execute(text(f"SET LOCAL {name} = 0"))
        connection.execute(text("SELECT pg_advisory_xact_lock(:number)"), {"number": _LOCK_NUMBER})


def _run(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config
    from alembic.util.exc import CommandError

    config = Config()
    config.set_main_option("script_location", str(_FOLDER))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, "head")
    except CommandError as error:
        raise ConfigError(_newer(connection.dialect.name)) from error


def _newer(dialect: str) -> str:
    if dialect == "sqlite":
        return _(
            "The database was written by a newer version of this tool. Install that version, or set SETUP_CARD_DATA to "
            "another folder."
        )
    return _(
        "The database was written by a newer version of this tool. Install that version, or set "
        "SETUP_CARD_DATABASE_URL to another database."
    )
