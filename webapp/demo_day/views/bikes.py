"""The list of a shop's bikes with the box that takes a number or a scan, and the free bikes for a waiting rider."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from setup_rules import RequestError
from webapp.accounts.access import needs_staff, signed_in
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.actions.free_bikes import find_free_bikes
from webapp.demo_day.actions.list_bikes import list_bikes, meant_bike
from webapp.demo_day.actions.undo_press import last_event, undoable
from webapp.demo_day.forms.crew_forms import PressForm, RiderForm
from webapp.demo_day.pages.bike_list import present_bikes, present_free
from webapp.demo_day.pages.bike_words import done_line
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.whole_numbers import read_whole_number

blueprint = Blueprint("bikes", __name__, url_prefix="/shop/bikes")


@blueprint.get("")
@needs_staff
def browse() -> ResponseReturnValue:
    """List the bikes, or lead to the one that a number, a scanned tag or its link means."""
    text, archived = request.args.get("q", "")[:500], request.args.get("archived") == "1"
    shop_id = signed_in().shop_id
    if text and not archived and (found := meant_bike(shop_id, text)) is not None:
        return redirect(url_for("crew.set_up", bike=found.bike_id), 303)
    page = list_bikes(shop_id, text, read_whole_number(request.args.get("page")) or 1, archived=archived)
    parts = {"page": page, "lines": present_bikes(page.bikes), "text": text, "archived": archived}
    return render_template("demo_day/bikes.html", **parts, done=_done(), added=request.args.get("added"))


@blueprint.route("/free", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def free() -> ResponseReturnValue:
    """Take a waiting rider's weight and style and list the free bikes; nothing of the rider is saved."""
    form, lines = RiderForm(), None
    if not form.is_submitted():
        form.riding_style.data = "trail"
    elif (rider := form.read()) is not None:
        try:
            lines = present_free(find_free_bikes(signed_in().shop_id, rider))
        except RequestError as error:
            form.refuse_all(error.problems)
    problems = form.problems()
    page = render_template("demo_day/free.html", form=form, problems=problems, lines=lines)
    return page, 422 if problems else 200


def _done() -> dict[str, object] | None:
    """Return what was done last to the bike that led here, with the button that undoes it; None for any other visit."""
    bike_id = read_whole_number(request.args.get("done"))
    if bike_id is None:
        return None
    bike = find_bike(signed_in().shop_id, bike_id)
    event, button = last_event(bike), PressForm(formdata=None)
    button.show_version(bike.version)
    told = "" if event is None else done_line(event.kind, event.by, event.made_at)
    undo = undoable(bike)
    return {"bike": bike, "told": told, "event": undo and undo.event_id, "button": button}
