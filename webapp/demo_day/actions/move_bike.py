"""A bike moves through its day: taken over, not done, back in, checked, set aside, with a card for its rider."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from webapp.demo_day.actions.press_once import Changed, Press, press_once, turn_to
from webapp.demo_day.bike import REASON_LONGEST, Bike, State
from webapp.demo_day.queries import events
from webapp.ground.action_errors import RefusedError
from webapp.ground.database.connection import Connection
from webapp.ground.text.free_text import text_problem
from webapp.ground.text.i18n import gettext as _

#: States from which a rider comes back.
_WITH_RIDER: Final[tuple[State, ...]] = ("being_set", "out")


def take_over(press: Press) -> Bike:
    """Take over a bike that somebody else is setting (raises as `press_once`, and `RefusedError` where nobody is)."""

    def change(_connection: Connection, bike: Bike) -> Changed:
        _only_from(bike, "being_set")
        return Changed(turn=turn_to(bike, "being_set", rider_code=bike.turn.rider_code))

    return press_once(press, "take_over", change)


def leave_undone(press: Press) -> Bike:
    """Forget the rider of a bike that is being set: it stands as it stands, and is where it was before."""

    def change(connection: Connection, bike: Bike) -> Changed:
        _only_from(bike, "being_set")
        came_from = came_to_setting_from(connection, bike)
        return Changed(turn=turn_to(bike, "in" if came_from == "in" else "back"), can_undo=False)

    return press_once(press, "not_done", change)


def bring_in(press: Press) -> Bike:
    """Take a bike back in: its rider is forgotten, the setting stays on it, and it has to be looked over."""

    def change(_connection: Connection, bike: Bike) -> Changed:
        _only_from(bike, *_WITH_RIDER)
        return Changed(turn=turn_to(bike, "back"))

    return press_once(press, "back", change)


def check_over(press: Press) -> Bike:
    """Note that a bike that came back, or was set aside, is ready for the next rider."""

    def change(_connection: Connection, bike: Bike) -> Changed:
        _only_from(bike, "back", "set_aside")
        return Changed(turn=turn_to(bike, "in"))

    return press_once(press, "checked", change)


def set_aside(press: Press, reason: str) -> Bike:
    """Keep a bike back for a reason, whatever it was doing (raises as `press_once`; `RefusedError` without one)."""
    told = reason.strip()
    if not told:
        raise RefusedError(_("Say why the bike is set aside."), "reason")
    if problem := text_problem(told, REASON_LONGEST):
        raise RefusedError(problem, "reason")

    def change(_connection: Connection, bike: Bike) -> Changed:
        return Changed(turn=turn_to(bike, "set_aside", reason=told), detail={"reason": told})

    return press_once(press, "set_aside", change)


def give_card(press: Press) -> Bike:
    """Note that the rider takes a card home: the setup behind it is kept when the bike comes back."""

    def change(_connection: Connection, bike: Bike) -> Changed:
        if bike.turn.rider_code is None:
            raise RefusedError(_("No rider is on this bike. Set it up again."))
        return Changed(turn=replace(bike.turn, has_card=True), can_undo=False)

    return press_once(press, "card", change)


def came_to_setting_from(connection: Connection, bike: Bike) -> str:
    """Return the state in which a bike was before its crew began to set it: to be looked over where none is known."""
    set_up = events.newest_event(connection, bike.bike_id, "set_up")
    return str(set_up.detail.get("from", "back")) if set_up is not None else "back"


def _only_from(bike: Bike, *states: State) -> None:
    if bike.turn.state not in states:
        raise RefusedError(_("The bike is not in that state any more. Look at it again."))
