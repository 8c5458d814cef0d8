"""Starts a new service record with the shop's checklist."""

from __future__ import annotations

import secrets
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from setup_rules.types.request import EndName
from setup_rules.workshop.checklist import Step, steps_for_spring
from setup_rules.workshop.service_kinds import SERVICE_KINDS, ServiceKind, steps_of_service
from webapp.accounts.queries import hold_shop
from webapp.accounts.staff import StaffMember
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.short_codes import new_short_code
from webapp.ground.text.i18n import gettext as _
from webapp.library.parsing import read_suspension_unit
from webapp.setups.actions.find_setup import find_setup
from webapp.workshop.actions.bike_visits import carried_unit, setup_code_of
from webapp.workshop.actions.records import ServiceRecord, checklist_of, found_record, has_coil, search_key
from webapp.workshop.actions.suggest_from_unit import find_unit_data, suggest_from_unit
from webapp.workshop.entries import Arrival
from webapp.workshop.queries import records as record_queries

#: What the same person brings in twice within this time, word for word, was sent twice.
_SENT_TWICE: Final = timedelta(seconds=10)


def open_record(member: StaffMember, arrival: Arrival) -> ServiceRecord:
    """Save a new record for the member's shop and return it; one that was just opened with the same words is it.

    Raises
    ------
    LinkUnknownError, LinkGoneError
        When the arrival names a setup that cannot be opened.
    """
    setup = find_setup(setup_code_of(member.shop_id, arrival.setup_code)) if arrival.setup_code else None
    code = setup.code if setup else None
    if setup and not arrival.bike_label:
        arrival = replace(arrival, bike_label=setup.texts.bike_label or _("Bike"))
    if setup and not arrival.unit_label:
        arrival = _with_known_unit(member.shop_id, setup.code, arrival)
    coil = setup is not None and has_coil(setup.setup.request, arrival.spring_end)
    now = datetime.now(UTC)
    with database.write() as connection:
        hold_shop(connection, member.shop_id)
        steps = steps_for_spring(_steps(connection, member, arrival), coil=coil)
        if (twin := _just_opened(connection, member, replace(arrival, setup_code=code), steps, now)) is not None:
            return twin
        short = _free_code(connection, member.shop_id)
        values = _values(member, arrival, short, now)
        values["steps"] = [record_queries.step_data(step) for step in steps]
        values["setup_id"] = record_queries.setup_number(connection, code) if code else None
        record_id = record_queries.insert_record(connection, values)
        detail = {"bike": arrival.bike_label, "found": arrival.as_found}
        record_queries.insert_change(connection, record_id, member.staff_id, now, "opened", detail)
        return found_record(connection, member.shop_id, short)


def _just_opened(
    connection: Connection, member: StaffMember, arrival: Arrival, steps: tuple[Step, ...], now: datetime
) -> ServiceRecord | None:
    """Return the record that the same press, sent before, has opened; nothing was done on it yet."""
    for short in record_queries.codes_opened_since(connection, member.shop_id, member.staff_id, now - _SENT_TWICE):
        record = found_record(connection, member.shop_id, short)
        same = all(getattr(record, part.name) == getattr(arrival, part.name) for part in fields(Arrival))
        if same and record.steps == steps and not record.as_left:
            return record
    return None


def _with_known_unit(shop_id: int, code: str, arrival: Arrival) -> Arrival:
    """Return the arrival with the fork or shock that the shop knows of this bike, as the library has it now."""
    known = carried_unit(shop_id, code, "front" if arrival.spring_end == "front" else "rear")
    if known is None:
        return arrival
    name, before = known
    return replace(arrival, unit_label=name, unit=find_unit_data(shop_id, arrival.spring_end, name) or before)


def _steps(connection: Connection, member: StaffMember, arrival: Arrival) -> tuple[Step, ...]:
    end: EndName = "front" if arrival.spring_end == "front" else "rear"
    kind: ServiceKind = next((one for one in SERVICE_KINDS[end] if one == arrival.service_kind), "list")
    steps = steps_of_service(checklist_of(connection, member.shop_id), kind, end)
    return steps if arrival.unit is None else suggest_from_unit(steps, read_suspension_unit(arrival.unit))


def _free_code(connection: Connection, shop_id: int) -> str:
    while True:
        short = new_short_code()
        if record_queries.record_by_code(connection, shop_id, short) is None:
            return short


def _values(member: StaffMember, arrival: Arrival, short: str, now: datetime) -> dict[str, Any]:
    return {
        "shop_id": member.shop_id,
        "short_code": short,
        "bike_label": arrival.bike_label,
        "unit_label": arrival.unit_label,
        "customer_reference": arrival.customer_reference,
        "search_key": search_key(
            arrival.bike_label, arrival.unit_label, arrival.customer_reference, arrival.as_found.get("symptoms", "")
        ),
        "spring_end": arrival.spring_end,
        "state": "open",
        "as_found": arrival.as_found,
        "unit": arrival.unit,
        "service_kind": arrival.service_kind,
        "visit_code": arrival.visit_code,
        "as_left": {},
        "closing_key": secrets.token_hex(16),
        "opened_at": now,
        "opened_by": member.staff_id,
    }
