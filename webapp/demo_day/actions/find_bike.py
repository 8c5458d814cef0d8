"""Finds a bike of a shop."""

from __future__ import annotations

from webapp.demo_day.bike import Bike
from webapp.demo_day.queries import bikes as queries
from webapp.ground.action_errors import NotFoundError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _


def find_bike(shop_id: int, bike_id: int) -> Bike:
    """Return a bike of a shop that is in use.

    Raises
    ------
    NotFoundError
        When the shop has no such bike, be it that there is none or that it is another shop's.
    """
    with database.read() as connection:
        return bike_of_shop(connection, shop_id, bike_id)


def find_any_bike(shop_id: int, bike_id: int) -> Bike:
    """Return a bike of a shop, in use or archived (raises as `find_bike`)."""
    with database.read() as connection:
        found = queries.any_bike(connection, shop_id, bike_id) if bike_id < 2**31 else None
    if found is None:
        raise NotFoundError(_("This shop has no such bike."))
    return found


def bike_of_shop(connection: Connection, shop_id: int, bike_id: int) -> Bike:
    """Return a bike of a shop over an open connection (raises as `find_bike`)."""
    # SQLite takes 64-bit numbers only; a longer one is just another bike that does not exist.
    found = queries.bike_by_id(connection, shop_id, bike_id) if bike_id < 2**31 else None
    if found is None:
        raise NotFoundError(_("This shop has no such bike."))
    return found
