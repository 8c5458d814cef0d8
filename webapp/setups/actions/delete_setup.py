"""Erases a setup for its owner."""

from __future__ import annotations

from datetime import UTC, datetime

from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.events import setup_gone
from webapp.setups.actions.find_by_owner_key import setup_of_owner_key
from webapp.setups.ended_links import note_deleted
from webapp.setups.queries import setups as queries


def delete_setup(owner_key: str) -> None:
    """Erase the setup that an owner's key opens, with all its revisions, for good (raises as `find_by_owner_key`).

    Its code stays behind, alone, so that a printed card's link says that it is gone.
    """
    with database.write() as connection:
        record = setup_of_owner_key(connection, owner_key, hold=True)
        queries.erase(connection, [record.setup_id], datetime.now(UTC))
    note_deleted(record.code)
    setup_gone.send(record.code)


def hold_setup(connection: Connection, code: str) -> None:
    """Keep other savers off a setup until the transaction ends: held before the bike that it was made on."""
    queries.hold_setup(connection, code)


def erase_setup(connection: Connection, code: str) -> None:
    """Erase the setup with this link, in the transaction of who knows that it is over; one that is gone stays gone."""
    setup = queries.setup_by_code(connection, code)
    if setup is not None and setup.deleted_at is None:
        queries.erase(connection, [setup.setup_id], datetime.now(UTC))
