"""Fork and shock of one visit: two parts of one record, each with its own steps, under one code."""

from __future__ import annotations

from webapp.accounts.staff import StaffMember
from webapp.ground.database.engine import database
from webapp.workshop.actions.open_record import open_record
from webapp.workshop.actions.records import ServiceRecord, found_record, refuse_closed
from webapp.workshop.entries import Arrival
from webapp.workshop.queries import records as record_queries


def other_part(record: ServiceRecord) -> ServiceRecord | None:
    """Return the other end of the same visit, None where only one is here; a cancelled one does not count."""
    with database.read() as connection:
        parts = record_queries.parts_of_visit(connection, record.shop_id, record.visit)
    others = [one for one in parts if one.record_id != record.record_id and not one.is_cancelled]
    return next((one for one in others if one.spring_end != record.spring_end), None)


def open_other_part(member: StaffMember, code: str) -> ServiceRecord:
    """Return the record of the bike's other end in the same visit, started where there is none yet.

    Raises
    ------
    RecordClosedError
        When the first part is closed and has no other: the bike is out, its next visit is another one.
    """
    with database.read() as connection:
        record = found_record(connection, member.shop_id, code)
    if there := other_part(record):
        return there
    refuse_closed(record)
    return open_record(
        member,
        Arrival(
            bike_label=record.bike_label,
            customer_reference=record.customer_reference,
            spring_end="rear" if record.spring_end == "front" else "front",
            setup_code=record.setup_code,
            visit_code=record.visit,
        ),
    )
