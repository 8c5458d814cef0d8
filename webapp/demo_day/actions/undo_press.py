"""Takes back the last thing that was done to a bike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any, Final

from webapp.demo_day.actions.press_once import Changed, Press, press_once
from webapp.demo_day.bike import Bike, BikeTurn, EndStanding
from webapp.demo_day.queries import events
from webapp.demo_day.queries.events import BikeEvent
from webapp.ground.action_errors import RefusedError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _

#: What leaves the rider on the bike; after everything else the rider is gone and stays so.
_WITH_RIDER: Final = frozenset({"set", "read", "take_over"})


def undo_press(press: Press, event_id: int) -> Bike:
    """Bring a bike back to where it was before its last event; a rider who was forgotten stays forgotten.

    Raises
    ------
    NotFoundError, BikeMovedError
        As `press_once`.
    RefusedError
        When that was not the last thing done, or cannot be taken back.
    """

    def change(connection: Connection, bike: Bike) -> Changed:
        last = events.newest_event(connection, bike.bike_id)
        if last is None or last.event_id != event_id or last.version != bike.version or last.before is None:
            raise RefusedError(_("This can't be undone any more. Look at the bike as it is now."))
        return _as_before(bike, last.kind, last.before)

    return press_once(press, "undo", change)


def _as_before(bike: Bike, kind: str, before: Mapping[str, Any]) -> Changed:
    since, who = _moment(before["since"]), before["staff_id"]
    turn = BikeTurn(state=before["state"], since=since, staff_id=who, reason=before["reason"])
    if kind in _WITH_RIDER:
        turn = replace(turn, rider_code=bike.turn.rider_code, has_card=bike.turn.has_card)
    elif turn.state == "being_set":
        turn = replace(turn, state="in")  # nobody is there to be set for
    standing = {end: EndStanding(**values) for end, values in before["standing"].items()}
    stood = _moment(before["stands_since"])
    return Changed(turn=turn, standing=standing, stands_since=stood, detail={"kind": kind}, can_undo=False)


def _moment(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)


def last_event(bike: Bike) -> BikeEvent | None:
    """Return the last thing that was done to a bike."""
    with database.read() as connection:
        return events.newest_event(connection, bike.bike_id)


def undoable(bike: Bike) -> BikeEvent | None:
    """Return the last thing that was done to a bike where it can be taken back, else None."""
    last = last_event(bike)
    return last if last is not None and last.before is not None and last.version == bike.version else None
