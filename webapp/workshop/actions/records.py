"""What the actions on service records share: finding a shop's record, changing an open one, and who may."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from typing import Any

from setup_rules import SetupRequest
from setup_rules.workshop.checklist import DEFAULT_STEPS, Step
from webapp.accounts.actions.shop_settings import shop_settings
from webapp.accounts.staff import StaffMember
from webapp.ground.action_errors import ActionError, LinkUnknownError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.short_codes import short_code_of
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.local_time import clock_words
from webapp.workshop.entries import version_of
from webapp.workshop.queries import records as record_queries
from webapp.workshop.queries.records import RecordChange, ServiceRecord

__all__ = [
    "RecordBlockedError",
    "RecordChange",
    "RecordClosedError",
    "RecordConflictError",
    "RecordOpenError",
    "RecordUnknownError",
    "ServiceRecord",
]


class RecordUnknownError(LinkUnknownError):
    """No record of this shop has this code: 404, also if another shop has it."""


class RecordClosedError(ActionError, RuntimeError):
    """The record was closed: nothing in it changes any more (409)."""


class RecordOpenError(ActionError, RuntimeError):
    """The record is still open: it is changed, not added to (409)."""


class RecordConflictError(ActionError, RuntimeError):
    """Someone else changed the same part of a record: nothing was saved (409). `values` is what stands there now."""

    def __init__(self, message: str, values: Mapping[str, Any], version: str) -> None:
        super().__init__(message)
        self.values = values
        self.version = version


class RecordBlockedError(ActionError, ValueError):
    """The record cannot be closed yet; `reasons` says why, one sentence each."""

    def __init__(self, reasons: tuple[str, ...]) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons


def refuse_unseen(
    connection: Connection, record: ServiceRecord, kinds: tuple[str, ...], saved: Mapping[str, Any], seen: str
) -> None:
    """Refuse to overwrite a part that is no longer as it was `seen`; "" has seen nothing and asks for nothing.

    Raises
    ------
    RecordConflictError
        With who changed it last, and when; `kinds` are the part's lines in the history.
    """
    version = version_of(saved)
    if not seen or seen == version:
        return
    zone = shop_settings(connection, record.shop_id).time_zone
    lines = [line for line in record_queries.changes(connection, record.record_id) if line.kind in kinds]
    who, clock = (lines[-1].made_by, clock_words(lines[-1].made_at, zone)) if lines else ("", "")
    message = _(
        "%(who)s changed this at %(time)s, after you opened it. Nothing was overwritten: compare, then save again.",
        who=who or _("Someone"),
        time=clock,
    )
    raise RecordConflictError(message, saved, version)


def changed_meanwhile() -> RecordBlockedError:
    """Return the refusal to close a record that someone changed while it was being closed."""
    return RecordBlockedError((_("Someone changed this record just now. Look at it, then close it again."),))


def search_key(*texts: str) -> str:
    """Return the text in which records are searched: every label and the symptoms, case folded."""
    return "\n".join(texts).casefold()[:600]


def found_record(connection: Connection, shop_id: int, code: str, *, hold: bool = False) -> ServiceRecord:
    """Return a shop's record; one of another shop is as unknown as one that never was."""
    short = short_code_of(code)
    record = record_queries.record_by_code(connection, shop_id, short, hold=hold) if short else None
    if record is None:
        raise RecordUnknownError(_("This shop has no service record with this code. Look for it in the list."))
    return record


def checklist_of(connection: Connection, shop_id: int) -> tuple[Step, ...]:
    """Return the checklist that a shop's new records start with."""
    return record_queries.checklist(connection, shop_id) or DEFAULT_STEPS


def refuse_closed(record: ServiceRecord) -> None:
    """Return when a record is open (raises `RecordClosedError`)."""
    if record.is_cancelled:
        raise RecordClosedError(_("This record was cancelled. Start a new service record."))
    if not record.is_open:
        raise RecordClosedError(_("This record is closed, so nothing was changed. Add an addendum to it instead."))


def has_coil(request: SetupRequest, spring_end: str) -> bool:
    """Return whether the end that a record is about has a coil main spring."""
    end = request.front if spring_end == "front" else request.rear
    return end is not None and end.spring == "coil"


@contextlib.contextmanager
def changing(shop_id: int, code: str) -> Iterator[tuple[Connection, ServiceRecord]]:
    """Give an open record in a transaction that keeps other savers off it."""
    with database.write() as connection:
        record = found_record(connection, shop_id, code, hold=True)
        refuse_closed(record)
        yield connection, record


def keep(
    connection: Connection,
    record: ServiceRecord,
    member: StaffMember,
    kind: str,
    values: Mapping[str, Any],
    detail: Mapping[str, Any],
) -> None:
    """Save changed values of a record with a line in its history."""
    record_queries.update_record(connection, member.shop_id, record.record_id, values)
    record_queries.insert_change(connection, record.record_id, member.staff_id, datetime.now(UTC), kind, detail)
