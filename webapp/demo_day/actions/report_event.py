"""Tells a bike what happened to one of its springs: its memory is widened or ended, and what is fitted is changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from datetime import UTC, datetime
from typing import Any, Final, cast

from setup_rules.types.request import EndName
from setup_rules.types.spring_memory import SpringEvent
from webapp.demo_day.actions.find_bike import bike_of_shop
from webapp.demo_day.actions.note_event import note_event
from webapp.demo_day.actions.teach_bike import happened
from webapp.demo_day.bike import Bike, EndStanding
from webapp.demo_day.parsing import read_event, read_fitted
from webapp.demo_day.queries import bikes as queries
from webapp.ground.action_errors import ConflictError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _

#: After these an adjuster stands as it stood, only the air is another.
KEEPS_CLICKS: Final = frozenset({"travel", "spacers", "leak"})


def report_event(shop_id: int, bike_id: int, data: Mapping[str, Any]) -> Bike:
    """Store what happened to a spring, as plain data says it.

    Raises
    ------
    NotFoundError
        When the shop has no such bike.
    RequestError
        With every problem of the data.
    ConflictError
        When the bike was changed since the version that was looked at.
    """
    end, event, fitted, version = read_event(data)
    with database.write() as connection:
        queries.hold_bike(connection, bike_id)
        bike = bike_of_shop(connection, shop_id, bike_id)
        if version is not None and version != bike.version:
            raise ConflictError(_("This bike was changed in the meantime. Look at it, then send this again."), version)
        document = read_fitted(bike.document, end, event, fitted)
        name = cast("EndName", end)
        held = happened(queries.memory_of(connection, bike_id, name), cast("SpringEvent", event))
        queries.store_memory(connection, bike_id, name, held)
        standing = {end: asdict(one) for end, one in standing_after(bike, name, event).items()}
        values = {"document": document, "standing": standing, "changed_at": datetime.now(UTC)}
        queries.update_bike(connection, shop_id, bike_id, values)
        note_event(connection, bike, event, {"end": end})
        return bike_of_shop(connection, shop_id, bike_id)


def standing_after(bike: Bike, name: EndName, event: str) -> dict[EndName, EndStanding]:
    """Return what is known to stand on a bike after something happened to one spring: its air was let out.

    A spring that came back from a service, or that is another one, stands nobody knows how.
    """
    standing = dict(bike.standing)
    stood = standing.pop(name, None)
    if stood is not None and event in KEEPS_CLICKS:
        standing[name] = replace(stood, pressure_psi=None)
    return standing
