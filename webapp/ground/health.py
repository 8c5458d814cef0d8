"""Whether the tool can do its work, for those who watch over it."""

from __future__ import annotations

from webapp.ground.database.engine import database
from webapp.ground.database.migrate import current_version
from webapp.setups.queries import setups as queries


def check_health() -> None:
    """Return when the database answers (raises `StorageUnavailableError` when it does not)."""
    with database.read() as connection:
        queries.ping(connection)


def check_schema() -> tuple[str, int]:
    """Return the tables' version and how many setups are stored (raises as `check_health`)."""
    with database.read() as connection:
        return current_version(connection) or "none", queries.count_setups(connection)
