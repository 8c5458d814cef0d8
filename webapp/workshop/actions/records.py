"""What the actions on service records share: finding a shop's record, changing an open one, and who may."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from typing import Any

from setup_rules import SetupRequest
from setup_rules.workshop.checklist import DEFAULT_STEPS, Step
from webapp.ground.action_errors import ActionError, LinkUnknownError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.short_codes import short_code_of
from webapp.ground.text.i18n import gettext as _
from webapp.workshop import queries as record_queries
from webapp.workshop.queries import RecordChange, ServiceRecord

__all__ = ["RecordBlockedError", "RecordChange", "RecordClosedError", "RecordUnknownError", "ServiceRecord"]


class RecordUnknownError(LinkUnknownError):
    """No record of this shop has this code: 404, also if another shop has it."""


class RecordClosedError(ActionError, RuntimeError):
    """The record was closed: nothing in it changes any more (409)."""


class RecordBlockedError(ActionError, ValueError):
    """The record cannot be closed yet; `reasons` says why, one sentence each."""

    def __init__(self, reasons: tuple[str, ...]) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons


def search_key(*texts: str) -> str:
    """Return the text in which records are searched: every label, case folded."""
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


def has_coil(request: SetupRequest, spring_end: str) -> bool:
    """Return whether the end that a record is about has a coil main spring."""
    end = request.front if spring_end == "front" else request.rear
    return end is not None and end.spring == "coil"


@contextlib.contextmanager
def changing(shop_id: int, code: str) -> Iterator[tuple[Connection, ServiceRecord]]:
    """Give an open record in a transaction that keeps other savers off it."""
    with database.write() as connection:
        record = found_record(connection, shop_id, code, hold=True)
        if not record.is_open:
            raise RecordClosedError(_("This record is closed. Start a new service record to add more."))
        yield connection, record


def keep(
    connection: Connection,
    record: ServiceRecord,
    staff_id: int,
    kind: str,
    values: Mapping[str, Any],
    detail: Mapping[str, Any],
) -> None:
    """Save changed values of a record with a line in its history."""
    record_queries.update_record(connection, record.record_id, values)
    record_queries.insert_change(connection, record.record_id, staff_id, datetime.now(UTC), kind, detail)
