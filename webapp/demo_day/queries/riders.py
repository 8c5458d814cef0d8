"""Statements about all riders of a shop's day at once: those of its bikes, and those whose cards came by the stack."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, func, select

from webapp.ground.database.bike_rows import BikeEventRow, BikeRow, BikeSetupRow, BikeTurnRow
from webapp.ground.database.setup_rows import RevisionRow, SetupRow
from webapp.ground.database.stack_rows import CardStackRow, StackCardRow


def rider_codes(connection: Connection, shop_id: int) -> list[str]:
    """Return the links of all living setups that were made on a shop's bikes, in the order of their rows."""
    statement = (
        select(SetupRow.code)
        .join(BikeSetupRow, BikeSetupRow.setup_id == SetupRow.id)
        .join(BikeRow, BikeRow.id == BikeSetupRow.bike_id)
        .where(BikeRow.shop_id == shop_id, SetupRow.deleted_at.is_(None))
    )
    return list(connection.execute(statement.order_by(SetupRow.id)).scalars())


def stack_setups(connection: Connection, shop_id: int) -> list[str]:
    """Return the links of living setups that a shop's stacks of cards made; not of those that were changed since.

    What was ordered by its link or short code was there before the stack.
    """
    changed = select(RevisionRow.id).where(RevisionRow.setup_id == SetupRow.id, RevisionRow.number > 1).exists()
    statement = (
        select(SetupRow.id, SetupRow.code)
        .join(StackCardRow, StackCardRow.setup_id == SetupRow.id)
        .join(CardStackRow, CardStackRow.id == StackCardRow.stack_id)
        .where(CardStackRow.shop_id == shop_id, SetupRow.created_at >= CardStackRow.created_at)
        .where(SetupRow.deleted_at.is_(None), ~changed)
    )
    return [row.code for row in connection.execute(statement.distinct().order_by(SetupRow.id))]


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
