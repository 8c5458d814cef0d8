"""The end of the day: the file of what was done, and the button that erases every rider."""

from __future__ import annotations

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_owner, needs_staff, signed_in
from webapp.demo_day.actions.end_day import (
    MOST_HOURS,
    USUAL_HOURS,
    count_day_events,
    count_riders,
    day_events,
    erase_riders,
    erase_stack_setups,
)
from webapp.demo_day.forms.end_day_form import EndDayForm
from webapp.demo_day.pages.day_file import write_day
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.whole_numbers import read_whole_number

blueprint = Blueprint("day", __name__, url_prefix="/shop/bikes/day")


def _hours() -> int:
    return min(read_whole_number(request.args.get("hours")) or USUAL_HOURS, MOST_HOURS)


@blueprint.get("")
@needs_staff
def show() -> ResponseReturnValue:
    """Show what the day came to."""
    member, hours = signed_in(), _hours()
    counts = {"events": count_day_events(member.shop_id, hours), "riders": count_riders(member.shop_id)}
    erased = read_whole_number(request.args.get("erased"))
    return render_template("demo_day/day.html", hours=hours, member=member, erased=erased, **counts)


@blueprint.get("/file.csv")
@needs_staff
def file() -> ResponseReturnValue:
    """Give what was done in the last hours as a file, without any weight."""
    answer = Response(write_day(day_events(signed_in().shop_id, _hours())), mimetype="text/csv")
    answer.headers["Content-Disposition"] = 'attachment; filename="demo-day.csv"'
    return answer


@blueprint.route("/erase", methods=["GET", "POST"])
@checks_its_own_token
@needs_owner
def erase() -> ResponseReturnValue:
    """Ask, then erase every rider of the shop's bikes."""
    form, owner, status = EndDayForm(), signed_in(), 200
    if form.is_submitted():
        if form.validate():
            stacked = erase_stack_setups(owner.shop_id) if form.stacked.data else 0
            gone = stacked + erase_riders(owner.shop_id, owner.staff_id, keep_cards=form.keep_cards.data)
            return redirect(url_for(".show", erased=gone), 303)
        status = 422
    page = render_template(
        "demo_day/erase.html", form=form, problems=form.problems(), riders=count_riders(owner.shop_id)
    )
    return page, status
