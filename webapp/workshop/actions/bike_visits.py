"""A bike that comes back: what a code means, its earlier visits, its setup with what was learned, and what is due."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

from setup_rules.types.request import EndName
from webapp.accounts.staff import StaffMember
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.database.engine import database
from webapp.ground.short_codes import short_code_of
from webapp.library.actions.find_suspension_units import unit_names_of_setup
from webapp.setups.actions.find_setup import find_setup, living_setup
from webapp.setups.actions.shop_setups import meant_code, short_code_for
from webapp.setups.revision import Revision
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.queries import dues as due_queries
from webapp.workshop.queries import records as record_queries
from webapp.workshop.queries import search as search_queries
from webapp.workshop.queries.dues import ServiceDue

#: The most visits that are shown; older ones are found in the list.
MOST_VISITS: Final = 20


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a code means in a shop: a saved setup by its link's code, or a record that has none yet by its own."""

    setup_code: str = ""
    record_code: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BikeVisits:
    """A bike as its shop knows it. `visits` are the newest of `total`; `units` are the models by end."""

    saved: Revision
    short_code: str
    visits: tuple[ServiceRecord, ...]
    total: int
    units: dict[EndName, str] = field(default_factory=dict)
    dues: tuple[ServiceDue, ...] = ()


def find_meaning(shop_id: int, text: str) -> Meaning | None:
    """Return what a text means that is a card's link, a setup's code of the shop or a record's; None for others."""
    code = setup_code_of(shop_id, text)
    try:
        return Meaning(setup_code=find_setup(code).code)
    except (LinkUnknownError, LinkGoneError):
        pass
    short = short_code_of(text)
    if not short:
        return None
    with database.read() as connection:
        record = record_queries.record_by_code(connection, shop_id, short)
    return None if record is None else Meaning(record_code=record.short_code)


def setup_code_of(shop_id: int, text: str) -> str:
    """Return the link's code for a short code of the shop's, a setup's or a record's; any other text as it is."""
    code = meant_code(shop_id, text)
    short = short_code_of(text)
    if code != text or not short:
        return code
    with database.read() as connection:
        record = record_queries.record_by_code(connection, shop_id, short)
    return text if record is None or record.setup_code is None else record.setup_code


def find_bike_visits(member: StaffMember, text: str) -> BikeVisits:
    """Return what the member's shop knows of the bike behind a code (raises as `find_setup`)."""
    saved = find_setup(setup_code_of(member.shop_id, text))
    with database.read() as connection:
        setup_id = living_setup(connection, saved.code).setup_id
        visits = search_queries.records_of_setup(connection, member.shop_id, setup_id, MOST_VISITS)
        total = search_queries.count_of_setup(connection, member.shop_id, setup_id)
        dues = due_queries.dues_of_setup(connection, member.shop_id, setup_id)
    units: dict[EndName, str] = {}
    for end, _asked in saved.setup.request.ends():
        if known := carried_unit(member.shop_id, saved.code, end):
            units[end] = known[0]
    short = short_code_for(member.shop_id, saved.code)
    return BikeVisits(saved=saved, short_code=short, visits=visits, total=total, units=units, dues=dues)


def carried_unit(shop_id: int, code: str, end: EndName) -> tuple[str, dict[str, Any] | None] | None:
    """Return the fork or shock of a setup's bike that the shop knows already, None where it does not.

    What the last record about that end named counts, else what the setup chose from the library. The entry is the one
    that was used then; the library's own may have gone on.
    """
    with database.read() as connection:
        setup_id = living_setup(connection, code).setup_id
        found = search_queries.last_unit_of_setup(connection, shop_id, setup_id, end)
    if found is not None:
        return found
    name = unit_names_of_setup(shop_id, code).get(end)
    return None if name is None else (name, None)
