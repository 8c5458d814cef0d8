"""Lists all revisions of a setup, for its history and its export."""

from __future__ import annotations

from webapp.services.find_setup import living_setup
from webapp.services.saved import SavedSetup, saved_setup
from webapp.storage import queries
from webapp.storage.database import database


def list_revisions(code_text: str) -> tuple[SavedSetup, ...]:
    """Return every revision of the setup behind a code, the first one first (raises as `find_setup`)."""
    with database.read() as connection:
        record = living_setup(connection, code_text)
        rows = tuple(queries.revisions(connection, record.setup_id))
    return tuple(saved_setup(record, row) for row in rows)
