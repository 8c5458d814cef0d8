"""How the crew's screens are drawn, and how a press that could not be done shows its bike again."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from flask import redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from setup_rules import RequestError
from webapp.accounts.access import signed_in
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.actions.free_bikes import find_fitting
from webapp.demo_day.actions.press_once import BikeMovedError, Press
from webapp.demo_day.actions.set_bike import is_of_bike_now, rider_setup
from webapp.demo_day.actions.undo_press import undoable
from webapp.demo_day.bike import Bike
from webapp.demo_day.forms.crew_forms import AsideForm, PressForm, ReadingForm, RiderForm
from webapp.demo_day.pages.bike_words import done_line, standing_lines, state_line
from webapp.demo_day.pages.change_page import present_change
from webapp.demo_day.views.drawn_numbers import drawn_numbers
from webapp.ground.action_errors import RefusedError
from webapp.ground.text.i18n import gettext as _

AnyForm = TypeVar("AnyForm", bound=PressForm)


def press_of(form: PressForm, bike_id: int, *content: Any) -> Press:
    """Return what was pressed on the page of a bike; `content` tells two presses of one page apart."""
    return Press(member=signed_in(), bike_id=bike_id, seen=form.seen, key=form.submission_key([bike_id, *content]))


def moved_words(error: BikeMovedError) -> str:
    """Return who was faster, with what and when."""
    who = "" if error.event is None else done_line(error.event.kind, error.event.by, error.event.made_at)
    return _("Nothing was saved: this bike was changed after you opened the page. %(who)s", who=who).strip()


def tried(form: PressForm, do: Callable[[], Any], again: Callable[[int], ResponseReturnValue]) -> Any:
    """Do what a form asks for; where that is refused, put why beside its field and draw the page `again`.

    Returns an answer where the page is drawn again, else None.
    """
    try:
        do()
    except BikeMovedError as error:
        form.form_errors.append(moved_words(error))
        return again(409)
    except RefusedError as error:
        form.refuse(error.field, str(error))
        return again(422 if error.field else 409)
    except RequestError as error:
        form.refuse_all(error.problems)
        return again(422)
    return None


def set_up_screen(bike: Bike, form: RiderForm, status: int = 200) -> ResponseReturnValue:
    """Draw the screen on which a rider's weight and style are entered."""
    _shown_at(bike, form)
    if not form.is_submitted():
        form.riding_style.data = bike.document.get("riding_style", "trail")
    aside = _shown_at(bike, AsideForm(formdata=None))
    parts: dict[str, Any] = {"form": form, "aside": aside, "problems": form.problems()}
    parts |= {"standing": standing_lines(bike), "drawn": drawn_numbers(bike)}
    return render_template("demo_day/set_up.html", **parts, **_of_every_screen(bike)), status


def change_screen(bike: Bike, form: PressForm | None = None, status: int = 200) -> ResponseReturnValue:
    """Draw the screen that says what to change on a bike; without a rider on it the crew begins with one."""
    saved = rider_setup(bike)
    if saved is None or not is_of_bike_now(bike, saved):
        rider = RiderForm(formdata=None)
        rider.form_errors = [] if form is None else list(form.form_errors)
        if saved is not None and not rider.form_errors:
            rider.form_errors = [_("The rider's setup does not fit what is on this bike now. Set the bike up again.")]
        return set_up_screen(bike, rider, status)
    reading, view = _reading_form(bike, form), present_change(bike, saved)
    parts = {"view": view, "form": reading, "problems": (form or reading).problems()}
    other = find_fitting(bike, saved) if view.limited else None
    return render_template("demo_day/change.html", **parts, other=other, **_of_every_screen(bike)), status


def _reading_form(bike: Bike, form: PressForm | None) -> ReadingForm:
    """Return the form for what the pump reads: the one that was sent, where it is that."""
    if isinstance(form, ReadingForm):
        return _shown_at(bike, form)
    reading = _shown_at(bike, ReadingForm(formdata=None))
    reading.draw_for(bike.document, pumps_only=True)
    return reading


def _shown_at(bike: Bike, form: AnyForm) -> AnyForm:
    form.show_version(bike.version)
    return form


def _of_every_screen(bike: Bike) -> dict[str, Any]:
    """Return what every screen of a bike shows, with the form behind its buttons."""
    mine = bike.turn.by == signed_in().login
    return {
        "bike": bike,
        "button": _shown_at(bike, PressForm(formdata=None)),
        "state": state_line(bike.turn, mine=mine),
        "undo": _undo(bike),
        "mine": mine,
    }


def _undo(bike: Bike) -> tuple[int, str] | None:
    """Return the number of the last event and what it was, where it can be taken back."""
    event = undoable(bike)
    return None if event is None else (event.event_id, done_line(event.kind, event.by, event.made_at))


def lead_to_list(bike_id: int) -> ResponseReturnValue:
    """Lead back to the list, which says what was done and offers to undo it."""
    return redirect(url_for("bikes.browse", done=bike_id), 303)


def find_shown(bike_id: int) -> Bike:
    """Return a bike of the shop whose page is asked for."""
    return find_bike(signed_in().shop_id, bike_id)
