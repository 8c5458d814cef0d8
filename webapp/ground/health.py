"""The health check for monitoring: whether the tool works."""

from __future__ import annotations

from webapp.ground.database.engine import database
from webapp.ground.database.ping import ping


def check_health() -> None:
    """Return when the database answers (raises `StorageUnavailableError` when it does not)."""
    with database.read() as connection:
        ping(connection)
