"""The end of a demo day: what was done as one list, and every rider erased while what the bikes have learned stays."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Final

from webapp.demo_day.actions.note_event import note_event
from webapp.demo_day.actions.press_once import turn_to
from webapp.demo_day.queries import bikes as queries
from webapp.demo_day.queries import events, riders
from webapp.demo_day.queries.events import BikeEvent
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.events import riders_erased, setup_gone
from webapp.setups.actions.delete_setup import erase_setup, hold_setup

#: Lines of the list at most, and how far back it goes [h] when nobody says, and at most.
MOST_EVENTS: Final = 20_000
#: Setups that are erased in one transaction.
_AT_ONCE: Final = 50
USUAL_HOURS: Final = 24
MOST_HOURS: Final = 24 * 31


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRiders:
    """Riders whose setups are still there: all of the bikes', those of whom a card may be at home, and of stacks.

    `stacked` are setups that stacks of cards made; not those that were changed since, as somebody uses them.
    """

    riders: int
    at_home: int
    stacked: int


def day_events(shop_id: int, hours: int = USUAL_HOURS) -> tuple[BikeEvent, ...]:
    """Return what was done to a shop's bikes in the last `hours`, the oldest first."""
    with database.read() as connection:
        return events.events_since(connection, shop_id, _since(hours), MOST_EVENTS)


def count_day_events(shop_id: int, hours: int = USUAL_HOURS) -> int:
    """Return how many things were done to a shop's bikes in the last `hours`."""
    with database.read() as connection:
        return riders.count_events_since(connection, shop_id, _since(hours))


def _since(hours: int) -> datetime:
    return datetime.now(UTC) - timedelta(hours=min(max(hours, 1), MOST_HOURS))


def count_riders(shop_id: int) -> DayRiders:
    """Return how many riders there are to erase."""
    with database.read() as connection:
        codes = riders.rider_codes(connection, shop_id)
        at_home = len(codes) - len(_without_card(connection, shop_id))
        return DayRiders(riders=len(codes), at_home=at_home, stacked=len(riders.stack_setups(connection, shop_id)))


def erase_riders(shop_id: int, staff_id: int | None, *, keep_cards: bool) -> int:
    """Erase every rider of a shop's bikes for good and return how many; what the bikes have learned stays.

    With `keep_cards` those of whom a card was taken home stay: its QR code has to find them. Bikes that are out stay
    out, without a rider; one that was being set is back and unchecked.
    """
    with database.write() as connection:
        here = set(_without_card(connection, shop_id))
        codes = [code for code in riders.rider_codes(connection, shop_id) if not keep_cards or code in here]
        for code in codes:
            hold_setup(connection, code)
        for bike_id, (code, _card) in riders.bikes_with_riders(connection, shop_id).items():
            if code in codes:
                _let_rider_go(connection, shop_id, bike_id, staff_id)
        for code in codes:
            erase_setup(connection, code)
    riders_erased.send(shop_id)
    for code in codes:
        setup_gone.send(code)
    database.empty_log()
    return len(codes)


def erase_stack_setups(shop_id: int) -> int:
    """Erase the setups that a shop's stacks of cards made, but for those changed since, and return how many.

    A few at a time, so that nobody waits for long; before `erase_riders`, with which the stacks are gone.
    """
    with database.read() as connection:
        codes = riders.stack_setups(connection, shop_id)
    for begin in range(0, len(codes), _AT_ONCE):
        some = codes[begin : begin + _AT_ONCE]
        with database.write() as connection:
            for code in some:
                hold_setup(connection, code)
                erase_setup(connection, code)
        for code in some:
            setup_gone.send(code)
    database.empty_log()
    return len(codes)


def _without_card(connection: Connection, shop_id: int) -> list[str]:
    """Return the links of riders who have a bike now and took no card."""
    living = set(riders.rider_codes(connection, shop_id))
    held = riders.bikes_with_riders(connection, shop_id).values()
    return [code for code, has_card in held if not has_card and code in living]


def _let_rider_go(connection: Connection, shop_id: int, bike_id: int, staff_id: int | None) -> None:
    queries.hold_bike(connection, bike_id)
    bike = queries.any_bike(connection, shop_id, bike_id)
    if bike is None:
        return
    turn = replace(bike.turn, rider_code=None, has_card=False)
    if turn.state == "being_set":
        turn = turn_to(bike, "back")
    queries.store_turn(connection, bike_id, replace(turn, staff_id=turn.staff_id or bike.turn.staff_id))
    queries.update_bike(connection, shop_id, bike_id, {"changed_at": datetime.now(UTC)})
    note_event(connection, bike, "day_ended", {}, staff_id=staff_id)
