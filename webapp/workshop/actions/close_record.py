"""Closes a service record: every safety step must be done, and the setup gets a new revision, or its first one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from setup_rules import RequestError, Setup, SetupRequest, SetupRulesError, read_request, recommend, what_if
from setup_rules.advice.travel_plan import TravelWish, change_travel
from setup_rules.types.request import EndName
from setup_rules.workshop.checklist import blocking_steps, travel_change_mm, unsafe_parts
from webapp.accounts.staff import StaffMember
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.database.engine import database
from webapp.ground.hashes import repeat_key
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say
from webapp.library.actions.class_factors import with_shop_checks
from webapp.library.actions.unit_learning import tie_to_units, with_unit_memories
from webapp.setups.actions.append_revision import append_revision
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import register_setup
from webapp.setups.revision import CardTexts, Revision
from webapp.workshop import queries as record_queries
from webapp.workshop.actions.describe_service import describe_service, name_service
from webapp.workshop.actions.records import RecordBlockedError, ServiceRecord, changing, found_record, keep


@dataclass(frozen=True, slots=True)
class ClosedRecord:
    """What closing led to. `owner_key` exists here only, and only with a first setup."""

    saved: Revision
    owner_key: str | None


def reasons_against_closing(record: ServiceRecord) -> tuple[str, ...]:
    """Return why a record cannot be closed yet, one sentence each; empty when it can."""
    reasons = [_say_what_blocks(step.title, torque=step.kind == "torque") for step in blocking_steps(record.steps)]
    for part in unsafe_parts(record.steps):
        reasons.append(
            _("“%(part)s” is marked as not safe. Replace it and update this step before the bike goes out.", part=part)
        )
    if record.setup_code is None and record.draft is None:
        reasons.append(_("No setup yet. Link an existing card, or enter the first setup."))
    return tuple(reasons)


def _say_what_blocks(title: str, *, torque: bool) -> str:
    if torque:
        return _("“%(title)s”: the torque entered is outside the manual's range.", title=title)
    return _("“%(title)s” is a safety step and not done yet.", title=title)


def close_record(member: StaffMember, code: str) -> ClosedRecord:
    """Close a record of the member's shop and return the setup's new revision.

    Sent twice, or broken off half way, it leads to the same one revision.

    Raises
    ------
    RecordBlockedError
        While a step of safety is open, a torque is out of range, or there is nothing to make a setup from.
    RecordClosedError, RecordUnknownError, ConflictError
        As in `changing` and `append_revision`.
    """
    with database.read() as connection:
        record = found_record(connection, member.shop_id, code)
    if reasons := reasons_against_closing(record):
        raise RecordBlockedError(reasons)
    try:
        closed = _save_setup(record)
    except RequestError as error:
        raise RecordBlockedError(tuple(say(problem.said) for problem in error.problems)) from error
    with changing(member.shop_id, code) as (connection, held):
        # Someone may have reopened a step while the setup was worked out.
        if reasons := reasons_against_closing(held):
            raise RecordBlockedError(reasons)
        values = {
            "state": "closed",
            "draft": None,
            "setup_id": record_queries.setup_number(connection, closed.saved.code),
            "setup_revision": closed.saved.number,
            "closed_at": datetime.now(UTC),
            "closed_by": member.staff_id,
        }
        keep(connection, held, member.staff_id, "closed", values, {"revision": closed.saved.number})
    register_setup(member, closed.saved.code)
    tie_to_units(member.shop_id, closed.saved.code, units_of_draft(record.draft))
    return closed


def expected_setup(record: ServiceRecord) -> Setup | None:
    """Return the setup that closing an open record would save now, None where there is nothing to make one from.

    It is what the unit is pumped to before the bike goes out.
    """
    try:
        if record.setup_code is not None:
            return apply_service(find_setup(record.setup_code).setup, record)
        return apply_service(first_setup(record), record) if record.draft else None
    except (SetupRulesError, LinkUnknownError, LinkGoneError):
        return None


def _save_setup(record: ServiceRecord) -> ClosedRecord:
    note = describe_service(record)
    if record.setup_code is None:
        setup = apply_service(first_setup(record), record)
        created = create_setup(setup.request, CardTexts(record.bike_label, note), idempotency_key=record.closing_key)
        return ClosedRecord(created.saved, created.owner_key)
    base = find_setup(record.setup_code)
    following = base.followed_by(
        apply_service(base.setup, record),
        kind="service",
        reason=name_service(record),
        texts=base.texts.with_service(note, bike_label=record.bike_label),
    )
    key = repeat_key(record.closing_key, [record.shop_id, record.short_code])
    return ClosedRecord(append_revision(following, key), None)


def first_setup(record: ServiceRecord) -> Setup:
    """Return the first setup of a bike as its record has it, with what the shop's own checks and units say."""
    asked = with_shop_checks(record.shop_id, request_of_draft(record.draft))
    return recommend(with_unit_memories(record.shop_id, asked, units_of_draft(record.draft)))


def request_of_draft(draft: Mapping[str, Any] | None) -> SetupRequest:
    """Return the request of a first setup as it was kept (raises `setup_rules.RequestError`)."""
    return read_request({key: value for key, value in (draft or {}).items() if key != "units"})


def units_of_draft(draft: Mapping[str, Any] | None) -> dict[EndName, str]:
    """Return the names of the library's forks and shocks that a first setup chose, by end.

    Examples
    --------
    >>> units_of_draft({"rider_mass_kg": 75.0, "units": {"front": "Fen 34"}})
    {'front': 'Fen 34'}
    """
    return dict((draft or {}).get("units", {}))


def apply_service(setup: Setup, record: ServiceRecord) -> Setup:
    """Return a setup with the travel and the volume spacers that the record left it with.

    Raises
    ------
    setup_rules.RequestError
        When the record says what the setup cannot be.
    """
    changed = _change_travel(setup, record)
    spacers = record.as_left.get("volume_spacers")
    if spacers is None:
        return changed
    end = "front" if record.spring_end == "front" else "rear"
    asked = changed.request.front if end == "front" else changed.request.rear
    if asked is None or asked.volume_spacers == spacers:
        return changed
    return what_if(changed, {end: {"volume_spacers": spacers}})


def _change_travel(setup: Setup, record: ServiceRecord) -> Setup:
    if record.spring_end != "front" or not travel_change_mm(record.steps) or setup.request.front is None:
        return setup
    fitted: dict[str, Any] = next(s.values for s in reversed(record.steps) if s.kind == "travel" and s.state == "done")
    wish = TravelWish(travel_mm=fitted["after_mm"], longest_travel_mm=fitted["longest_mm"])
    return change_travel(setup, wish)
