"""How right we are: the shop's page, its switch, and the file that it can give away."""

from __future__ import annotations

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_owner, needs_staff, signed_in
from webapp.calibration.actions.judge_shop import judge_shop
from webapp.calibration.actions.use_checks import use_checks
from webapp.calibration.anonymous_file import anonymous_checks, write_file
from webapp.calibration.pages.calibration_page import present_calibration
from webapp.calibration.tally import usable_factors
from webapp.ground.fields.page_form import ConfirmForm
from webapp.ground.whole_numbers import read_whole_number
from webapp.library.actions.class_factors import factor_states, go_back, use_factors

blueprint = Blueprint("calibration", __name__, url_prefix="/shop/calibration")


@blueprint.get("")
@needs_staff
def show() -> str:
    """Show how often the ranges held, and what the shop's checks would move."""
    member, tally = signed_in(), judge_shop(signed_in().shop_id)
    page = present_calibration(tally, factor_states(member.shop_id), usable_factors(tally))
    confirm = ConfirmForm(formdata=None)
    return render_template("calibration/calibration.html", page=page, member=member, confirm=confirm)


@blueprint.post("/switch")
@needs_owner
def switch() -> ResponseReturnValue:
    """Let the shop's checks move its estimates, stop that, or go back to an earlier state."""
    owner, back = signed_in(), read_whole_number(request.form.get("number"))
    what = request.form.get("what")
    if what == "use":
        use_checks(owner)
    elif what == "off":
        use_factors(owner, ())
    elif what == "back" and back is not None:
        go_back(owner, back)
    return redirect(url_for(".show"), 303)


@blueprint.get("/checks.csv")
@needs_owner
def export() -> ResponseReturnValue:
    """Give the shop's judged checks as a file without anything about its riders."""
    rows = anonymous_checks(judge_shop(signed_in().shop_id, None).judged)
    answer = Response(write_file(rows), mimetype="text/csv")
    answer.headers["Content-Disposition"] = 'attachment; filename="calibration.csv"'
    return answer
