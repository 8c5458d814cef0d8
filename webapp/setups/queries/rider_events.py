"""What was saved of who rides a bike: lent, taken back, or brought back to an earlier version."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, select

from webapp.ground.database.setup_rows import RevisionRow
from webapp.setups.stored_messages import values_from_data

_NEWEST = (
    select(RevisionRow.number, RevisionRow.base_number, RevisionRow.kind, RevisionRow.reason_values)
    .where(
        RevisionRow.setup_id == bindparam("setup_id"),
        RevisionRow.number <= bindparam("number"),
        RevisionRow.kind.in_(("borrowed", "returned", "restored")),
    )
    .order_by(RevisionRow.number.desc())
    .limit(1)
)


@dataclass(frozen=True, slots=True)
class RiderEvent:
    """One of them. `leads_to` is the earlier revision that it goes on from: the one before, or the one restored."""

    number: int
    kind: str
    name: str
    leads_to: int


def newest_event(connection: Connection, setup_id: int, number: int) -> RiderEvent | None:
    """Return the newest of them up to revision `number`, or None."""
    row = connection.execute(_NEWEST, {"setup_id": setup_id, "number": number}).first()
    if row is None:
        return None
    values = values_from_data(row.reason_values or {})
    restored, name = values.get("number"), values.get("name")
    earlier = restored if row.kind == "restored" and isinstance(restored, int) else row.base_number
    return RiderEvent(row.number, row.kind, name if isinstance(name, str) else "", earlier or 0)
