"""What stands on a bike is moved: set as its rider's setup asks, or written down as a pump and the adjusters read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from setup_rules import Problem, RequestError
from setup_rules.types.request import SpringEnd
from webapp.demo_day.actions.confirm_standing import read_typed, standing_data, stands_then
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.actions.press_once import Changed, Press, press_once, turn_to, was_pressed
from webapp.demo_day.bike import ENDS, Bike
from webapp.demo_day.changes import standing_of
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError, RefusedError
from webapp.ground.database.connection import Connection
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.revision import Revision


def rider_setup(bike: Bike) -> Revision | None:
    """Return the newest version of the setup that a rider has on a bike; None without a rider, or once it is gone."""
    if bike.turn.rider_code is None:
        return None
    try:
        return find_setup(bike.turn.rider_code)
    except (LinkGoneError, LinkUnknownError):
        return None


def is_of_bike_now(bike: Bike, saved: Revision) -> bool:
    """Return whether a setup was made for the bike as it is described now: nothing else was fitted since."""
    now, then = bike.request_for({"rider_mass_kg": saved.setup.request.rider_mass_kg}), saved.setup.request
    pairs = [(getattr(now, end), getattr(then, end)) for end in ENDS]
    return all(_fitted(one) == _fitted(other) for one, other in pairs)


def _fitted(end: SpringEnd | None) -> SpringEnd | None:
    """Return an end without what is believed of its spring, which grows from rider to rider."""
    return None if end is None else replace(end, memory=None, unit_memory=None, sag_target_percent=None)


def set_bike(press: Press, revision: int | None, *, out: bool) -> Bike:
    """Note that a bike is set as version `revision` of its rider's setup asks, and with `out` that the rider has it.

    Raises
    ------
    NotFoundError, BikeMovedError
        As `press_once`.
    RefusedError
        When nobody is on the bike, a newer version asks for other numbers, or something else was fitted since.
    """
    bike = find_bike(press.member.shop_id, press.bike_id)
    saved = rider_setup(bike)
    if was_pressed(press):
        return bike
    if saved is None:
        raise RefusedError(_("No rider is on this bike. Set it up again."))
    if saved.number != revision:
        raise RefusedError(_("A check changed the numbers in the meantime. Set the bike as it says now."))
    if not is_of_bike_now(bike, saved):
        raise RefusedError(_("Something else was fitted in the meantime. Set this bike up again."))
    ends = saved.setup.ends()
    if any(end.coil is not None and not end.coil.fits for end in ends):
        raise RefusedError(_("The coil spring is too short for this bike. Do not ride it."))
    as_set = {end.end: standing_of(end) for end in ends}

    def change(_connection: Connection, now: Bike) -> Changed:
        if now.turn.rider_code != bike.turn.rider_code:
            raise RefusedError(_("No rider is on this bike. Set it up again."))
        standing = stands_then(now.standing, as_set, {})
        state = "out" if out else now.turn.state
        turn = now.turn if state == now.turn.state else turn_to(now, state, rider_code=now.turn.rider_code)
        targets = {end.end: round(end.sag_target_mm, 1) for end in ends}
        return Changed(turn=turn, standing=standing, detail={"standing": standing_data(as_set), "sag_mm": targets})

    return press_once(press, "set", change)


def read_bike_as_it_stands(press: Press, data: Mapping[str, Any]) -> Bike:
    """Write down what a pump and the adjusters read on a bike, as plain data says it by end.

    Raises
    ------
    NotFoundError, BikeMovedError
        As `press_once`.
    RequestError
        With every problem of the data; also where nothing was read.
    """
    bike = find_bike(press.member.shop_id, press.bike_id)
    typed = read_typed(bike, data)
    if not typed:
        raise RequestError((Problem("", _("Enter what the pump reads.")),))

    def change(_connection: Connection, now: Bike) -> Changed:
        standing = stands_then(now.standing, {}, typed)
        return Changed(turn=now.turn, standing=standing, detail={"standing": standing_data(typed)})

    return press_once(press, "read", change)
