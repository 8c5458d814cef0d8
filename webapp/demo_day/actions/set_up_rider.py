"""A rider gets a bike: the crew types a weight and a style, and the bike is being set."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.actions.move_bike import came_to_setting_from
from webapp.demo_day.actions.press_once import (
    Changed,
    DoneBeforeError,
    Press,
    press_within,
    tell_gone,
    turn_to,
    was_pressed,
)
from webapp.demo_day.actions.set_up_bike import card_texts, rider_request, tie_setup
from webapp.demo_day.bike import Bike
from webapp.ground.action_errors import RefusedError
from webapp.ground.database.connection import Connection
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.shop_setups import register_within


def set_up_rider(press: Press, rider: Mapping[str, Any]) -> Bike:
    """Save a rider's setup on a bike and note that it is being set; a bike that is out comes back in first.

    Raises
    ------
    NotFoundError, BikeMovedError
        As `press_once`.
    RequestError
        With every problem of the rider's data.
    RefusedError
        When the bike is set aside.
    """
    bike = find_bike(press.member.shop_id, press.bike_id)
    if was_pressed(press):
        return bike
    asked, gone = rider_request(bike, rider), list[str]()

    def claim(connection: Connection, code: str) -> None:
        tie_setup(connection, press.bike_id, code)
        register_within(connection, press.member, code)
        left = press_within(connection, press, "set_up", lambda within, now: _being_set(within, now, code))
        gone.extend([left] if left else [])

    try:
        create_setup(asked, card_texts(bike), also=claim)
    except DoneBeforeError:
        gone.clear()  # a twin of this press was faster: nothing of this one was stored
    for code in gone:
        tell_gone(code)
    return find_bike(press.member.shop_id, press.bike_id)


def _being_set(connection: Connection, bike: Bike, code: str) -> Changed:
    if bike.turn.state == "set_aside":
        raise RefusedError(_("This bike is set aside. Put it back in use first."))
    # "Not done" takes it back: what it has to know is where the bike was before anybody began to set it.
    state = bike.turn.state
    came_from = came_to_setting_from(connection, bike) if state == "being_set" else state
    return Changed(turn=turn_to(bike, "being_set", rider_code=code), detail={"from": came_from}, can_undo=False)
