"""Whether the tool can do its work, for those who watch over it."""

from __future__ import annotations

from webapp.storage import queries
from webapp.storage.database import database
from webapp.storage.migrate import current_version


def check_health() -> None:
    """Return when the database answers (raises `StorageUnavailableError` when it does not)."""
    with database.read() as connection:
        queries.ping(connection)


def check_schema() -> tuple[str, int]:
    """Return the tables' version and how many setups are stored (raises as `check_health`)."""
    with database.read() as connection:
        return current_version(connection) or "none", queries.count_setups(connection)
