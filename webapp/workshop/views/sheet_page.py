"""The page of a record, an open one as its sheet; and how the views that save lead on from it."""

from __future__ import annotations

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import signed_in
from webapp.ground.fields.page_form import ConfirmForm
from webapp.setups import one_time_owner_link
from webapp.workshop.actions.change_record import left_data
from webapp.workshop.actions.close_record import close_record, find_obstacles
from webapp.workshop.actions.find_records import find_record
from webapp.workshop.actions.records import RecordBlockedError, ServiceRecord
from webapp.workshop.actions.serviced_setup import expected_setup
from webapp.workshop.actions.suggest_from_unit import lengths_of, ready_steps, suggested_due
from webapp.workshop.actions.visit_parts import other_part
from webapp.workshop.forms.sheet_form import SheetForm
from webapp.workshop.pages.record_page import present_record

Problems = list[tuple[str, str]]


def open_sheet(record: ServiceRecord) -> SheetForm:
    """Return the sheet of an open record, filled with what it says."""
    sheet = SheetForm(ready_steps(record), record.spring_end, lengths_of(record), None)
    left = left_data(record)
    sheet.show(record.as_found, left, {} if any(left.values()) else suggested_due(record))
    return sheet


def sent_sheet(record: ServiceRecord) -> SheetForm:
    """Return the sheet as it was sent."""
    return SheetForm(ready_steps(record), record.spring_end, lengths_of(record), request.form)


def record_page(code: str, sheet: SheetForm | None, problems: Problems, status: int = 422) -> ResponseReturnValue:
    """Show a record with its sheet; `status` is that of a page with problems."""
    record, changes = find_record(signed_in().shop_id, code)
    obstacles, expected = (find_obstacles(record), expected_setup(record)) if record.is_open else (None, None)
    view = present_record(record, changes, obstacles, expected, signed_in().time_zone)
    confirm = ConfirmForm(formdata=None)
    shown = render_template(
        "workshop/record.html",
        view=view,
        sheet=sheet,
        form=confirm,
        problems=problems,
        end=record.spring_end,
        other=other_part(record),
    )
    return shown, status if problems else 200


def show_again(code: str, problems: Problems) -> ResponseReturnValue:
    """Show a record as it is saved, with what is wrong."""
    record, _changes = find_record(signed_in().shop_id, code)
    return record_page(code, open_sheet(record) if record.is_open else None, problems)


def close_and_lead_on(code: str) -> ResponseReturnValue:
    """Close a record and lead to its card, ready to print, or show what stands against it."""
    try:
        closed = close_record(signed_in(), code, confirmed=request.form.get("confirm", ""))
    except RecordBlockedError as error:
        return show_again(code, [("close", reason) for reason in error.reasons])
    one_time_owner_link.remember_owner_strip(closed.saved.code, closed.owner_key)
    return redirect(url_for("cards.choose", code=closed.saved.code), 303)
