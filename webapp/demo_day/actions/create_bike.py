"""Adds a bike to a shop, once under a key, with the tag that its QR code will carry."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any, Final

from setup_rules import Problem, RequestError
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.bike import Bike, NewBike
from webapp.demo_day.parsing import read_bike
from webapp.demo_day.queries import bikes as queries
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
        raise number_taken_error() from None
    return find_bike(shop_id, bike_id)


def _store(connection: Connection, shop_id: int, new: NewBike, key: RepeatKey | None) -> int:
    number_key = name_key(new.number)[:80]
    if queries.number_taken(connection, shop_id, number_key):
        raise number_taken_error()
    if queries.count_bikes(connection, shop_id) >= MOST_BIKES:
        told = _("This shop has %(most)d bikes. No more are kept.", most=MOST_BIKES)
        raise RequestError((Problem("number", told),))
    return queries.insert_bike(connection, new_values(shop_id, new), key)


def new_values(shop_id: int, new: NewBike) -> dict[str, Any]:
    """Return the columns of a new bike, with a tag of its own."""
    now = datetime.now(UTC)
    return {
        "shop_id": shop_id,
        "number": new.number,
        "number_key": name_key(new.number)[:80],
        "label": new.label,
        "tag": new_code(),
        "document": stored_document(new),
        "standing": {},
        "version": 1,
        "created_at": now,
        "changed_at": now,
    }


def stored_document(new: NewBike) -> dict[str, Any]:
    """Return what is stored of a bike's description, with the library's names."""
    return {**new.document, **({"units": dict(new.units)} if new.units else {})}


def number_taken_error() -> RequestError:
    """Return the refusal of a number that another bike of the shop has, in use or archived."""
    return RequestError((Problem("number", _("This shop has a bike with this number already.")),))


def _repeated(shop_id: int, key: RepeatKey) -> Bike | None:
    with database.read() as connection:
        earlier = queries.created_under(connection, key.key_hash)
    if earlier is None:
        return None
    if earlier[1] != key.fingerprint:
        raise IdempotencyError(_("This idempotency key was already used for another request. Use a new key."))
    return find_bike(shop_id, earlier[0])
