"""A shop's bike as the JSON interface gives it: nothing of any rider."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, Final
from urllib.parse import urlencode

from setup_rules.inference.spring_memory import typical_factor
from setup_rules.types.request import EndName
from webapp.api.pages.answers import setup_answer
from webapp.demo_day.actions.look_up_bike import BikeSlice
from webapp.demo_day.actions.set_up_bike import BikeSetup
from webapp.demo_day.bike import ENDS, Bike, EndStanding
from webapp.ground import urls

#: Told only of a bike that has one.
_SECOND: Final = "second_pressure_psi"


def bike_answer(bike: Bike) -> dict[str, Any]:
    """Return the answer about a bike."""
    given = {key: value for key, value in bike.document.items() if key not in (*ENDS, "units")}
    return {
        "bike": bike.bike_id,
        "tag": bike.tag,
        "number": bike.number,
        "label": bike.label,
        "version": bike.version,
        **given,
        **{name: _end_answer(bike, name) for name in ENDS},
        "stands_since": bike.stands_since and bike.stands_since.isoformat(timespec="seconds"),
    }


def bikes_answer(page: BikeSlice, limit: int) -> dict[str, Any]:
    """Return the answer of a page of bikes, with the address of the page after it; null after the last."""
    told = [bike_answer(bike) for bike in page.bikes]
    if not page.following:
        return {"bikes": told, "next": None}
    query = urlencode({"after": page.bikes[-1].bike_id, "limit": limit})
    return {"bikes": told, "next": f"{urls.base_url()}/api/v1/bikes?{query}"}


def _end_answer(bike: Bike, name: EndName) -> dict[str, Any] | None:
    if name not in bike.document:
        return None
    stands, unit = bike.standing.get(name), bike.document.get("units", {}).get(name)
    return {
        "fitted": dict(bike.document[name]),
        "unit": unit,
        "standing": None if stands is None else _standing(stands),
        "learned": _learned_answer(bike, name),
    }


def _standing(stands: EndStanding) -> dict[str, Any]:
    """Return what stands on an end; of a second chamber only where one is known of."""
    told = asdict(stands)
    return told if stands.second_pressure_psi is not None else {k: v for k, v in told.items() if k != _SECOND}


def _learned_answer(bike: Bike, name: EndName) -> dict[str, Any] | None:
    """Return what a spring has taught: by how many riders, and how much more pressure than typical it needs."""
    memory = bike.memories.get(name)
    if memory is None or not memory.riders:
        return None
    percent = 100.0 * (typical_factor(memory, bike.model_of(name)) - 1.0)
    return {"riders": memory.riders, "pressure_from_typical_percent": round(percent)}


def bike_setup_answer(made: BikeSetup) -> dict[str, Any]:
    """Return the answer to a setup on a bike: that of any setup, with the bike and what to change on it."""
    changes = [asdict(change) for change in made.changes]
    return {**setup_answer(made.created.saved), "bike": made.bike.bike_id, "changes": changes}
