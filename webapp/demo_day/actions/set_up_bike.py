"""Makes a rider's setup on a bike, from what its springs remember, and says what to change on the bike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from setup_rules import Problem, RequestError, SetupRequest
from setup_rules.parsing.request_parsing import unknown_key
from webapp.accounts.staff import StaffMember
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.actions.teach_bike import nothing_yet
from webapp.demo_day.bike import ENDS, OF_BIKE, Bike
from webapp.demo_day.changes import BikeChange, changes_to
from webapp.demo_day.queries import bikes as queries
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.library.actions.class_factors import with_shop_checks
from webapp.library.actions.unit_learning import with_unit_memories
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.shop_setups import register_setup
from webapp.setups.revision import CardTexts, CreatedSetup


@dataclass(frozen=True, slots=True, kw_only=True)
class BikeSetup:
    """A rider's setup on a bike: what was saved, and what to change on the bike as it stands."""

    bike: Bike
    created: CreatedSetup
    changes: tuple[BikeChange, ...]


def set_up_bike(
    member: StaffMember, bike_id: int, rider: Mapping[str, Any], idempotency_key: str | None = None
) -> BikeSetup:
    """Save the setup of a rider, given as plain data of a request without the bike's part; once under a key.

    Raises
    ------
    NotFoundError
        When the shop has no such bike.
    RequestError
        With every problem of the rider's data.
    IdempotencyError, KeyEndedError
        As in `create_setup`.
    """
    bike = find_bike(member.shop_id, bike_id)
    key = idempotency_key and f"{member.shop_id} {bike_id} {idempotency_key}"
    created = create_setup(rider_request(bike, rider), card_texts(bike), idempotency_key=key)
    register_setup(member, created.saved.code)
    with database.write() as connection:
        queries.hold_bike(connection, bike_id)
        tie_setup(connection, bike_id, created.saved.code)
    return BikeSetup(bike=bike, created=created, changes=changes_to(bike, created.saved.setup))


def rider_request(bike: Bike, rider: Mapping[str, Any]) -> SetupRequest:
    """Return what is asked for a rider on a bike, with all that its springs and their like have taught.

    Raises
    ------
    RequestError
        With every problem of the rider's data.
    """
    refused: tuple[Problem, ...] = tuple(unknown_key(key) for key in rider if key in OF_BIKE)
    if refused:
        raise RequestError(refused)
    # Where the bike itself was taught nothing yet, the shop's own checks speak, as for a setup of the form.
    wanted = with_shop_checks(bike.shop_id, bike.request_for(rider))
    return with_unit_memories(bike.shop_id, wanted, bike.document.get("units", {}), bike.bike_id)


def card_texts(bike: Bike) -> CardTexts:
    """Return what the card of a setup on a bike calls it."""
    return CardTexts(bike_label=bike.label or bike.number)


def tie_setup(connection: Connection, bike_id: int, code: str) -> None:
    """Note on which bike a setup was made, and with which springs: a repeat finds it noted."""
    setup_id = queries.tie_setup(connection, bike_id, code, datetime.now(UTC))
    if setup_id is None:
        return
    for name in ENDS:
        queries.store_lesson(connection, setup_id, name, nothing_yet(queries.memory_of(connection, bike_id, name)))
