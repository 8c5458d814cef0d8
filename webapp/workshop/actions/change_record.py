"""Changes in an open service record: as received, each step, final settings, and the draft of a first setup."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from setup_rules import SetupRequest, request_data
from setup_rules.types.request import EndName
from setup_rules.workshop.checklist import Step, StepState, steps_for_spring, torque_verdict
from webapp.accounts.staff import StaffMember
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.round_weights import rounded_request
from webapp.workshop import queries as record_queries
from webapp.workshop.actions.records import RecordUnknownError, ServiceRecord, changing, has_coil, keep
from webapp.workshop.entries import Left


def save_found_state(member: StaffMember, code: str, found: dict[str, Any]) -> None:
    """Replace what is noted as found."""
    with changing(member.shop_id, code) as (connection, record):
        keep(connection, record, member.staff_id, "found", {"as_found": found}, found)


def save_step(member: StaffMember, code: str, key: str, state: StepState, values: dict[str, Any] | None = None) -> Step:
    """Set one step to `state`, with what was entered; `values` None keeps what is there. Return the step.

    Raises
    ------
    RecordUnknownError
        When the shop has no such record, or the record no such step.
    RecordClosedError
        When the record is closed.
    """
    with changing(member.shop_id, code) as (connection, record):
        step = next((step for step in record.steps if step.key == key), None)
        if step is None:
            raise RecordUnknownError(_("This record does not have this step."))
        changed = _check_allowed(step.with_state(state, values))
        steps = [record_queries.step_data(changed if one.key == key else one) for one in record.steps]
        detail = {"step": step.title, "state": changed.state, "values": changed.values}
        keep(connection, record, member.staff_id, "step", {"steps": steps}, detail)
    return changed


def _check_allowed(step: Step) -> Step:
    """Return the step, open where it may not be left out (safety) or is not done (a torque out of its range)."""
    left_out = step.safety and step.state == "left_out"
    wrong = step.state == "done" and torque_verdict(step) not in (None, "in")
    return step.with_state("open") if left_out or wrong else step


def save_left_state(member: StaffMember, code: str, left: Left) -> None:
    """Replace what is noted as left, and when the next service is due."""
    due = {"next_due_on": left.next_due_on, "next_due_hours": left.next_due_hours}
    shown = {"next_due_on": left.next_due_on.isoformat() if left.next_due_on else None, **left.values}
    with changing(member.shop_id, code) as (connection, record):
        detail = {**shown, "next_due_hours": left.next_due_hours}
        keep(connection, record, member.staff_id, "left", {"as_left": left.values, **due}, detail)


def save_draft_setup(
    member: StaffMember, code: str, request: SetupRequest, units: Mapping[EndName, str] | None = None
) -> None:
    """Keep the request of a first setup until the record is closed, with the names of the library's `units` by end.

    The history does not show the rider's weight.
    """
    with changing(member.shop_id, code) as (connection, record):
        draft = {**request_data(rounded_request(request)), **({"units": dict(units)} if units else {})}
        values = {"draft": draft, "setup_id": None, **_steps(record, request)}
        keep(connection, record, member.staff_id, "first_setup", values, {})


def _steps(record: ServiceRecord, request: SetupRequest) -> dict[str, Any]:
    """Return the steps that the main spring of the record's end asks for; nothing where they are there already."""
    steps = steps_for_spring(record.steps, coil=has_coil(request, record.spring_end))
    return {} if steps == record.steps else {"steps": [record_queries.step_data(step) for step in steps]}


def link_setup(member: StaffMember, code: str, setup_code: str) -> None:
    """Tie a record to a saved setup (raises as `find_setup` when there is none)."""
    found = find_setup(setup_code)
    with changing(member.shop_id, code) as (connection, record):
        values = {"setup_id": record_queries.setup_number(connection, found.code), "draft": None}
        values |= _steps(record, found.setup.request)
        keep(connection, record, member.staff_id, "linked", values, {})
