"""Finds bikes of a shop: page by page, by number, by tag, by whatever was typed or scanned."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from webapp.demo_day.bike import Bike
from webapp.demo_day.queries import bikes as queries
from webapp.demo_day.queries import events
from webapp.demo_day.queries.events import BikeEvent
from webapp.ground.action_errors import NotFoundError
from webapp.ground.database.engine import database
from webapp.ground.link_codes import CODE_LENGTH, TEXT_LIMIT, CodeError, normalise
from webapp.ground.text.free_text import search_text
from webapp.ground.text.i18n import gettext as _
from webapp.library.suspension_unit import name_key

PAGE_SIZE: Final = 60
EVENTS_SHOWN: Final = 50
#: How many tags one file holds: three sheets of eight, some four seconds of work.
TAGS_AT_ONCE: Final = 24
_NOT_OF_A_CODE: Final = re.compile(r"[^0-9A-Za-z]")


@dataclass(frozen=True, slots=True, kw_only=True)
class BikePage:
    """One page of the list: its bikes, its number from 1, and how many there are in all."""

    bikes: tuple[Bike, ...]
    number: int
    total: int

    @property
    def pages(self) -> int:
        """How many pages there are, 1 for an empty list."""
        return max(1, -(-self.total // PAGE_SIZE))


def list_bikes(shop_id: int, text: str = "", number: int = 1, *, archived: bool = False) -> BikePage:
    """Return one page of a shop's bikes by number, those with `text` in number or label; after the last is the last."""
    key = name_key(search_text(text))
    with database.read() as connection:
        total = queries.count_wanted(connection, shop_id, key, retired=archived)
        shown = min(max(number, 1), max(1, -(-total // PAGE_SIZE)))
        start = (shown - 1) * PAGE_SIZE
        found = queries.bikes(connection, shop_id, key, retired=archived, start=start, limit=PAGE_SIZE)
    return BikePage(bikes=found, number=shown, total=total)


def meant_bike(shop_id: int, text: str) -> Bike | None:
    """Return the bike of a shop that a number, a tag or the link on a tag means, or None."""
    with database.read() as connection:
        if tag := _tag_in(text):
            found = queries.bike_by_tag(connection, tag)
            return found if found is not None and found.shop_id == shop_id else None
        return queries.bike_by_number(connection, shop_id, name_key(search_text(text))[:80])


def bikes_to_tag(shop_id: int, number: int) -> tuple[Bike, ...]:
    """Return the bikes in use whose tags are in the file `number` (from 1), by number; () after the last."""
    start = (max(1, number) - 1) * TAGS_AT_ONCE
    with database.read() as connection:
        return queries.bikes(connection, shop_id, start=start, limit=TAGS_AT_ONCE)


def tag_files(shop_id: int) -> tuple[tuple[int, str, str], ...]:
    """Return (file, number of its first bike, of its last) of every file of tags."""
    with database.read() as connection:
        total = queries.count_wanted(connection, shop_id)
    files = ((n, bikes_to_tag(shop_id, n)) for n in range(1, -(-total // TAGS_AT_ONCE) + 1))
    return tuple((n, bikes[0].number, bikes[-1].number) for n, bikes in files if bikes)


def scanned_bike(shop_id: int, text: str) -> Bike | None:
    """Return the bike of a shop whose tag was scanned into a field that is for something else, or None."""
    return meant_bike(shop_id, text) if _tag_in(text) else None


def bike_of_tag(tag: str) -> Bike:
    """Return the bike in use that carries a tag, of whatever shop.

    Raises
    ------
    NotFoundError
        When no bike carries it.
    """
    code = _tag_in(tag)
    with database.read() as connection:
        found = queries.bike_by_tag(connection, code) if code else None
    if found is None:
        raise NotFoundError(_("No bike carries this tag. Ask the crew."))
    return found


def _tag_in(text: str) -> str:
    """Return the tag that a scan or typing means, "" where it holds none.

    A scanner types a whole link, and on another keyboard with other signs between its parts: a tag is at the end.
    """
    if len(text) > TEXT_LIMIT:
        return ""
    tail = _NOT_OF_A_CODE.sub("", text.strip())[-CODE_LENGTH:]
    try:
        return normalise(tail)
    except CodeError:
        return ""


def bike_events(shop_id: int, bike_id: int) -> tuple[BikeEvent, ...]:
    """Return what was done to a bike lately, the newest first."""
    with database.read() as connection:
        return events.events(connection, shop_id, bike_id=bike_id, limit=EVENTS_SHOWN)
