"""Edits a bike: what it is called, and what is fitted to it; archives it, and gives it another tag."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any, Final, cast

from setup_rules.types.request import EndName
from setup_rules.types.spring_memory import SpringEvent
from webapp.accounts.staff import StaffMember
from webapp.demo_day.actions.create_bike import number_taken_error, stored_document
from webapp.demo_day.actions.press_once import Changed, Press, press_once
from webapp.demo_day.actions.report_event import standing_after
from webapp.demo_day.actions.teach_bike import happened
from webapp.demo_day.bike import ENDS, Bike, EndStanding, NewBike
from webapp.demo_day.parsing import FITTED_WITH, read_bike
from webapp.demo_day.queries import bikes as queries
from webapp.ground.action_errors import NotFoundError, RefusedError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.link_codes import new_code
from webapp.ground.text.i18n import gettext as _
from webapp.library.actions.find_suspension_units import find_suspension_unit_by_name
from webapp.library.suspension_unit import SPRING_KEYS, name_key

#: What makes an end another spring where it changes.
_ANOTHER: Final = ("spring", *SPRING_KEYS)


def edit_bike(press: Press, data: Mapping[str, Any]) -> Bike:
    """Save a bike as plain data describes it; what its springs remember is widened or ended as the change asks.

    Raises
    ------
    NotFoundError, BikeMovedError
        As `press_once`.
    RequestError
        With every problem of the data; also where another bike has the number.
    RefusedError
        When something else is fitted while a rider has the bike.
    """
    shop_id = press.member.shop_id
    new = read_bike(data, lambda kind, name: find_suspension_unit_by_name(shop_id, kind, name))

    def change(connection: Connection, bike: Bike) -> Changed:
        key = name_key(new.number)[:80]
        if key != name_key(bike.number)[:80] and queries.number_taken(connection, shop_id, key):
            raise number_taken_error()
        values = {"number": new.number, "number_key": key, "label": new.label, "document": stored_document(new)}
        return Changed(turn=bike.turn, values=values, can_undo=False, **_standing(connection, bike, new))

    return press_once(press, "edited", change)


def _standing(connection: Connection, bike: Bike, new: NewBike) -> dict[str, Any]:
    """Tell the springs what happened to them, and return what stands on the bike then, where that is another thing."""
    standing, happened_to = dict(bike.standing), False
    for name in ENDS:
        event = fitted_event(bike, new, name)
        if event is None:
            continue
        if bike.turn.rider_code is not None:
            raise RefusedError(_("A rider is on this bike. Take it back in, then change what is fitted."))
        happened_to = True
        held = happened(queries.memory_of(connection, bike.bike_id, name), cast("SpringEvent", event))
        queries.store_memory(connection, bike.bike_id, name, held)
        standing = standing_after(replace(bike, standing=standing), name, event)
    kept = {name: _within(end, new.document.get(name) or {}) for name, end in standing.items()}
    if not happened_to and kept == dict(bike.standing):
        return {}
    return {"standing": kept, "stands_since": bike.stands_since}


def _within(end: EndStanding, fitted: Mapping[str, Any]) -> EndStanding:
    """Return what stands on an end without clicks that its adjusters do not have."""
    rebound, compression = fitted.get("rebound_clicks"), fitted.get("compression_clicks")
    if rebound is not None and (end.rebound_clicks_out or 0) > rebound:
        end = replace(end, rebound_clicks_out=None)
    if compression is not None and (end.compression_clicks_out or 0) > compression:
        end = replace(end, compression_clicks_out=None)
    return end


def fitted_event(bike: Bike, new: NewBike, name: EndName) -> str | None:
    """Return what has happened to a spring where it is described otherwise than before, None where nothing has."""
    then, now = bike.document.get(name), new.document.get(name)
    if then is None:
        return None
    unit = bike.document.get("units", {}).get(name)
    if now is None or unit != new.units.get(name) or any(then.get(key) != now.get(key) for key in _ANOTHER):
        return "another_spring"
    for event in ("travel", "spacers"):
        if any(then.get(key) != now.get(key) for key in FITTED_WITH[event]):
            return event
    return None


def archive_bike(press: Press) -> Bike:
    """Take a bike out of use (raises as `press_once`, and `RefusedError` where a rider has it)."""

    def change(_connection: Connection, bike: Bike) -> Changed:
        if bike.turn.state in ("being_set", "out"):
            raise RefusedError(_("A rider is on this bike. Take it back in first."))
        return Changed(turn=bike.turn, values={"retired_at": datetime.now(UTC)}, can_undo=False)

    return press_once(press, "archived", change)


def restore_bike(member: StaffMember, bike_id: int) -> None:
    """Bring an archived bike back (raises `NotFoundError`); one in use stays as it is."""
    with database.write() as connection:
        queries.hold_bike(connection, bike_id)
        bike = queries.any_bike(connection, member.shop_id, bike_id) if bike_id < 2**31 else None
        if bike is None:
            raise NotFoundError(_("This shop has no such bike."))
        if bike.retired_at is not None:
            queries.update_bike(
                connection, member.shop_id, bike_id, {"retired_at": None, "changed_at": datetime.now(UTC)}
            )


def renew_tag(press: Press) -> Bike:
    """Give a bike another tag: the old one opens nothing any more (raises as `press_once`)."""

    def change(_connection: Connection, bike: Bike) -> Changed:
        return Changed(turn=bike.turn, values={"tag": new_code()}, can_undo=False)

    return press_once(press, "new_tag", change)
