"""Gives a shop's bikes page by page, and looks one up by what stands on it: its number, or its tag."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.demo_day.bike import NUMBER_LONGEST, Bike
from webapp.demo_day.queries import bikes as queries
from webapp.ground.action_errors import NotFoundError
from webapp.ground.database.engine import database
from webapp.ground.link_codes import CodeError, normalise
from webapp.ground.text.i18n import gettext as _
from webapp.library.suspension_unit import name_key


@dataclass(frozen=True, slots=True)
class BikeSlice:
    """Bikes of a shop in the order in which they were added; `following` is whether more come after them."""

    bikes: tuple[Bike, ...]
    following: bool


def bikes_after(shop_id: int, after: int, limit: int) -> BikeSlice:
    """Return up to `limit` bikes of a shop that are in use, those that were added after the bike `after`."""
    with database.read() as connection:
        found = queries.bikes_after(connection, shop_id, after, limit + 1)
    return BikeSlice(found[:limit], len(found) > limit)


def look_up_bike(shop_id: int, *, number: str | None = None, tag: str | None = None) -> Bike:
    """Return the bike of a shop that has this number, as on its tag, or this tag, as its QR code carries it.

    Raises
    ------
    NotFoundError
        When the shop has none in use that has it, be it that there is none or that it is another shop's.
    """
    with database.read() as connection:
        if number is not None:
            key = name_key(number) if len(number) <= NUMBER_LONGEST else ""
            found = queries.bike_by_number(connection, shop_id, key[:80])
        else:
            found = queries.bike_by_shops_tag(connection, shop_id, _code(tag or ""))
    if found is None:
        raise NotFoundError(_("This shop has no such bike."))
    return found


def _code(tag: str) -> str:
    try:
        return normalise(tag)
    except CodeError:
        return ""
