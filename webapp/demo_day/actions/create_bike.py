"""Adds a bike to a shop, once under a key, with the tag that its QR code will carry."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any, Final

from setup_rules import Problem, RequestError
from webapp.demo_day import queries
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.bike import Bike, NewBike
from webapp.demo_day.parsing import read_bike
from webapp.ground.action_errors import IdempotencyError
from webapp.ground.database.connection import Connection, RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.hashes import RepeatKey, repeat_key
from webapp.ground.link_codes import new_code
from webapp.ground.text.i18n import gettext as _
from webapp.library.actions.find_suspension_units import find_suspension_unit_by_name
from webapp.library.suspension_unit import name_key

#: More bikes than this no shop keeps.
MOST_BIKES: Final = 2_000


def create_bike(shop_id: int, data: Mapping[str, Any], idempotency_key: str | None = None) -> Bike:
    """Store the bike that plain data describes; the same data again under a key answers with the same bike.

    Raises
    ------
    RequestError
        With every problem of the data; also where the shop has a bike of this number.
    IdempotencyError
        When the key was used for other data.
    """
    key = repeat_key(idempotency_key and f"{shop_id} {idempotency_key}", dict(data))
    if key and (repeated := _repeated(shop_id, key)):
        return repeated
    new = read_bike(data, lambda kind, name: find_suspension_unit_by_name(shop_id, kind, name))
    try:
        with database.write() as connection:
            bike_id = _store(connection, shop_id, new, key)
    except RowTakenError:
        # A twin of this request was faster, or another bike with the number.
        if key and (repeated := _repeated(shop_id, key)):
            return repeated
        raise _number_taken() from None
    return find_bike(shop_id, bike_id)


def _store(connection: Connection, shop_id: int, new: NewBike, key: RepeatKey | None) -> int:
    number_key, now = name_key(new.number)[:80], datetime.now(UTC)
    if queries.number_taken(connection, shop_id, number_key):
        raise _number_taken()
    if queries.count_bikes(connection, shop_id) >= MOST_BIKES:
        told = _("This shop has %(most)d bikes. No more are kept.", most=MOST_BIKES)
        raise RequestError((Problem("number", told),))
    values = {
        "shop_id": shop_id,
        "number": new.number,
        "number_key": number_key,
        "label": new.label,
        "tag": new_code(),
        "document": {**new.document, **({"units": dict(new.units)} if new.units else {})},
        "standing": {},
        "version": 1,
        "created_at": now,
        "changed_at": now,
    }
    return queries.insert_bike(connection, values, key)


def _number_taken() -> RequestError:
    return RequestError((Problem("number", _("This shop has a bike with this number already.")),))


def _repeated(shop_id: int, key: RepeatKey) -> Bike | None:
    with database.read() as connection:
        earlier = queries.created_under(connection, key.key_hash)
    if earlier is None:
        return None
    if earlier[1] != key.fingerprint:
        raise IdempotencyError(_("This idempotency key was already used for another request. Use a new key."))
    return find_bike(shop_id, earlier[0])
