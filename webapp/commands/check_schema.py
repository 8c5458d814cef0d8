"""What the database holds, for the `doctor` task."""

from __future__ import annotations

from webapp.ground.database.engine import database
from webapp.ground.database.migrate import current_version
from webapp.ground.database.missing_columns import missing_columns
from webapp.setups.queries import setups as queries


def check_schema() -> tuple[str, int, tuple[str, ...]]:
    """Return the tables' version, the number of setups and the columns that are missing (raises as `check_health`)."""
    with database.read() as connection:
        version = current_version(connection) or "none"
        return version, queries.count_setups(connection), missing_columns(connection)
