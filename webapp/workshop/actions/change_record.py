"""Changes in an open service record: as received, each step, final settings, and the draft of a first setup."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from setup_rules import SetupRequest, request_data
from setup_rules.types.request import EndName
from setup_rules.workshop.checklist import (
    ADDED_KINDS,
    MOST_IN_RECORD,
    Step,
    StepKind,
    StepState,
    steps_for_spring,
    torque_verdict,
)
from webapp.accounts.staff import StaffMember
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.round_weights import rounded_request
from webapp.workshop.actions.bike_visits import setup_code_of
from webapp.workshop.actions.records import (
    RecordOpenError,
    RecordUnknownError,
    ServiceRecord,
    changing,
    found_record,
    has_coil,
    keep,
    refuse_unseen,
    search_key,
)
from webapp.workshop.entries import Details, Left, step_part
from webapp.workshop.queries import records as record_queries


def save_found_state(member: StaffMember, code: str, found: dict[str, Any], *, seen: str = "") -> None:
    """Replace what is noted as found; `seen` is the version that the form was filled from (`version_of`).

    Raises
    ------
    RecordConflictError
        When someone else changed it since.
    """
    with changing(member.shop_id, code) as (connection, record):
        if found == record.as_found:
            return
        refuse_unseen(connection, record, ("found", "opened"), record.as_found, seen)
        key = search_key(record.bike_label, record.unit_label, record.customer_reference, found.get("symptoms", ""))
        keep(connection, record, member, "found", {"as_found": found, "search_key": key}, found)


def save_step(
    member: StaffMember,
    code: str,
    key: str,
    state: StepState,
    values: dict[str, Any] | None = None,
    *,
    seen: str = "",
) -> Step:
    """Set one step to `state`, with what was entered; `values` None keeps what is there. Return the step.

    Raises
    ------
    RecordUnknownError
        When the shop has no such record, or the record no such step.
    RecordClosedError
        When the record is closed.
    RecordConflictError
        When someone else changed the step since it was `seen` (`version_of` its `step_part`).
    """
    with changing(member.shop_id, code) as (connection, record):
        step = next((step for step in record.steps if step.key == key), None)
        if step is None:
            raise RecordUnknownError(_("This record does not have this step."))
        changed = _check_allowed(step.with_state(state, values))
        if changed == step:
            return step
        refuse_unseen(connection, record, ("step",), step_part(step), seen)
        steps = [record_queries.step_data(changed if one.key == key else one) for one in record.steps]
        detail = {"step": step.title, "state": changed.state, "values": changed.values}
        keep(connection, record, member, "step", {"steps": steps}, detail)
    return changed


def add_step(member: StaffMember, code: str, kind: str, title: str) -> None:
    """Add a step to an open record: another part, oil or fastener than its list had.

    Raises
    ------
    RecordUnknownError
        For a kind of step that there is not, or beyond `MOST_IN_RECORD` steps.
    """
    chosen: StepKind | None = next((one for one in ADDED_KINDS if one == kind), None)
    with changing(member.shop_id, code) as (connection, record):
        if chosen is None or len(record.steps) >= MOST_IN_RECORD:
            raise RecordUnknownError(
                _("This step cannot be added. A record holds %(most)d steps.", most=MOST_IN_RECORD)
            )
        step = Step(key=secrets.token_hex(6), kind=chosen, title=title)
        steps = [record_queries.step_data(one) for one in (*record.steps, step)]
        keep(connection, record, member, "step_added", {"steps": steps}, {"note": title})


def _check_allowed(step: Step) -> Step:
    """Return the step, open where it may not be left out (safety) or is not done (a torque out of its range)."""
    left_out = step.safety and step.state == "left_out"
    wrong = step.state == "done" and torque_verdict(step) not in (None, "in")
    return step.with_state("open") if left_out or wrong else step


def left_data(record: ServiceRecord) -> dict[str, Any]:
    """Return what is noted as left, the next service included, as one part with a version."""
    due = record.next_due_on.isoformat() if record.next_due_on else None
    return {**record.as_left, "next_due_on": due, "next_due_hours": record.next_due_hours}


def save_left_state(member: StaffMember, code: str, left: Left, *, seen: str = "") -> None:
    """Replace what is noted as left, and when the next service is due.

    Raises
    ------
    RecordConflictError
        When someone else changed it since it was `seen` (`version_of` its `left_data`).
    """
    due = {"next_due_on": left.next_due_on, "next_due_hours": left.next_due_hours}
    shown = {"next_due_on": left.next_due_on.isoformat() if left.next_due_on else None, **left.values}
    with changing(member.shop_id, code) as (connection, record):
        detail = {**shown, "next_due_hours": left.next_due_hours}
        if detail == left_data(record):
            return
        refuse_unseen(connection, record, ("left",), left_data(record), seen)
        keep(connection, record, member, "left", {"as_left": left.values, **due}, detail)


def save_draft_setup(
    member: StaffMember, code: str, request: SetupRequest, units: Mapping[EndName, str] | None = None
) -> None:
    """Keep the request of a first setup until the record is closed, with the names of the library's `units` by end.

    The history does not show the rider's weight.
    """
    with changing(member.shop_id, code) as (connection, record):
        draft = {**request_data(rounded_request(request)), **({"units": dict(units)} if units else {})}
        values = {"draft": draft, "setup_id": None, **_steps(record, request)}
        keep(connection, record, member, "first_setup", values, {})


def _steps(record: ServiceRecord, request: SetupRequest) -> dict[str, Any]:
    """Return the steps that the main spring of the record's end asks for; nothing where they are there already."""
    steps = steps_for_spring(record.steps, coil=has_coil(request, record.spring_end))
    return {} if steps == record.steps else {"steps": [record_queries.step_data(step) for step in steps]}


def link_setup(member: StaffMember, code: str, setup_code: str) -> None:
    """Tie a record to a saved setup (raises as `find_setup` when there is none)."""
    found = find_setup(setup_code_of(member.shop_id, setup_code))
    with changing(member.shop_id, code) as (connection, record):
        values = {"setup_id": record_queries.setup_number(connection, found.code), "draft": None}
        values |= _steps(record, found.setup.request)
        keep(connection, record, member, "linked", values, {})


def details_data(record: ServiceRecord) -> dict[str, Any]:
    """Return what says which bike and which fork or shock a record is about, as one part with a version."""
    names = ("bike_label", "unit_label", "spring_end", "customer_reference")
    return {name: getattr(record, name) for name in names}


def save_details(member: StaffMember, code: str, details: Details, *, seen: str = "") -> None:
    """Correct bike, fork or shock, and reference of an open record.

    Raises
    ------
    RecordConflictError
        When someone else changed them since they were `seen` (`version_of` its `details_data`).
    """
    values = {name: getattr(details, name) for name in ("bike_label", "unit_label", "spring_end", "customer_reference")}
    with changing(member.shop_id, code) as (connection, record):
        before = details_data(record)
        if values == before and details.unit is None:
            return
        refuse_unseen(connection, record, ("details", "opened"), before, seen)
        symptoms = record.as_found.get("symptoms", "")
        key = search_key(details.bike_label, details.unit_label, details.customer_reference, symptoms)
        detail = {name: value for name, value in values.items() if value != before[name]}
        keep(connection, record, member, "details", {**values, "search_key": key, "unit": details.unit}, detail)


def cancel_record(member: StaffMember, code: str) -> None:
    """Cancel an open record that was started by mistake: it stays in the list, makes no card and holds no weight."""
    with changing(member.shop_id, code) as (connection, record):
        values = {"state": "closed", "draft": None, "closed_at": datetime.now(UTC), "closed_by": member.staff_id}
        keep(connection, record, member, "cancelled", values, {})


def add_addendum(member: StaffMember, code: str, text: str) -> None:
    """Add a dated line to a closed record; what it says stays as it is (raises `RecordOpenError` while it is open).

    The same line by the same person right after it is the same press, sent twice.
    """
    with database.write() as connection:
        record = found_record(connection, member.shop_id, code, hold=True)
        if record.is_open:
            raise RecordOpenError(_("This record is open: change it instead of adding an addendum."))
        newest = record_queries.changes(connection, record.record_id)[-1]
        if (newest.kind, newest.made_by, newest.detail) != ("addendum", member.login, {"note": text}):
            keep(connection, record, member, "addendum", {"state": record.state}, {"note": text})
