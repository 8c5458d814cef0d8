"""Statements about the sag checks of a shop's setups; each names the shop."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, and_, func, select

from webapp.ground.database.bike_rows import BikeSetupRow
from webapp.ground.database.setup_rows import RevisionRow, SetupRow
from webapp.ground.database.shop_rows import ShopSetupRow


def checks_of_setups(connection: Connection, shop_id: int, limit: int) -> tuple[list[Any], ...]:
    """Return the stored checks of a shop's living setups that were ever corrected, the newest setup first.

    Of the setups that were made on one bike only the first: the same spring is no second case.
    """
    newest = (
        select(func.max(RevisionRow.number))
        .where(RevisionRow.setup_id == SetupRow.id)
        .correlate(SetupRow)
        .scalar_subquery()
    )
    statement = (
        select(RevisionRow.checks, BikeSetupRow.bike_id)
        .select_from(ShopSetupRow)
        .join(SetupRow, SetupRow.id == ShopSetupRow.setup_id)
        .join(RevisionRow, and_(RevisionRow.setup_id == SetupRow.id, RevisionRow.number == newest))
        .outerjoin(BikeSetupRow, BikeSetupRow.setup_id == SetupRow.id)
        .where(ShopSetupRow.shop_id == shop_id, SetupRow.deleted_at.is_(None), RevisionRow.number > 1)
        .order_by(ShopSetupRow.created_at.desc(), ShopSetupRow.setup_id.desc())
    )
    found = [row for row in connection.execute(statement.limit(limit)) if row.checks]
    first = {row.bike_id: place for place, row in enumerate(found) if row.bike_id is not None}
    return tuple(row.checks for place, row in enumerate(found) if first.get(row.bike_id, place) == place)
