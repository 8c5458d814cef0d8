"""Finds a record for a form: a closed one has no forms any more."""

from __future__ import annotations

from webapp.ground.database.engine import database
from webapp.workshop.actions.records import ServiceRecord, found_record, refuse_closed


def find_open_record(shop_id: int, code: str) -> ServiceRecord:
    """Return a shop's open record (raises `RecordUnknownError`, `RecordClosedError`)."""
    with database.read() as connection:
        record = found_record(connection, shop_id, code)
    refuse_closed(record)
    return record
