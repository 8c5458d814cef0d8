"""A bike that comes back, its next visit, and what is due at the shop. All of it belongs to the member's shop."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.ground.extensions import checks_its_own_token, limit_links
from webapp.ground.text.local_time import local_today
from webapp.ground.whole_numbers import read_whole_number
from webapp.workshop.actions.bike_visits import find_bike_visits
from webapp.workshop.actions.find_records import count_day
from webapp.workshop.actions.service_dues import find_dues
from webapp.workshop.actions.start_visit import start_visit
from webapp.workshop.forms.visit_form import VisitForm
from webapp.workshop.pages.bike_page import present_bike, present_dues

blueprint = Blueprint("bike_visits", __name__, url_prefix="/shop/bench")


@blueprint.get("/bike/<code>")
@needs_staff
@limit_links
def show(code: str) -> ResponseReturnValue:
    """Show a bike that the shop knows, by either code: its setup, what was learned, its visits, what is due."""
    return _page(code, VisitForm(formdata=None))


@blueprint.post("/bike/<code>/visit")
@checks_its_own_token
@needs_staff
def start(code: str) -> ResponseReturnValue:
    """Start the next visit of the bike, with everything that is known of it."""
    form = VisitForm()
    if (ends := form.read()) is None:
        return _page(code, form)
    kind, reference = str(form.service_kind.data), str(form.customer_reference.data)
    record = start_visit(signed_in(), code, ends, service_kind=kind, reference=reference)
    return redirect(url_for("records.show", code=record.short_code), 303)


def _page(code: str, form: VisitForm) -> ResponseReturnValue:
    member = signed_in()
    view = present_bike(find_bike_visits(member, code), member.time_zone, local_today(member.time_zone))
    form.offer([end.end for end in view.ends])
    problems = form.problems()
    return render_template("workshop/bike.html", view=view, form=form, problems=problems), 422 if problems else 200


@blueprint.get("/due")
@needs_staff
def due() -> ResponseReturnValue:
    """List what is due at the shop, the longest due first."""
    member = signed_in()
    page = find_dues(member, read_whole_number(request.args.get("page")) or 1)
    return render_template("workshop/due.html", page=page, lines=present_dues(page), counts=count_day(member))
