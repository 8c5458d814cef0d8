"""A shop's fleet: what each bike is, a whole list of them from a file, what stands on one, its tag, its archive."""

from __future__ import annotations

from functools import partial

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from setup_rules import RequestError
from webapp.accounts.access import needs_staff, signed_in
from webapp.demo_day.actions.create_bike import create_bike
from webapp.demo_day.actions.edit_bike import archive_bike, edit_bike, renew_tag, restore_bike
from webapp.demo_day.actions.find_bike import find_any_bike
from webapp.demo_day.actions.import_bikes import import_bikes
from webapp.demo_day.actions.list_bikes import bike_events
from webapp.demo_day.actions.press_once import Press
from webapp.demo_day.actions.set_bike import read_bike_as_it_stands
from webapp.demo_day.bike import Bike
from webapp.demo_day.bike_columns import COLUMNS
from webapp.demo_day.forms.bike_form import BikeForm
from webapp.demo_day.forms.bikes_file_form import BikesFileForm
from webapp.demo_day.forms.crew_forms import PressForm, ReadingForm
from webapp.demo_day.pages.bike_page import present_bike
from webapp.demo_day.pages.sample_file import write_sample
from webapp.demo_day.views.screens import find_shown, press_of, tried
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.quantity import CHOSEN_SYMBOLS
from webapp.ground.fields.uploaded_text import UPLOAD_LIMIT
from webapp.ground.stay_answers import lead_on_by_script
from webapp.ground.urls import is_own_machine
from webapp.library.actions.find_suspension_units import find_suspension_unit_by_name, offered_suspension_units

blueprint = Blueprint("fleet", __name__, url_prefix="/shop/bikes")
blueprint.after_request(lead_on_by_script)


@blueprint.route("/new", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def new() -> ResponseReturnValue:
    """Add a bike."""
    form, shop_id = BikeForm(), signed_in().shop_id
    data = form.read_bike_data(None, partial(find_suspension_unit_by_name, shop_id)) if form.is_submitted() else None
    if data is not None:
        try:
            made = create_bike(shop_id, data, form.submission_key(data))
            return redirect(url_for(".show", bike=made.bike_id, saved=1), 303)
        except RequestError as error:
            form.refuse_request(error)
    return _form_page(form, None)


@blueprint.route("/<int:bike>/edit", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def edit(bike: int) -> ResponseReturnValue:
    """Change what a bike is called or what is fitted to it."""
    form, shown = BikeForm(), find_shown(bike)
    find_unit = partial(find_suspension_unit_by_name, signed_in().shop_id)
    if not form.is_submitted():
        form.show_bike(shown.number, shown.label, shown.document, find_unit)
        form.version.data = str(shown.version)
        return _form_page(form, shown)
    data = form.read_bike_data(shown.document, find_unit)
    if data is None or not _edited(form, shown, data):
        return _form_page(form, shown)
    return redirect(url_for(".show", bike=bike, saved=1), 303)


def _edited(form: BikeForm, bike: Bike, data: dict[str, object]) -> bool:
    """Save what was entered; where that is refused, say why on the form, which saves on top when it is sent again."""
    key = form.submission_key([bike.bike_id, data, form.version.data])
    press = Press(member=signed_in(), bike_id=bike.bike_id, seen=form.seen, key=key)
    try:
        refused = tried(form, lambda: edit_bike(press, data), lambda status: (str(status), status))
    except RequestError as error:
        form.refuse_request(error)
        return False
    if refused is not None:
        form.version.data = str(find_shown(bike.bike_id).version)
    return refused is None


def _form_page(form: BikeForm, bike: Bike | None) -> ResponseReturnValue:
    problems = form.problems()
    page = render_template(
        "demo_day/bike_form.html",
        form=form,
        problems=problems,
        bike=bike,
        chosen_units=CHOSEN_SYMBOLS,
        suspension_unit_names=offered_suspension_units(signed_in().shop_id),
    )
    return page, 422 if problems else 200


@blueprint.get("/<int:bike>")
@needs_staff
def show(bike: int) -> ResponseReturnValue:
    """Show a bike: what it is, what stands on it, what its springs have taught, and what was done to it."""
    return _bike_page(find_any_bike(signed_in().shop_id, bike))


def _bike_page(bike: Bike, form: ReadingForm | None = None, status: int = 200) -> ResponseReturnValue:
    reading, button = form or ReadingForm(formdata=None), PressForm(formdata=None)
    if form is None:
        reading.draw_for(bike.document)
    for one in (reading, button):
        one.show_version(bike.version)
    view = present_bike(bike, bike_events(bike.shop_id, bike.bike_id))
    parts = {"bike": bike, "view": view, "form": reading, "button": button, "problems": reading.problems()}
    return render_template("demo_day/bike.html", **parts, tag_is_dead=is_own_machine()), status


@blueprint.post("/<int:bike>/stands")
@checks_its_own_token
@needs_staff
def stands(bike: int) -> ResponseReturnValue:
    """Take what stands on a bike."""
    form, shown = ReadingForm(), find_shown(bike)
    form.draw_for(shown.document, request.form)
    read = form.read()
    if read is None:
        return _bike_page(shown, form, 422)

    def again(status: int) -> ResponseReturnValue:
        return _bike_page(find_shown(bike), form, status)

    press = press_of(form, bike, "stands", read)
    return tried(form, lambda: read_bike_as_it_stands(press, read), again) or _saved(bike)


@blueprint.post("/<int:bike>/tag")
@checks_its_own_token
@needs_staff
def new_tag(bike: int) -> ResponseReturnValue:
    """Give a bike another tag."""
    return _pressed(bike, "tag", renew_tag)


@blueprint.post("/<int:bike>/archive")
@checks_its_own_token
@needs_staff
def archive(bike: int) -> ResponseReturnValue:
    """Take a bike out of use, or bring it back."""
    if request.form.get("archived") == "1":
        return _pressed(bike, "archive", archive_bike)
    if not PressForm().validate():
        return _bike_page(find_any_bike(signed_in().shop_id, bike), None, 422)
    restore_bike(signed_in(), bike)
    return _saved(bike)


def _pressed(bike_id: int, name: str, action: object) -> ResponseReturnValue:
    """Do what a button of a bike's page says, and show the bike again."""
    form = ReadingForm()
    form.draw_for(find_shown(bike_id).document)

    def again(status: int) -> ResponseReturnValue:
        return _bike_page(find_shown(bike_id), form, status)

    if not form.validate():
        return again(422)
    return tried(form, lambda: action(press_of(form, bike_id, name)), again) or _saved(bike_id)  # type: ignore[operator]


def _saved(bike_id: int) -> ResponseReturnValue:
    return redirect(url_for(".show", bike=bike_id, saved=1), 303)


@blueprint.route("/import", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def take_in() -> ResponseReturnValue:
    """Take in a whole file of bikes, or nothing of it."""
    request.max_content_length = UPLOAD_LIMIT
    form, shop_id = BikesFileForm(), signed_in().shop_id
    rows = form.read_rows() if form.is_submitted() else None
    if rows is not None:
        problems = import_bikes(shop_id, rows)
        if not problems:
            return redirect(url_for("bikes.browse", added=len(rows)), 303)
        form.take(problems)
    shown = render_template("demo_day/bikes_import.html", form=form, problems=form.problems(), columns=form.columns)
    return shown, 422 if form.problems() else 200


@blueprint.get("/import/sample.csv")
@needs_staff
def sample() -> Response:
    """Give a list of invented bikes to fill in."""
    answer = Response(write_sample(COLUMNS), mimetype="text/csv")
    answer.headers["Content-Disposition"] = 'attachment; filename="bikes-sample.csv"'
    return answer
