"""The shop's unit library: list, edit, copy, retire, and whole files in and out."""

from __future__ import annotations

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.ground.action_errors import RefusedError
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.page_form import ConfirmForm
from webapp.ground.whole_numbers import read_whole_number
from webapp.library.actions.chart_fit import chart_fits
from webapp.library.actions.find_units import export_units, find_unit, list_units
from webapp.library.actions.save_unit import UnitsTakenError, import_units, retire_unit, save_unit
from webapp.library.forms.unit_form import UnitForm
from webapp.library.forms.units_file_form import UPLOAD_LIMIT, UnitsFileForm
from webapp.library.pages.chart_page import present_charts
from webapp.library.pages.chart_plot import chart_plot
from webapp.library.pages.unit_files import units_as_csv, units_as_toml
from webapp.library.pages.unit_page import present_unit, present_units

blueprint = Blueprint("units", __name__, url_prefix="/shop/units")

_FILES = {"csv": (units_as_csv, "text/csv"), "toml": (units_as_toml, "application/toml")}


@blueprint.get("")
@needs_staff
def library() -> ResponseReturnValue:
    """List the shop's units, those in use or the retired ones."""
    text, retired = request.args.get("q", "")[:80], request.args.get("retired") == "1"
    number = read_whole_number(request.args.get("page")) or 1
    page = list_units(signed_in().shop_id, text, number, retired=retired)
    return render_template("library/units.html", page=page, lines=present_units(page), text=text, retired=retired)


@blueprint.route("/new", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def new() -> ResponseReturnValue:
    """Add a unit, empty or as a copy of another."""
    form, member = UnitForm(), signed_in()
    source = read_whole_number(request.args.get("copy"))
    if request.method == "GET" and source is not None:
        form.show_unit(find_unit(member.shop_id, source).unit)
    return _edit(form, None)


@blueprint.route("/<int:unit_id>", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def edit(unit_id: int) -> ResponseReturnValue:
    """Show a unit and change it."""
    saved, form = find_unit(signed_in().shop_id, unit_id), UnitForm()
    if request.method == "GET":
        form.show_unit(saved.unit)
    return _edit(form, unit_id)


def _edit(form: UnitForm, unit_id: int | None) -> ResponseReturnValue:
    unit = form.read() if request.method == "POST" else None
    if unit is not None:
        try:
            saved = save_unit(signed_in().shop_id, unit, unit_id=unit_id, version=_seen_version())
            return redirect(url_for(".edit", unit_id=saved.unit_id, saved=1), 303)
        except RefusedError as error:
            form.refuse(error.field, str(error))
    return _unit_page(form, unit_id)


def _seen_version() -> int | None:
    """Return the version that the page was drawn from; one that is no number is one that no unit has."""
    text = request.form.get("version")
    return (read_whole_number(text) or 0) if text else None


def _unit_page(form: UnitForm, unit_id: int | None) -> ResponseReturnValue:
    saved = None if unit_id is None else find_unit(signed_in().shop_id, unit_id)
    problems = form.problems()
    shown = render_template(
        "library/unit.html",
        form=form,
        problems=problems,
        saved=saved,
        confirm=ConfirmForm(formdata=None),
        view=None if saved is None else present_unit(saved),
        charts=() if saved is None else present_charts(chart_fits(saved.unit)),
        draw=chart_plot,
    )
    return shown, 422 if problems else 200


@blueprint.post("/<int:unit_id>/retire")
@needs_staff
def retire(unit_id: int) -> ResponseReturnValue:
    """Take a unit out of use, or bring it back."""
    retire_unit(signed_in().shop_id, unit_id, retired=request.form.get("retired") == "1")
    return redirect(url_for(".edit", unit_id=unit_id), 303)


@blueprint.route("/import", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def take_in() -> ResponseReturnValue:
    """Take in a whole file of units, or nothing of it."""
    request.max_content_length = UPLOAD_LIMIT
    form = UnitsFileForm()
    found = form.read_units() if request.method == "POST" else None
    if found is not None:
        try:
            done = import_units(signed_in().shop_id, found.units, replace=form.known.data == "replace")
            return redirect(url_for(".library", added=done.added, replaced=done.replaced), 303)
        except UnitsTakenError as error:
            form.take(found.taken(error.places))
    problems = form.problems()
    return render_template("library/unit_import.html", form=form, problems=problems), 422 if problems else 200


@blueprint.get("/units.<kind>")
@needs_staff
def export(kind: str) -> ResponseReturnValue:
    """Give the library as a file that can be taken in again."""
    if kind not in _FILES:
        return redirect(url_for(".library"), 303)
    write, mimetype = _FILES[kind]
    answer = Response(write(export_units(signed_in().shop_id)), mimetype=mimetype)
    answer.headers["Content-Disposition"] = f'attachment; filename="units.{kind}"'
    return answer
