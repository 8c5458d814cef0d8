"""Service records: start, fill in and close them. Everything here belongs to the signed-in member's shop."""

from __future__ import annotations

from functools import partial
from typing import Final

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.error_pages import error_answer
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.page_form import ConfirmForm
from webapp.ground.text.i18n import gettext as _
from webapp.ground.whole_numbers import read_whole_number
from webapp.library.actions.find_suspension_units import offered_suspension_units
from webapp.workshop.actions.bike_visits import Meaning, find_meaning
from webapp.workshop.actions.change_record import left_data, save_found_state, save_left_state
from webapp.workshop.actions.find_open_record import find_open_record
from webapp.workshop.actions.find_records import Part, count_day, find_day_list, find_record
from webapp.workshop.actions.open_record import open_record
from webapp.workshop.actions.records import RecordClosedError, RecordConflictError, RecordOpenError, ServiceRecord
from webapp.workshop.actions.suggest_from_unit import find_unit_data
from webapp.workshop.forms.record_forms import ArrivalForm, FoundForm, LeftForm, SearchForm
from webapp.workshop.forms.section_form import SectionForm
from webapp.workshop.pages.record_page import present_list
from webapp.workshop.views.sheet_page import close_and_lead_on, open_sheet, record_page, show_again

blueprint = Blueprint("records", __name__, url_prefix="/shop/bench")
_PARTS: Final[dict[str, Part]] = {"all": "all", "open": "open", "mine": "mine"}


@blueprint.app_errorhandler(RecordClosedError)
@blueprint.app_errorhandler(RecordOpenError)
def _refuse_state(error: RecordClosedError | RecordOpenError) -> ResponseReturnValue:
    return error_answer(409, str(error))


@blueprint.get("")
@needs_staff
def records() -> ResponseReturnValue:
    """List the shop's open records, its own or all, or those that the search box finds; a code leads to its bike."""
    form = SearchForm(request.args)
    text = form.q.data if form.validate() else ""
    if text and (meaning := find_meaning(signed_in().shop_id, text)):
        return lead_to(meaning)
    return _list(form, text)


def _list(form: SearchForm, text: str) -> ResponseReturnValue:
    member, problems = signed_in(), form.problems()
    part: Part = _PARTS.get(request.args.get("show", ""), "all" if text else "open")
    page = find_day_list(member, part, text, read_whole_number(request.args.get("page")) or 1)
    shown = render_template(
        "workshop/list.html",
        form=form,
        problems=problems,
        lines=present_list(page, member.time_zone),
        page=page,
        text=text,
        shown=part,
        counts=count_day(member),
    )
    return shown, 422 if problems else 200


def lead_to(meaning: Meaning) -> ResponseReturnValue:
    """Lead to what a code means: the bike's page, or a record that has no setup yet."""
    if meaning.setup_code:
        return redirect(url_for("bike_visits.show", code=meaning.setup_code), 303)
    return redirect(url_for("records.show", code=meaning.record_code), 303)


@blueprint.route("/new", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def new() -> ResponseReturnValue:
    """Bring a bike in."""
    form, shop_id = ArrivalForm(), signed_in().shop_id
    arrival = form.read(partial(find_unit_data, shop_id)) if request.method == "POST" else None
    if arrival is not None:
        try:
            return redirect(url_for(".show", code=open_record(signed_in(), arrival).short_code), 303)
        except (LinkUnknownError, LinkGoneError) as error:
            form.refuse("setup_code", str(error))
    problems, names = form.problems(), offered_suspension_units(shop_id)
    shown = render_template("workshop/new.html", form=form, problems=problems, unit_names=names)
    return shown, 422 if problems else 200


@blueprint.get("/<code>")
@needs_staff
def show(code: str) -> ResponseReturnValue:
    """Show a record: as found, steps, as left, history; an open one as the sheet that it is kept on."""
    record, _changes = find_record(signed_in().shop_id, code)
    return record_page(code, open_sheet(record) if record.is_open else None, [])


@blueprint.route("/<code>/found", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def found(code: str) -> ResponseReturnValue:
    """Note how the unit was found."""
    record, form = find_open_record(signed_in().shop_id, code), FoundForm()
    if request.method != "POST":
        form.show({name: value for name, value in record.as_found.items() if name in form})
        form.fill_from(record.as_found)
    elif (noted := form.read_found()) is not None:
        try:
            save_found_state(signed_in(), code, noted, seen=form.seen_version)
            return redirect(url_for(".show", code=record.short_code, _anchor="found"), 303)
        except RecordConflictError as error:
            form.show_conflict(str(error), error.version)
    return _part_page("workshop/found.html", form, record)


@blueprint.route("/<code>/left", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def left(code: str) -> ResponseReturnValue:
    """Note how the unit leaves, and when it is due again."""
    record, form = find_open_record(signed_in().shop_id, code), LeftForm()
    if request.method != "POST":
        form.show({name: value for name, value in left_data(record).items() if name in form})
        form.fill_from(left_data(record))
    elif (noted := form.read()) is not None:
        try:
            save_left_state(signed_in(), code, noted, seen=form.seen_version)
            return redirect(url_for(".show", code=record.short_code, _anchor="left"), 303)
        except RecordConflictError as error:
            form.show_conflict(str(error), error.version)
    return _part_page("workshop/left.html", form, record)


def _part_page(template: str, form: SectionForm, record: ServiceRecord) -> ResponseReturnValue:
    problems = form.problems()
    return render_template(template, form=form, problems=problems, record=record), 422 if problems else 200


@blueprint.post("/<code>/close")
@checks_its_own_token
@needs_staff
def close(code: str) -> ResponseReturnValue:
    """Close a record, and lead to the setup that it made."""
    form = ConfirmForm()
    if not form.validate():
        return show_again(code, form.problems() or [("", _("Press the button again."))])
    return close_and_lead_on(code)
