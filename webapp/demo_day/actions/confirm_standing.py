"""Writes down what somebody has set on a bike: nothing else moves what stands on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, replace
from datetime import UTC, datetime
from typing import Any

from setup_rules import Problem, RequestError
from setup_rules.advice.recommend import pressure_limits_pa
from setup_rules.inference.likelihood import GAUGE_SIGMA
from setup_rules.inference.second_chamber import second_maximum_pa
from setup_rules.types.request import EndName
from setup_rules.types.units import PSI_PA
from webapp.demo_day.actions.find_bike import bike_of_shop, find_bike
from webapp.demo_day.actions.note_event import note_event
from webapp.demo_day.bike import Bike, EndStanding
from webapp.demo_day.changes import standing_of
from webapp.demo_day.parsing import read_standing
from webapp.demo_day.queries import bikes as queries
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.text import numbers
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
    typed = read_typed(bike, {key: value for key, value in data.items() if key != "setup"})
    as_set = _as_set(bike, data["setup"]) if data.get("setup") is not None else {}
    if not typed and not as_set:
        raise RequestError((Problem("body", _("Name the setup that was set, or what stands on each end.")),))
    with database.write() as connection:
        queries.hold_bike(connection, bike_id)
        stood = bike_of_shop(connection, shop_id, bike_id)
        standing = stands_then(stood.standing, as_set, typed)
        store_standing(connection, shop_id, bike_id, standing)
        note_event(connection, stood, "standing", {"standing": standing_data(standing)})
        return bike_of_shop(connection, shop_id, bike_id)


def read_typed(bike: Bike, data: Mapping[str, Any]) -> dict[EndName, EndStanding]:
    """Return what plain data says to stand on a bike (raises `RequestError`, also above a maximum pressure)."""
    typed = read_standing(data, bike.document)
    _refuse_above_maximum(bike, typed)
    return typed


def stands_then(
    stood: Mapping[EndName, EndStanding],
    as_set: Mapping[EndName, EndStanding],
    typed: Mapping[EndName, EndStanding],
) -> dict[EndName, EndStanding]:
    """Return what stands on a bike after ends were set as a setup asks, and what was typed was read on them."""
    standing = {**stood, **as_set}
    for name, end in typed.items():
        standing[name] = _over(standing.get(name, EndStanding()), end)
    return standing


def store_standing(connection: Connection, shop_id: int, bike_id: int, standing: Mapping[EndName, EndStanding]) -> None:
    """Write down what stands on a bike from now on."""
    now = datetime.now(UTC)
    values = {"standing": standing_data(standing), "stands_since": now, "changed_at": now}
    queries.update_bike(connection, shop_id, bike_id, values)


def standing_data(standing: Mapping[EndName, EndStanding]) -> dict[str, Any]:
    """Return what stands on a bike as it is stored."""
    return {name: asdict(end) for name, end in standing.items()}


def _as_set(bike: Bike, code: Any) -> dict[EndName, EndStanding]:
    if not isinstance(code, str):
        raise RequestError((Problem("setup", _("Send a text.")),))
    saved = find_setup(code)
    with database.read() as connection:
        if queries.bike_of_code(connection, saved.code) != bike.bike_id:
            raise RequestError((Problem("setup", _("This setup was not made on this bike.")),))
    ends = saved.setup.ends()
    if any((end.coil is not None) != (bike.document.get(end.end, {}).get("spring") == "coil") for end in ends):
        raise RequestError((Problem("setup", _("This setup was made for another spring. Set the bike up again.")),))
    as_set = {end.end: standing_of(end) for end in ends}
    _refuse_above_maximum(bike, as_set)  # its rider may have entered another maximum than the bike has
    return as_set


def _over(stood: EndStanding, typed: EndStanding) -> EndStanding:
    return replace(stood, **{key: value for key, value in asdict(typed).items() if value is not None})


def _refuse_above_maximum(bike: Bike, standing: Mapping[EndName, EndStanding]) -> None:
    """Raise where a pressure is above the unit's maximum: nobody is to ride it, or to start from it."""
    too_much = [problem for name, end in standing.items() for problem in _above_maximum(bike, name, end)]
    if too_much:
        raise RequestError(tuple(too_much))


def _above_maximum(bike: Bike, name: EndName, end: EndStanding) -> Iterator[Problem]:
    fitted = bike.model_of(name)
    most = {"pressure_psi": pressure_limits_pa(fitted)[1], "second_pressure_psi": second_maximum_pa(fitted.end)}
    for key, most_pa in most.items():
        psi = getattr(end, key)
        if psi is not None and psi * PSI_PA > most_pa * (1.0 + GAUGE_SIGMA):
            yield Problem(f"{name}.{key}", _too_much(psi, most_pa))


def _too_much(psi: float, most_pa: float) -> str:
    return _(
        "%(psi)s psi is above the maximum of %(most)s psi. Let air out before anyone rides, then send what it reads.",
        psi=numbers.number(psi, 1),
        most=numbers.psi(most_pa),
    )
