"""The least that can be asked of the database."""

from __future__ import annotations

from sqlalchemy import Connection, select

from webapp.ground.database.setup_rows import SetupRow


def ping(connection: Connection) -> None:
    """Ask the database for the least it can answer."""
    connection.execute(select(SetupRow.id).limit(1)).first()
