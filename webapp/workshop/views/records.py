"""Service records: start, fill in and close them. Everything here belongs to the signed-in member's shop."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.error_pages import error_answer
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.page_form import ConfirmForm
from webapp.ground.text.i18n import gettext as _
from webapp.ground.whole_numbers import read_whole_number
from webapp.setups import one_time_owner_link
from webapp.workshop.actions.change_record import save_found_state, save_left_state
from webapp.workshop.actions.close_record import close_record, find_obstacles
from webapp.workshop.actions.find_records import find_record, find_records
from webapp.workshop.actions.open_record import open_record
from webapp.workshop.actions.records import RecordBlockedError, RecordClosedError
from webapp.workshop.actions.serviced_setup import expected_setup
from webapp.workshop.forms.record_forms import ArrivalForm, FoundForm, LeftForm, SearchForm
from webapp.workshop.pages.record_page import present_list, present_record

blueprint = Blueprint("records", __name__, url_prefix="/shop/bench")


@blueprint.app_errorhandler(RecordClosedError)
def _refuse_closed(error: RecordClosedError) -> ResponseReturnValue:
    return error_answer(409, str(error))


@blueprint.get("")
@needs_staff
def records() -> ResponseReturnValue:
    """List the shop's records, the newest first, or those that the search box finds."""
    form = SearchForm(request.args)
    valid = form.validate()
    text = form.q.data if valid else ""
    page = find_records(signed_in().shop_id, text, read_whole_number(request.args.get("page")) or 1)
    problems = form.problems()
    shown = render_template(
        "workshop/list.html", form=form, problems=problems, lines=present_list(page), page=page, text=text
    )
    return shown, 200 if valid else 422


@blueprint.route("/new", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def new() -> ResponseReturnValue:
    """Bring a bike in."""
    form = ArrivalForm()
    arrival = form.read() if request.method == "POST" else None
    if arrival is not None:
        try:
            return redirect(url_for(".show", code=open_record(signed_in(), arrival).short_code), 303)
        except (LinkUnknownError, LinkGoneError) as error:
            form.refuse("setup_code", str(error))
    problems = form.problems()
    return render_template("workshop/new.html", form=form, problems=problems), 422 if problems else 200


@blueprint.get("/<code>")
@needs_staff
def show(code: str) -> ResponseReturnValue:
    """Show a record: as found, steps, as left, history."""
    return _record_page(code, [])


def _record_page(code: str, problems: list[tuple[str, str]]) -> ResponseReturnValue:
    record, changes = find_record(signed_in().shop_id, code)
    obstacles, expected = (find_obstacles(record), expected_setup(record)) if record.is_open else (None, None)
    view = present_record(record, changes, obstacles, expected)
    shown = render_template("workshop/record.html", view=view, form=ConfirmForm(formdata=None), problems=problems)
    return shown, 422 if problems else 200


@blueprint.route("/<code>/found", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def found(code: str) -> ResponseReturnValue:
    """Note how the unit was found."""
    record, _changes = find_record(signed_in().shop_id, code)
    form = FoundForm()
    if request.method != "POST":
        form.show({name: value for name, value in record.as_found.items() if name in form})
    elif (noted := form.read_found()) is not None:
        save_found_state(signed_in(), code, noted)
        return redirect(url_for(".show", code=record.short_code, _anchor="found"), 303)
    problems = form.problems()
    page = render_template("workshop/found.html", form=form, problems=problems, record=record)
    return page, 422 if problems else 200


@blueprint.route("/<code>/left", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def left(code: str) -> ResponseReturnValue:
    """Note how the unit leaves, and when it is due again."""
    record, _changes = find_record(signed_in().shop_id, code)
    form = LeftForm()
    if request.method != "POST":
        due = {"next_due_hours": record.next_due_hours, "next_due_on": record.next_due_on}
        form.show({**{name: value for name, value in record.as_left.items() if name in form}, **due})
    elif (noted := form.read()) is not None:
        save_left_state(signed_in(), code, noted)
        return redirect(url_for(".show", code=record.short_code, _anchor="left"), 303)
    problems = form.problems()
    page = render_template("workshop/left.html", form=form, problems=problems, record=record)
    return page, 422 if problems else 200


@blueprint.post("/<code>/close")
@checks_its_own_token
@needs_staff
def close(code: str) -> ResponseReturnValue:
    """Close a record, and lead to the setup that it made."""
    form = ConfirmForm()
    if not form.validate():
        return _record_page(code, form.problems() or [("", _("Press the button again."))])
    try:
        closed = close_record(signed_in(), code, confirmed=request.form.get("confirm", ""))
    except RecordBlockedError as error:
        return _record_page(code, [("steps", reason) for reason in error.reasons])
    one_time_owner_link.remember_owner_link(closed.saved.code, closed.owner_key)
    return redirect(url_for("setups.show", code=closed.saved.code), 303)
