"""Starts the next visit of a bike that the shop knows: one record an end, with everything carried over."""

from __future__ import annotations

from collections.abc import Sequence

from setup_rules.types.request import EndName
from webapp.accounts.staff import StaffMember
from webapp.ground.database.engine import database
from webapp.setups.actions.find_setup import living_setup
from webapp.workshop.actions.bike_visits import setup_code_of
from webapp.workshop.actions.open_record import open_record
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.entries import Arrival
from webapp.workshop.queries import search as search_queries

#: Records of one setup that are looked through for open ones.
_LATEST = 20


def start_visit(
    member: StaffMember, code: str, ends: Sequence[EndName], *, service_kind: str = "list", reference: str = ""
) -> ServiceRecord:
    """Return the record of the first of `ends`, each started where none is open: pressed twice it starts one visit.

    Raises
    ------
    LinkUnknownError, LinkGoneError
        When the code is that of no setup.
    """
    setup_code = setup_code_of(member.shop_id, code)
    open_parts = _open_parts(member.shop_id, setup_code)
    visit = next((one.visit for one in open_parts.values()), None)
    started: list[ServiceRecord] = []
    for end in ends:
        record = open_parts.get(end) or open_record(
            member,
            Arrival(
                bike_label="",
                customer_reference=reference,
                spring_end=end,
                setup_code=setup_code,
                service_kind="list" if (end, service_kind) == ("rear", "lower_legs") else service_kind,
                visit_code=visit,
            ),
        )
        visit = visit or record.visit
        started.append(record)
    return started[0]


def _open_parts(shop_id: int, setup_code: str) -> dict[str, ServiceRecord]:
    with database.read() as connection:
        setup_id = living_setup(connection, setup_code).setup_id
        latest = search_queries.records_of_setup(connection, shop_id, setup_id, _LATEST)
    return {one.spring_end: one for one in latest if one.is_open}
