"""What is put right in a record: the bike and unit, one opened by mistake, and a line added after closing."""

from __future__ import annotations

from functools import partial

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.page_form import ConfirmForm
from webapp.ground.text.i18n import gettext as _
from webapp.library.actions.find_suspension_units import offered_suspension_units
from webapp.workshop.actions.change_record import add_addendum, cancel_record, details_data, save_details
from webapp.workshop.actions.find_open_record import find_open_record
from webapp.workshop.actions.find_records import find_record
from webapp.workshop.actions.records import RecordConflictError
from webapp.workshop.actions.suggest_from_unit import find_unit_data
from webapp.workshop.actions.visit_parts import open_other_part
from webapp.workshop.forms.record_forms import AddendumForm, DetailsForm
from webapp.workshop.views.sheet_page import show_again

blueprint = Blueprint("record_edits", __name__, url_prefix="/shop/bench")


@blueprint.route("/<code>/details", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def details(code: str) -> ResponseReturnValue:
    """Correct which bike and which fork or shock this is."""
    shop_id, form = signed_in().shop_id, DetailsForm()
    record = find_open_record(shop_id, code)
    if request.method != "POST":
        form.show_details(details_data(record))
    elif (entered := form.read_details(partial(find_unit_data, shop_id))) is not None:
        try:
            save_details(signed_in(), code, entered, seen=form.seen_version)
            return redirect(url_for("records.show", code=record.short_code), 303)
        except RecordConflictError as error:
            form.show_conflict(str(error), error.version)
    problems, names = form.problems(), offered_suspension_units(shop_id)
    page = render_template("workshop/details.html", form=form, problems=problems, record=record, unit_names=names)
    return page, 422 if problems else 200


@blueprint.post("/<code>/part")
@checks_its_own_token
@needs_staff
def part(code: str) -> ResponseReturnValue:
    """Take in the other end of the same bike in the same visit."""
    form = ConfirmForm()
    if not form.validate():
        return show_again(code, form.problems())
    return redirect(url_for("records.show", code=open_other_part(signed_in(), code).short_code), 303)


@blueprint.post("/<code>/cancel")
@checks_its_own_token
@needs_staff
def cancel(code: str) -> ResponseReturnValue:
    """Cancel a record that was started by mistake."""
    form = ConfirmForm()
    if not form.validate():
        return show_again(code, form.problems())
    if not request.form.get("sure"):
        return show_again(code, [("sure", _("Tick the box if this record was started by mistake."))])
    cancel_record(signed_in(), code)
    return redirect(url_for("records.show", code=code), 303)


@blueprint.route("/<code>/addendum", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def addendum(code: str) -> ResponseReturnValue:
    """Add a line to a closed record."""
    record, _changes = find_record(signed_in().shop_id, code)
    form = AddendumForm()
    if request.method == "POST" and (text := form.read()):
        add_addendum(signed_in(), code, text)
        return redirect(url_for("records.show", code=record.short_code, _anchor="addenda"), 303)
    problems = form.problems()
    page = render_template("workshop/addendum.html", form=form, problems=problems, record=record)
    return page, 422 if problems else 200
