"""Saves what was typed on the sheet of a record, part by part: what someone else changed is left alone and told."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.accounts.staff import StaffMember
from webapp.workshop.actions.change_record import save_found_state, save_left_state, save_step
from webapp.workshop.actions.records import RecordConflictError
from webapp.workshop.entries import SheetEntry


def save_sheet(member: StaffMember, code: str, entries: Sequence[SheetEntry]) -> dict[str, RecordConflictError]:
    """Save each part and return what could not be, by its name: someone else had changed it.

    Raises
    ------
    RecordClosedError, RecordUnknownError
        As in `changing`.
    """
    conflicts: dict[str, RecordConflictError] = {}
    for entry in entries:
        try:
            _save(member, code, entry)
        except RecordConflictError as error:
            conflicts[entry.section] = error
    return conflicts


def _save(member: StaffMember, code: str, entry: SheetEntry) -> None:
    if entry.section == "found":
        save_found_state(member, code, entry.content, seen=entry.seen)
    elif entry.section == "left":
        save_left_state(member, code, entry.content, seen=entry.seen)
    else:
        state, values = entry.content
        save_step(member, code, entry.section, state, values, seen=entry.seen)
