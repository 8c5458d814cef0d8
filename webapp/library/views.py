"""The shop's suspension unit library: list, edit, copy, retire, and whole files in and out."""

from __future__ import annotations

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_owner, needs_staff, signed_in
from webapp.ground.action_errors import RefusedError
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.page_form import ConfirmForm
from webapp.ground.fields.uploaded_text import UPLOAD_LIMIT
from webapp.ground.whole_numbers import read_whole_number
from webapp.library.actions.chart_fit import chart_fits
from webapp.library.actions.find_suspension_units import (
    export_suspension_units,
    find_suspension_unit,
    list_suspension_units,
)
from webapp.library.actions.save_suspension_unit import (
    SuspensionUnitsTakenError,
    import_suspension_units,
    retire_suspension_unit,
    save_suspension_unit,
)
from webapp.library.actions.unit_learning import forget_learned, learned_of_unit
from webapp.library.bench_test import with_day_and_name
from webapp.library.forms.suspension_unit_form import SuspensionUnitForm
from webapp.library.forms.suspension_units_file_form import SuspensionUnitsFileForm
from webapp.library.pages.chart_page import present_charts
from webapp.library.pages.chart_plot import chart_plot
from webapp.library.pages.suspension_unit_files import suspension_units_as_csv, suspension_units_as_toml
from webapp.library.pages.suspension_unit_page import (
    LearnedView,
    present_learned,
    present_suspension_unit,
    present_suspension_units,
)
from webapp.library.saved_suspension_unit import SavedSuspensionUnit

blueprint = Blueprint("library", __name__, url_prefix="/shop/units")

_FILES = {"csv": (suspension_units_as_csv, "text/csv"), "toml": (suspension_units_as_toml, "application/toml")}


@blueprint.get("")
@needs_staff
def browse() -> ResponseReturnValue:
    """List the shop's suspension units, those in use or the retired ones."""
    text, retired = request.args.get("q", "")[:80], request.args.get("retired") == "1"
    number = read_whole_number(request.args.get("page")) or 1
    page = list_suspension_units(signed_in().shop_id, text, number, retired=retired)
    lines = present_suspension_units(page)
    parts = {"page": page, "lines": lines, "text": text, "retired": retired, "imported": _imported()}
    return render_template("library/suspension_units.html", **parts)


def _imported() -> dict[str, int] | None:
    """Return how many entries the import that led here added and replaced, None for any other visit."""
    if "added" not in request.args:
        return None
    return {name: read_whole_number(request.args.get(name)) or 0 for name in ("added", "replaced")}


@blueprint.route("/new", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def new() -> ResponseReturnValue:
    """Add a suspension unit, empty or as a copy of another."""
    form, member = SuspensionUnitForm(), signed_in()
    source = read_whole_number(request.args.get("copy"))
    if request.method != "POST" and source is not None:
        form.show_suspension_unit(find_suspension_unit(member.shop_id, source).suspension_unit)
    return _edit(form, None)


@blueprint.route("/<int:suspension_unit_id>", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def edit(suspension_unit_id: int) -> ResponseReturnValue:
    """Show a suspension unit and change it."""
    saved, form = find_suspension_unit(signed_in().shop_id, suspension_unit_id), SuspensionUnitForm()
    if request.method != "POST":
        form.show_suspension_unit(saved.suspension_unit)
    return _edit(form, suspension_unit_id)


def _edit(form: SuspensionUnitForm, suspension_unit_id: int | None) -> ResponseReturnValue:
    suspension_unit = form.read() if request.method == "POST" else None
    if suspension_unit is not None:
        shop_id, seen = signed_in().shop_id, _seen_version()
        suspension_unit = with_day_and_name(suspension_unit, signed_in().login)
        try:
            saved = save_suspension_unit(shop_id, suspension_unit, suspension_unit_id=suspension_unit_id, version=seen)
            return redirect(url_for(".edit", suspension_unit_id=saved.suspension_unit_id, saved=1), 303)
        except RefusedError as error:
            form.refuse(error.field, str(error))
    return _suspension_unit_page(form, suspension_unit_id)


def _seen_version() -> int | None:
    """Return the version that the page showed; one that is no number is one that no suspension unit has."""
    text = request.form.get("version")
    return (read_whole_number(text) or 0) if text else None


def _suspension_unit_page(form: SuspensionUnitForm, suspension_unit_id: int | None) -> ResponseReturnValue:
    saved = None if suspension_unit_id is None else find_suspension_unit(signed_in().shop_id, suspension_unit_id)
    problems = form.problems()
    shown = render_template(
        "library/suspension_unit.html",
        form=form,
        problems=problems,
        saved=saved,
        confirm=ConfirmForm(formdata=None),
        view=None if saved is None else present_suspension_unit(saved),
        learned=None if saved is None else _learned(saved),
        charts=() if saved is None else present_charts(chart_fits(saved.suspension_unit)),
        draw=chart_plot,
    )
    return shown, 422 if problems else 200


def _learned(saved: SavedSuspensionUnit) -> LearnedView:
    return present_learned(
        learned_of_unit(signed_in().shop_id, saved.suspension_unit_id), for_owner=signed_in().is_owner
    )


@blueprint.post("/<int:suspension_unit_id>/retire")
@needs_staff
def retire(suspension_unit_id: int) -> ResponseReturnValue:
    """Take a suspension unit out of use, or bring it back."""
    retire_suspension_unit(signed_in().shop_id, suspension_unit_id, retired=request.form.get("retired") == "1")
    return redirect(url_for(".edit", suspension_unit_id=suspension_unit_id), 303)


@blueprint.post("/<int:suspension_unit_id>/learned")
@needs_owner
def learned(suspension_unit_id: int) -> ResponseReturnValue:
    """Let go of what sag checks taught of a suspension unit, or take that back."""
    forget_learned(signed_in(), suspension_unit_id, forget=request.form.get("forget") == "1")
    return redirect(url_for(".edit", suspension_unit_id=suspension_unit_id, _anchor="learned"), 303)


@blueprint.route("/import", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def take_in() -> ResponseReturnValue:
    """Take in a whole file of suspension units, or nothing of it."""
    request.max_content_length = UPLOAD_LIMIT
    form = SuspensionUnitsFileForm()
    found = form.read_suspension_units() if request.method == "POST" else None
    if found is not None:
        try:
            done = import_suspension_units(
                signed_in().shop_id, found.suspension_units, replace=form.known.data == "replace"
            )
            return redirect(url_for(".browse", added=done.added, replaced=done.replaced), 303)
        except SuspensionUnitsTakenError as error:
            form.take(found.taken(error.places))
    problems = form.problems()
    return render_template(
        "library/suspension_unit_import.html", form=form, problems=problems
    ), 422 if problems else 200


@blueprint.get("/units.<kind>")
@needs_staff
def export(kind: str) -> ResponseReturnValue:
    """Give the library as a file that can be taken in again."""
    if kind not in _FILES:
        return redirect(url_for(".browse"), 303)
    write, mimetype = _FILES[kind]
    answer = Response(write(export_suspension_units(signed_in().shop_id)), mimetype=mimetype)
    answer.headers["Content-Disposition"] = f'attachment; filename="units.{kind}"'
    return answer
