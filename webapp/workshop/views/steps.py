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
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.forms.setup_form import SetupForm
from webapp.workshop.actions.change_record import link_setup, save_draft_setup, save_step
from webapp.workshop.actions.edit_checklist import ChecklistError, find_checklist, save_checklist
from webapp.workshop.actions.find_records import find_record
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.forms.checklist_form import ChecklistForm
from webapp.workshop.forms.record_forms import LinkForm
from webapp.workshop.forms.step_forms import step_form
from webapp.workshop.pages.step_lines import KIND_NAMES, present_step

blueprint = Blueprint("record_steps", __name__, url_prefix="/shop/bench")


@blueprint.route("/<code>/steps/<key>", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def step(code: str, key: str) -> ResponseReturnValue:
    """Note a step with what belongs to it."""
    record, one = _find_step(code, key)
    sent = request.method == "POST"
    form = step_form(one, sent=sent)
    if sent:
        values = form.read()
        if values is not None:
            save_step(signed_in(), code, key, "done", values)
            return redirect(url_for("records.show", code=record.short_code, _anchor=f"step-{key}"), 303)
    elif one.kind == "travel" and not one.values:
        form.show(_find_known_travel(record))
    problems = form.problems()
    shown = render_template(
        "workshop/step.html", form=form, problems=problems, record=record, step=one, line_page=present_step(one)
    )
    return shown, 422 if problems else 200


def _find_step(code: str, key: str) -> tuple[ServiceRecord, Step]:
    record, _changes = find_record(signed_in().shop_id, code)
    one = next((step for step in record.steps if step.key == key), None)
    return (record, one) if one else abort(404)


def _find_known_travel(record: ServiceRecord) -> dict[str, float | None]:
    """Return what the bike's setup, or the one to come, says about travel."""
    if record.setup_code:
        front = find_setup(record.setup_code).setup.request.front
        return {"before_mm": front.travel_mm, "longest_mm": front.longest_travel_mm} if front else {}
    asked = (record.draft or {}).get("front") or {}
    return {"before_mm": asked.get("travel_mm"), "longest_mm": asked.get("longest_travel_mm")}


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
    record, _changes = find_record(signed_in().shop_id, code)
    form, shop_id = SetupForm(), signed_in().shop_id
    if request.method == "POST" and (wanted := form.read(partial(find_suspension_unit_by_name, shop_id))) is not None:
        save_draft_setup(signed_in(), code, wanted, form.chosen_suspension_units)
        return redirect(url_for("records.show", code=record.short_code, _anchor="setup"), 303)
    problems = form.problems()
    page = render_template(
        "workshop/setup.html",
        form=form,
        problems=problems,
        record=record,
        chosen_units=CHOSEN_SYMBOLS,
        suspension_unit_names=offered_suspension_units(shop_id),
    )
    return page, 422 if problems else 200


@blueprint.route("/<code>/card", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def card(code: str) -> ResponseReturnValue:
    """Name the card of a bike that has a setup already."""
    record, _changes = find_record(signed_in().shop_id, code)
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
