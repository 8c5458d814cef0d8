"""The sheet of an open record: saved as a whole, part by part, by one press or as it is filled in."""

from __future__ import annotations

from flask import Blueprint, jsonify, redirect, request, url_for
from flask.typing import ResponseReturnValue

from setup_rules.workshop.checklist import StepState
from webapp.accounts.access import needs_staff, signed_in
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.page_form import ConfirmForm
from webapp.workshop.actions.change_record import add_step, save_step
from webapp.workshop.actions.find_open_record import find_open_record
from webapp.workshop.actions.save_sheet import save_sheet
from webapp.workshop.forms.sheet_form import SheetForm
from webapp.workshop.pages.step_lines import present_steps
from webapp.workshop.views.sheet_page import Problems, close_and_lead_on, open_sheet, record_page, sent_sheet

blueprint = Blueprint("record_sheet", __name__, url_prefix="/shop/bench")
_BUTTONS: dict[str, StepState] = {"leave_out": "left_out", "reopen": "open"}


@blueprint.post("/<code>/sheet")
@checks_its_own_token
@needs_staff
def save(code: str) -> ResponseReturnValue:
    """Save what was typed on the sheet, and close the record where that was pressed."""
    sent, confirm = sent_sheet(find_open_record(signed_in().shop_id, code)), ConfirmForm()
    if not confirm.validate():
        return record_page(code, sent, confirm.problems())
    wrong = _save(code, sent)
    problems = sent.problems()
    if "X-As-You-Go" in request.headers:
        return _told(code, sent, wrong)
    if not problems and request.form.get("then") == "close":
        return close_and_lead_on(code)
    if problems:
        return record_page(code, _mixed(code, sent, wrong), problems, 409 if wrong - sent.refused else 422)
    return redirect(url_for("records.show", code=code, _anchor=request.form.get("place", "steps")[:40]), 303)


def _save(code: str, sent: SheetForm) -> set[str]:
    """Save every part that can be, and a step that was skipped or opened again; return the names of the others."""
    added, conflicts = sent.added.read(), save_sheet(signed_in(), code, sent.read())
    sent.refused = sent.wrong_sections()
    for name, form in sent.sections():
        if name in conflicts:
            form.show_conflict(f"{sent.title_of(name)}: {conflicts[name]}", conflicts[name].version)
    if added and "X-As-You-Go" not in request.headers:
        add_step(signed_in(), code, *added)
    for button, state in _BUTTONS.items():
        if key := request.form.get(button, ""):
            save_step(signed_in(), code, key, state)
    return sent.wrong_sections()


def _mixed(code: str, sent: SheetForm, wrong: set[str]) -> SheetForm:
    """Return the sheet as saved, with the parts that could not be saved as they were typed."""
    sheet = open_sheet(find_open_record(signed_in().shop_id, code))
    sheet.keep(sent, wrong)
    return sheet


def _told(code: str, sent: SheetForm, wrong: set[str]) -> ResponseReturnValue:
    """Answer the script that saves as one goes: what each part stands at now, and what is wrong."""
    record = find_open_record(signed_in().shop_id, code)
    parts = sent.saved_parts(open_sheet(record), wrong)
    problems: Problems = sent.problems()
    states = {line.key: [line.state, line.state_word, line.fault] for line in present_steps(record.steps)}
    return jsonify(parts=parts, problems=problems, states=states)
