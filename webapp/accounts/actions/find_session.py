"""Checks whether the session of a browser is still valid."""

from __future__ import annotations

from webapp.accounts import queries as shop_queries
from webapp.accounts.staff import StaffMember, staff_member
from webapp.ground.database.engine import database


def find_session(staff_id: int, epoch: int) -> StaffMember | None:
    """Return whose session it is, or None when it was ended or the account is closed."""
    with database.read() as connection:
        row = shop_queries.staff_by_id(connection, staff_id)
    if row is None or row.disabled_at is not None or row.session_epoch != epoch:
        return None
    return staff_member(row)
