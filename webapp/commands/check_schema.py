"""What the database holds, for the `doctor` task."""

from __future__ import annotations

from webapp.ground.database.engine import database
from webapp.ground.database.migrate import current_version
from webapp.setups.queries import setups as queries


def check_schema() -> tuple[str, int]:
    """Return the tables' version and how many setups are stored (raises as `check_health`)."""
    with database.read() as connection:
        return current_version(connection) or "none", queries.count_setups(connection)
