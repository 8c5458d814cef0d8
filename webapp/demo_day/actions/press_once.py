"""What every button on a bike has in common: done once however often it is sent, and never over somebody else's change.

A page shows a bike at a version and has a key of its own. The same page sent twice finds its key and changes nothing;
a page whose bike has moved on is refused, with who did what and when.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Any

from webapp.accounts.staff import StaffMember
from webapp.demo_day.actions.confirm_standing import standing_data
from webapp.demo_day.actions.find_bike import bike_of_shop, find_any_bike
from webapp.demo_day.actions.note_event import note_event
from webapp.demo_day.bike import Bike, BikeTurn, EndStanding, State
from webapp.demo_day.queries import bikes as queries
from webapp.demo_day.queries import events
from webapp.demo_day.queries.events import BikeEvent
from webapp.ground.action_errors import ActionError
from webapp.ground.database.connection import Connection, RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.events import setup_gone
from webapp.ground.hashes import secret_hash
from webapp.setups.actions.delete_setup import erase_setup, hold_setup


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """A button that somebody pressed on the page of a bike: `seen` is the version shown, `key` the page's own."""

    member: StaffMember
    bike_id: int
    seen: int | None
    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """What a press makes of a bike. A rider who is not in `turn` any more is forgotten.

    `standing` is None where the bike stands as it stood; else it stands so since `stands_since` (None: not known).
    `values` are columns of the bike itself that change.
    """

    turn: BikeTurn
    standing: Mapping[Any, EndStanding] | None = None
    stands_since: datetime | None = field(default_factory=lambda: datetime.now(UTC))
    detail: Mapping[str, Any] = field(default_factory=dict)
    values: Mapping[str, Any] = field(default_factory=dict)
    can_undo: bool = True


Change = Callable[[Connection, Bike], Changed]


class BikeMovedError(ActionError, RuntimeError):
    """Somebody changed the bike after it was shown: 409. `event` says who, what and when, None where nothing says."""

    def __init__(self, bike: Bike, event: BikeEvent | None) -> None:
        super().__init__(f"bike {bike.bike_id} is at version {bike.version}")
        self.bike = bike
        self.event = event


class DoneBeforeError(Exception):
    """The page's key was used: what it asked for is done."""


def press_once(press: Press, kind: str, change: Change) -> Bike:
    """Do what a button asks for, in one transaction with its event, and return the bike after it.

    Raises
    ------
    NotFoundError
        When the shop has no such bike.
    BikeMovedError
        When somebody changed the bike after the page was shown.
    RefusedError
        From `change`: what is asked does not go with the bike's state.
    """
    try:
        with database.write() as connection:
            gone = press_within(connection, press, kind, change)
    except DoneBeforeError:
        gone = None
    except RowTakenError:
        if not was_pressed(press):
            raise
        gone = None  # a twin of this press was faster
    if gone is not None:
        tell_gone(gone)
    return find_any_bike(press.member.shop_id, press.bike_id)


def press_within(connection: Connection, press: Press, kind: str, change: Change) -> str | None:
    """Do a press over an open transaction, and return the code of the setup that was erased with its rider.

    Raises as `press_once`, and `DoneBeforeError` where the same page was sent before.
    """
    bike = _held_bike(connection, press)
    key_hash = _key_hash(press)
    if events.event_under(connection, key_hash) is not None:
        raise DoneBeforeError
    if press.seen != bike.version:
        raise BikeMovedError(bike, events.newest_event(connection, bike.bike_id))
    changed = change(connection, bike)
    gone = _forget_rider(connection, bike, changed.turn)
    queries.store_turn(connection, bike.bike_id, _turn_by(press, changed.turn))
    queries.update_bike(connection, bike.shop_id, bike.bike_id, _bike_values(changed))
    before = _before(bike) if changed.can_undo else None
    staff = press.member.staff_id
    note_event(connection, bike, kind, changed.detail, staff_id=staff, before=before, key_hash=key_hash)
    return gone


def tell_gone(code: str) -> None:
    """Let everybody know that a rider's setup is erased, and leave nothing of it in the database's own log."""
    setup_gone.send(code)
    database.empty_log(wait=False)


def was_pressed(press: Press) -> bool:
    """Return whether the page was sent before, so that nothing has to be worked out for it again."""
    with database.read() as connection:
        return events.event_under(connection, _key_hash(press)) is not None


def turn_to(bike: Bike, state: State, *, rider_code: str | None = None, reason: str = "") -> BikeTurn:
    """Return the turn of a bike that comes into a state now; its card goes with its rider."""
    has_card = bike.turn.has_card and rider_code is not None and rider_code == bike.turn.rider_code
    return BikeTurn(state=state, since=datetime.now(UTC), reason=reason, rider_code=rider_code, has_card=has_card)


def _held_bike(connection: Connection, press: Press) -> Bike:
    """Hold the rider's setup and then the bike, in the order in which a sag check holds them."""
    if code := queries.rider_of(connection, press.bike_id):
        hold_setup(connection, code)
    queries.hold_bike(connection, press.bike_id)
    return bike_of_shop(connection, press.member.shop_id, press.bike_id)


def _key_hash(press: Press) -> str:
    return secret_hash(f"{press.member.shop_id} {press.bike_id} {press.key}")


def _forget_rider(connection: Connection, bike: Bike, turn: BikeTurn) -> str | None:
    """Erase the setup of a rider who has left, weight and all, unless a card of it was taken home."""
    code = bike.turn.rider_code
    if code is None or code == turn.rider_code or bike.turn.has_card:
        return None
    erase_setup(connection, code)
    return code


def _turn_by(press: Press, turn: BikeTurn) -> BikeTurn:
    """Return a turn with whoever began it: who pressed, unless it goes on as it was."""
    return replace(turn, since=turn.since or datetime.now(UTC), staff_id=turn.staff_id or press.member.staff_id)


def _bike_values(changed: Changed) -> dict[str, Any]:
    values = {**changed.values, "changed_at": datetime.now(UTC)}
    if changed.standing is not None:
        values |= {"standing": standing_data(changed.standing), "stands_since": changed.stands_since}
    return values


def _before(bike: Bike) -> dict[str, Any]:
    """Return what an undo brings back: nothing of the rider."""
    since = bike.turn.since
    return {
        "state": bike.turn.state,
        "since": since and since.isoformat(),
        "staff_id": bike.turn.staff_id,
        "reason": bike.turn.reason,
        "standing": standing_data(bike.standing),
        "stands_since": bike.stands_since and bike.stands_since.isoformat(),
    }
