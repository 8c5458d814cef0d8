"""The crew's screens of one bike: a rider in, what to change, and every button that moves the bike on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from flask import Blueprint, abort, redirect, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.demo_day.actions.list_bikes import scanned_bike
from webapp.demo_day.actions.move_bike import bring_in, check_over, give_card, leave_undone, set_aside, take_over
from webapp.demo_day.actions.press_once import Press
from webapp.demo_day.actions.set_bike import read_bike_as_it_stands, set_bike
from webapp.demo_day.actions.set_up_rider import set_up_rider
from webapp.demo_day.actions.undo_press import undo_press
from webapp.demo_day.bike import Bike
from webapp.demo_day.forms.crew_forms import AsideForm, PressForm, ReadingForm, RiderForm
from webapp.demo_day.views.screens import (
    change_screen,
    find_shown,
    lead_to_list,
    press_of,
    set_up_screen,
    tried,
)
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.stay_answers import lead_on_by_script
from webapp.ground.whole_numbers import read_whole_number

blueprint = Blueprint("crew", __name__, url_prefix="/shop/bikes")
blueprint.after_request(lead_on_by_script)


def _set(press: Press, *, out: bool) -> Bike:
    return set_bike(press, read_whole_number(request.form.get("revision")), out=out)


#: What each button does.
_BUTTONS: Final[dict[str, Callable[[Press], Any]]] = {
    "set": lambda press: _set(press, out=True),
    "set_and_check": lambda press: _set(press, out=False),
    "not_done": leave_undone,
    "take_over": take_over,
    "back": bring_in,
    "checked": check_over,
    "card": give_card,
    "undo": lambda press: undo_press(press, read_whole_number(request.form.get("event")) or 0),
}
#: Buttons after which the crew goes on to the next bike.
_DONE_WITH: Final = frozenset({"set", "back", "checked", "set_aside", "undo"})


@blueprint.route("/<int:bike>/set-up", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def set_up(bike: int) -> ResponseReturnValue:
    """Take a rider's weight and style, and lead to what has to be changed."""
    form = RiderForm()
    if request.method != "POST":
        return set_up_screen(find_shown(bike), form)
    # A scanner types into the weight, where the focus is: the bike that was scanned opens, and no weight goes with it.
    if (scanned := scanned_bike(signed_in().shop_id, form.rider_mass_kg.text)) is not None:
        return redirect(url_for(".set_up", bike=scanned.bike_id), 303)
    rider = form.read()
    if rider is None:
        return set_up_screen(find_shown(bike), form, 422)

    def again(status: int) -> ResponseReturnValue:
        return set_up_screen(find_shown(bike), form, status)

    wrong = tried(form, lambda: set_up_rider(press_of(form, bike, "set_up", rider), rider), again)
    return wrong or redirect(url_for(".change", bike=bike), 303)


@blueprint.get("/<int:bike>/change")
@needs_staff
def change(bike: int) -> ResponseReturnValue:
    """Show what to change on a bike for the rider who is on it."""
    return change_screen(find_shown(bike))


@blueprint.post("/<int:bike>/do")
@checks_its_own_token
@needs_staff
def do(bike: int) -> ResponseReturnValue:
    """Do what a button says."""
    button = request.form.get("do", "")
    form = PressForm()
    if button not in _BUTTONS or not form.validate():
        return change_screen(find_shown(bike), form, 422) if button in _BUTTONS else abort(400)

    def again(status: int) -> ResponseReturnValue:
        return change_screen(find_shown(bike), form, status)

    wrong = tried(form, lambda: _BUTTONS[button](press_of(form, bike, button)), again)
    return wrong or _lead_on(button, bike)


def _lead_on(button: str, bike_id: int) -> ResponseReturnValue:
    """Lead to where a button takes the crew."""
    code = find_shown(bike_id).turn.rider_code
    if button == "set_and_check" and code:
        return redirect(url_for("corrections.sag_check", code=code), 303)
    if button == "card" and code:
        return redirect(url_for("cards.pdf", code=code), 303)
    if button in _DONE_WITH:
        return lead_to_list(bike_id)
    return redirect(url_for(".set_up" if button == "not_done" else ".change", bike=bike_id), 303)


@blueprint.post("/<int:bike>/read")
@checks_its_own_token
@needs_staff
def read(bike: int) -> ResponseReturnValue:
    """Take what the pump reads on a bike instead of what was written down."""
    form, shown = ReadingForm(), find_shown(bike)
    form.draw_for(shown.document, request.form, pumps_only=True)
    read_values = form.read()
    if read_values is None:
        return change_screen(shown, form, 422)

    def again(status: int) -> ResponseReturnValue:
        return change_screen(find_shown(bike), form, status)

    press = press_of(form, bike, "read", read_values)
    return tried(form, lambda: read_bike_as_it_stands(press, read_values), again) or redirect(
        url_for(".change", bike=bike), 303
    )


@blueprint.post("/<int:bike>/aside")
@checks_its_own_token
@needs_staff
def aside(bike: int) -> ResponseReturnValue:
    """Set a bike aside, with the reason."""
    form = AsideForm()

    def again(status: int) -> ResponseReturnValue:
        rider = RiderForm(formdata=None)
        rider.form_errors = [sentence for _id, sentence in form.problems()]
        return set_up_screen(find_shown(bike), rider, status)

    if not form.validate():
        return again(422)
    reason = form.reason.data
    return tried(form, lambda: set_aside(press_of(form, bike, "aside", reason), reason), again) or lead_to_list(bike)
