"""Everything of a shop as plain data: library, setups with all revisions, records, checklist, names of accounts."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.moving.queries import bikes as bike_queries
from webapp.moving.queries import dues as due_queries
from webapp.moving.queries import shop as queries
from webapp.moving.shape import FORMAT, VERSION


def export_shop(shop_id: int) -> dict[str, Any]:
    """Return all that is stored of a shop at one moment, without passwords, as `read_shop_file` takes it."""
    with database.read() as connection:
        return {
            "format": FORMAT,
            "version": VERSION,
            "exported_at": datetime.now(UTC).isoformat(),
            **shop_data(connection, shop_id),
        }


def count_left_behind(shop_id: int) -> tuple[int, int]:
    """Return how many setups a shop's file does not hold: those of no shop, and those of other shops."""
    with database.read() as connection:
        return queries.count_left_behind(connection, shop_id)


def shop_data(connection: Connection, shop_id: int) -> dict[str, Any]:
    """Return a shop's own parts of the file."""
    staff = queries.staff(connection, shop_id)
    names = {staff_id: one["login"] for staff_id, one in staff.items()}
    ids = queries.shop_setup_ids(connection, shop_id)
    return {
        "shop": queries.shop(connection, shop_id),
        "staff": list(staff.values()),
        "checklist": queries.checklist(connection, shop_id),
        "units": queries.units(connection, shop_id, ids),
        "setups": list(queries.setups(connection, shop_id, ids, names)),
        "records": queries.records(connection, shop_id, names),
        "bikes": bike_queries.bikes(connection, shop_id, ids),
        "dues": due_queries.dues(connection, shop_id),
        "class_factors": queries.class_factors(connection, shop_id, names),
    }
