"""Writes down what somebody has set on a bike: nothing else moves what stands on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from datetime import UTC, datetime
from typing import Any

from setup_rules import Problem, RequestError
from setup_rules.types.request import EndName
from webapp.demo_day import queries
from webapp.demo_day.actions.find_bike import bike_of_shop, find_bike
from webapp.demo_day.bike import Bike, EndStanding
from webapp.demo_day.changes import standing_of
from webapp.demo_day.parsing import read_standing
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_setup import find_setup


def confirm_standing(shop_id: int, bike_id: int, data: Mapping[str, Any]) -> Bike:
    """Store what stands on a bike: as a setup made on it says (`setup`, its code), as typed by end, or both.

    What is typed counts more; what is not named stays as it stood.

    Raises
    ------
    NotFoundError
        When the shop has no such bike.
    RequestError
        With every problem of the data; also where the setup was not made on this bike.
    LinkUnknownError, LinkGoneError
        As in `find_setup`.
    """
    bike = find_bike(shop_id, bike_id)
    typed = read_standing({key: value for key, value in data.items() if key != "setup"}, bike.document)
    as_set = _as_set(bike, data["setup"]) if data.get("setup") is not None else {}
    if not typed and not as_set:
        raise RequestError((Problem("body", _("Name the setup that was set, or what stands on each end.")),))
    with database.write() as connection:
        queries.hold_bike(connection, bike_id)
        stood = bike_of_shop(connection, shop_id, bike_id).standing
        standing = {**stood, **as_set}
        for name, end in typed.items():
            standing[name] = _over(standing.get(name, EndStanding()), end)
        now = datetime.now(UTC)
        values = {name: asdict(end) for name, end in standing.items()}
        queries.update_bike(connection, bike_id, {"standing": values, "stands_since": now, "changed_at": now})
        return bike_of_shop(connection, shop_id, bike_id)


def _as_set(bike: Bike, code: Any) -> dict[EndName, EndStanding]:
    if not isinstance(code, str):
        raise RequestError((Problem("setup", _("Send a text.")),))
    saved = find_setup(code)
    with database.read() as connection:
        if queries.bike_of_code(connection, saved.code) != bike.bike_id:
            raise RequestError((Problem("setup", _("This setup was not made on this bike.")),))
    return {end.end: standing_of(end) for end in saved.setup.ends()}


def _over(stood: EndStanding, typed: EndStanding) -> EndStanding:
    return replace(stood, **{key: value for key, value in asdict(typed).items() if value is not None})
