"""When the bike of a saved setup is due at a workshop again, as the records that were closed on it say."""

from __future__ import annotations

from datetime import date

from sqlalchemy import Connection, func, select

from webapp.ground.database.record_rows import ServiceDueRow


def next_service_day(connection: Connection, setup_id: int) -> date | None:
    """Return the first day on which a service is due, None where no workshop noted one."""
    statement = select(func.min(ServiceDueRow.due_on)).where(ServiceDueRow.setup_id == setup_id)
    day: date | None = connection.execute(statement).scalar_one()
    return day
