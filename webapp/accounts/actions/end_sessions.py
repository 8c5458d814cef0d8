"""Ends sessions on the server, so that a copied cookie no longer works."""

from __future__ import annotations

from webapp.accounts import queries as shop_queries
from webapp.accounts.staff import StaffMember
from webapp.ground.database.engine import database


def end_sessions(member: StaffMember) -> int:
    """End every session of an account and return the epoch that new ones are to carry."""
    with database.write() as connection:
        return shop_queries.end_sessions(connection, member.shop_id, member.staff_id)
