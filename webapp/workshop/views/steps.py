"""The steps of a service record, its first setup, and the shop's checklist."""

from __future__ import annotations

from functools import partial

from flask import Blueprint, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from setup_rules.workshop.checklist import Step, StepState
from webapp.accounts.access import needs_staff, signed_in
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.page_form import ConfirmForm
from webapp.ground.fields.quantity import CHOSEN_SYMBOLS
from webapp.library.actions.find_suspension_units import find_suspension_unit_by_name, offered_suspension_units
from webapp.setups.forms.setup_form import SetupForm
from webapp.setups.forms.show_request import show_request
from webapp.workshop.actions.change_record import link_setup, save_draft_setup, save_step
from webapp.workshop.actions.edit_checklist import ChecklistError, find_checklist, save_checklist
from webapp.workshop.actions.find_open_record import find_open_record
from webapp.workshop.actions.records import RecordConflictError, ServiceRecord
from webapp.workshop.actions.serviced_setup import request_of_draft, units_of_draft
from webapp.workshop.actions.suggest_from_unit import lengths_of, ready_steps
from webapp.workshop.forms.checklist_form import ChecklistForm
from webapp.workshop.forms.record_forms import LinkForm
from webapp.workshop.forms.step_forms import StepForm, step_form
from webapp.workshop.pages.step_lines import KIND_NAMES, present_step

blueprint = Blueprint("record_steps", __name__, url_prefix="/shop/bench")


@blueprint.route("/<code>/steps/<key>", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def step(code: str, key: str) -> ResponseReturnValue:
    """Note a step with what belongs to it."""
    record, one = _find_step(code, key)
    sent = request.method == "POST"
    form = step_form(one, sent=sent, end=record.spring_end, lengths=lengths_of(record))
    values = form.read() if sent else None
    if values is not None:
        try:
            save_step(signed_in(), code, key, "done", values, seen=form.seen_version)
            return redirect(url_for("records.show", code=record.short_code, _anchor=f"step-{key}"), 303)
        except RecordConflictError as error:
            form.show_conflict(str(error), error.version)
    return _step_page(record, one, form)


def _step_page(record: ServiceRecord, one: Step, form: StepForm) -> ResponseReturnValue:
    problems = form.problems()
    shown = render_template(
        "workshop/step.html", form=form, problems=problems, record=record, step=one, line_page=present_step(one)
    )
    return shown, 422 if problems else 200


def _find_step(code: str, key: str) -> tuple[ServiceRecord, Step]:
    record = find_open_record(signed_in().shop_id, code)
    one = next((step for step in ready_steps(record) if step.key == key), None)
    return (record, one) if one else abort(404)


@blueprint.post("/<code>/steps/<key>/state")
@checks_its_own_token
@needs_staff
def state(code: str, key: str) -> ResponseReturnValue:
    """Tick a step off, leave it out, or open it again."""
    record, _one = _find_step(code, key)
    wanted: dict[str, StepState] = {"done": "done", "open": "open", "left_out": "left_out"}
    chosen = wanted.get(request.form.get("state", ""))
    if chosen is None or not ConfirmForm().validate():
        abort(400)
    save_step(signed_in(), code, key, chosen)
    return redirect(url_for("records.show", code=record.short_code, _anchor=f"step-{key}"), 303)


@blueprint.route("/<code>/setup", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def first_setup(code: str) -> ResponseReturnValue:
    """Enter what the first setup is made from when the record is closed."""
    record = find_open_record(signed_in().shop_id, code)
    form, shop_id = SetupForm(), signed_in().shop_id
    if request.method != "POST":
        _fill_from_draft(form, record)
    elif (wanted := form.read(partial(find_suspension_unit_by_name, shop_id))) is not None:
        save_draft_setup(signed_in(), code, wanted, form.chosen_suspension_units)
        return redirect(url_for("records.show", code=record.short_code, _anchor="setup"), 303)
    return _setup_page(form, record)


def _fill_from_draft(form: SetupForm, record: ServiceRecord) -> None:
    """Show what was entered before; at first the fork or shock of the record."""
    if record.draft:
        show_request(form, request_of_draft(record.draft))
        for end, name in units_of_draft(record.draft).items():
            (form.front_unit if end == "front" else form.rear_unit).text = name
    elif record.unit:
        (form.front_unit if record.spring_end == "front" else form.rear_unit).text = record.unit["name"]
        form.front.form.wanted.data = record.spring_end == "front"
        form.rear.form.wanted.data = record.spring_end == "rear"


def _setup_page(form: SetupForm, record: ServiceRecord) -> ResponseReturnValue:
    problems = form.problems()
    page = render_template(
        "workshop/setup.html",
        form=form,
        problems=problems,
        record=record,
        chosen_units=CHOSEN_SYMBOLS,
        suspension_unit_names=offered_suspension_units(signed_in().shop_id),
    )
    return page, 422 if problems else 200


@blueprint.route("/<code>/card", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def card(code: str) -> ResponseReturnValue:
    """Name the card of a bike that has a setup already."""
    record = find_open_record(signed_in().shop_id, code)
    form = LinkForm()
    if request.method == "POST" and (text := form.read()):
        try:
            link_setup(signed_in(), code, text)
            return redirect(url_for("records.show", code=record.short_code, _anchor="setup"), 303)
        except (LinkUnknownError, LinkGoneError) as error:
            form.refuse("setup_code", str(error))
    problems = form.problems()
    return render_template("workshop/card.html", form=form, problems=problems, record=record), 422 if problems else 200


@blueprint.route("/checklist", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def checklist() -> ResponseReturnValue:
    """Show the shop's checklist; on POST replace it."""
    form = ChecklistForm()
    sent = request.form if request.method == "POST" else None
    form.draw_from(find_checklist(signed_in().shop_id), sent)
    steps = form.read() if sent is not None else None
    if steps is not None:
        try:
            save_checklist(signed_in(), steps)
            return redirect(url_for(".checklist", saved=1), 303)
        except ChecklistError as error:
            form.form_errors.append(str(error))
    problems = form.problems() + form.row_problems()
    shown = render_template("workshop/checklist.html", form=form, problems=problems, kinds=KIND_NAMES)
    return shown, 422 if problems else 200
