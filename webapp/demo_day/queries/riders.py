"""Statements about all riders of a shop's bikes at once: who they are, and that they are gone."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, func, select

from webapp.ground.database.bike_rows import BikeEventRow, BikeRow, BikeSetupRow, BikeTurnRow
from webapp.ground.database.setup_rows import SetupRow


def rider_codes(connection: Connection, shop_id: int) -> list[str]:
    """Return the links of all living setups that were made on a shop's bikes, in the order of their rows."""
    statement = (
        select(SetupRow.code)
        .join(BikeSetupRow, BikeSetupRow.setup_id == SetupRow.id)
        .join(BikeRow, BikeRow.id == BikeSetupRow.bike_id)
        .where(BikeRow.shop_id == shop_id, SetupRow.deleted_at.is_(None))
    )
    return list(connection.execute(statement.order_by(SetupRow.id)).scalars())


def bikes_with_riders(connection: Connection, shop_id: int) -> dict[int, tuple[str, bool]]:
    """Return by bike the link of the rider who has it now, and whether a card of it was taken home."""
    statement = (
        select(BikeTurnRow.bike_id, BikeTurnRow.rider_code, BikeTurnRow.has_card)
        .join(BikeRow, BikeRow.id == BikeTurnRow.bike_id)
        .where(BikeRow.shop_id == shop_id, BikeTurnRow.rider_code.is_not(None))
        .order_by(BikeTurnRow.bike_id)
    )
    return {row.bike_id: (str(row.rider_code), row.has_card) for row in connection.execute(statement)}


def count_events_since(connection: Connection, shop_id: int, since: datetime) -> int:
    """Return how many things were done to a shop's bikes since a moment."""
    wanted = (BikeEventRow.shop_id == shop_id, BikeEventRow.made_at >= since)
    return int(connection.execute(select(func.count()).select_from(BikeEventRow).where(*wanted)).scalar_one())
