"""Closes a service record: nothing may stand against it, and the setup gets a new revision, or its first one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from setup_rules import RequestError, apply_sag_check
from setup_rules.messages.message import Message
from webapp.accounts.staff import StaffMember
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.hashes import hash_plain_data, repeat_key
from webapp.ground.text.sentences import say
from webapp.library.actions.unit_learning import tie_to_units
from webapp.setups.actions.append_revision import append_revision
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import register_setup
from webapp.setups.revision import CardTexts, Revision
from webapp.workshop.actions.closing_checks import find_obstacles, reasons_against_closing
from webapp.workshop.actions.describe_service import describe_service, name_service
from webapp.workshop.actions.records import (
    RecordBlockedError,
    ServiceRecord,
    changed_meanwhile,
    changing,
    found_record,
    keep,
)
from webapp.workshop.actions.service_dues import keep_dues
from webapp.workshop.actions.serviced_setup import apply_service, first_setup, sag_check_of, units_of_draft
from webapp.workshop.queries import records as record_queries

__all__ = ["ClosedRecord", "close_record", "find_obstacles", "reasons_against_closing"]


@dataclass(frozen=True, slots=True)
class ClosedRecord:
    """What closing led to. `owner_key` exists here only, and only with a first setup."""

    saved: Revision
    owner_key: str | None


def close_record(member: StaffMember, code: str, *, confirmed: str = "") -> ClosedRecord:
    """Close a record of the member's shop and return the setup's new revision.

    Sent twice, or broken off half way, it leads to the same one revision. `confirmed` is the key of the questions
    (`Obstacles.key`) that were answered with yes.

    Raises
    ------
    RecordBlockedError
        While a step of safety is open, a torque is out of range, what was left cannot be, a question is not answered,
        or there is nothing to make a setup from.
    RecordClosedError, RecordUnknownError, ConflictError
        As in `changing` and `append_revision`.
    """
    with database.read() as connection:
        record = found_record(connection, member.shop_id, code)
    if record.is_open:
        _refuse_blocked(record, confirmed)
    with changing(member.shop_id, code) as (_connection, _held):
        pass  # a record that is closed is refused before anything is saved
    try:
        closed = _save_setup(record)
    except RequestError as error:
        raise RecordBlockedError(tuple(say(problem.said) for problem in error.problems)) from error
    with changing(member.shop_id, code) as (connection, held):
        # Someone may have changed something while the setup was worked out.
        if reasons := reasons_against_closing(held):
            raise RecordBlockedError(reasons)
        if _content(held) != _content(record):
            raise changed_meanwhile()
        values: dict[str, Any] = {
            "state": "closed",
            "draft": None,
            "setup_id": record_queries.setup_number(connection, closed.saved.code),
            "setup_revision": closed.saved.number,
            "closed_at": datetime.now(UTC),
            "closed_by": member.staff_id,
        }
        keep(connection, held, member, "closed", values, {"revision": closed.saved.number})
        keep_dues(connection, replace(held, closed_at=values["closed_at"]), values["setup_id"])
        _link_other_part(connection, member, held, values["setup_id"])
    register_setup(member, closed.saved.code, short_code=record.short_code)
    tie_to_units(member.shop_id, closed.saved.code, units_of_draft(record.draft))
    return closed


def _link_other_part(connection: Connection, member: StaffMember, record: ServiceRecord, setup_id: Any) -> None:
    """Give the open other end of the same visit the setup that now is, where it has none of its own."""
    for part in record_queries.parts_of_visit(connection, record.shop_id, record.visit):
        if part.is_open and part.record_id != record.record_id and part.setup_code is None and part.draft is None:
            keep(connection, part, member, "linked", {"setup_id": setup_id}, {})


def _refuse_blocked(record: ServiceRecord, confirmed: str) -> None:
    found = find_obstacles(record)
    if found.reasons or (found.questions and confirmed != found.key):
        raise RecordBlockedError((*found.reasons, *found.questions))


def _content(record: ServiceRecord) -> list[Any]:
    """Return of a record what its setup is made from."""
    steps = [record_queries.step_data(step) for step in record.steps]
    return [record.setup_code, record.draft, record.spring_end, record.bike_label, steps, record.as_left]


def _key_of(record: ServiceRecord) -> str:
    """Return the key under which closing a record as it stands saves once; a record that was changed has another."""
    return hash_plain_data([record.closing_key, _content(record)])


def _save_setup(record: ServiceRecord) -> ClosedRecord:
    if record.setup_code is None:
        return _save_first(record)
    base = find_setup(record.setup_code)
    following = base.followed_by(
        apply_service(base.setup, record, confirm=True),
        kind="service",
        reason=name_service(record),
        texts=base.texts.with_service(describe_service(record), bike_label=record.bike_label),
    )
    key = repeat_key(_key_of(record), [record.shop_id, record.short_code])
    return ClosedRecord(append_revision(following, key), None)


def _save_first(record: ServiceRecord) -> ClosedRecord:
    """Save the first setup of a bike, and the sag that was measured as its first check."""
    setup = apply_service(first_setup(record), record, confirm=True)
    texts = CardTexts(record.bike_label, describe_service(record))
    created = create_setup(setup.request, texts, idempotency_key=_key_of(record))
    check = sag_check_of(record, confirm=True)
    if check is None:
        return ClosedRecord(created.saved, created.owner_key)
    checked = apply_sag_check(created.saved.setup, check)
    reason = Message.of(f"revision.sag_check.{check.end}")
    following = created.saved.followed_by(checked, kind=f"sag_check_{check.end}", reason=reason)
    key = repeat_key(f"{_key_of(record)}-sag", [record.shop_id, record.short_code])
    return ClosedRecord(append_revision(following, key), created.owner_key)
