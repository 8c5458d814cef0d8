"""What a service makes of a setup: the travel, spacers, limits and readings that the bike leaves with."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any

from setup_rules import (
    SagCheck,
    Setup,
    SetupRequest,
    SetupRulesError,
    apply_sag_check,
    read_request,
    recommend,
    what_if,
)
from setup_rules.advice.travel_plan import TravelWish, change_travel
from setup_rules.types.request import EndName, FrontEnd, Pairs, RearEnd
from setup_rules.types.units import PSI_PA
from setup_rules.workshop.checklist import Step, travel_change_mm
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.library.actions.class_factors import with_shop_checks
from webapp.library.actions.unit_learning import with_unit_memories
from webapp.setups.actions.find_setup import find_setup
from webapp.workshop.actions.records import ServiceRecord

#: Limits and adjusters that the library's fork or shock knows, for a setup that assumes them.
_FROM_UNIT = ("max_pressure_psi", "min_pressure_psi", "rebound_clicks", "compression_clicks")
#: What is noted as left and is an input of the setup under the same name.
_INPUTS = ("volume_spacers", "max_pressure_psi", "air_lubricant_cm3", *_FROM_UNIT[1:])


def end_of(record: ServiceRecord) -> EndName:
    """Return the end of the bike that a record is about."""
    return "front" if record.spring_end == "front" else "rear"


def base_setup(record: ServiceRecord) -> Setup | None:
    """Return the setup that an open record starts from, None where there is none yet.

    Raises
    ------
    SetupRulesError, LinkUnknownError, LinkGoneError
        When the draft or the link no longer works.
    """
    if record.setup_code is not None:
        return find_setup(record.setup_code).setup
    return first_setup(record) if record.draft else None


def first_setup(record: ServiceRecord) -> Setup:
    """Return the first setup of a bike as its record has it, with what the shop's own checks and units say."""
    asked = with_shop_checks(record.shop_id, request_of_draft(record.draft))
    return recommend(with_unit_memories(record.shop_id, asked, units_of_draft(record.draft)))


def request_of_draft(draft: Mapping[str, Any] | None) -> SetupRequest:
    """Return the request of a first setup as it was kept (raises `setup_rules.RequestError`)."""
    return read_request({key: value for key, value in (draft or {}).items() if key != "units"})


def units_of_draft(draft: Mapping[str, Any] | None) -> dict[EndName, str]:
    """Return the names of the library's forks and shocks that a first setup chose, by end.

    Examples
    --------
    >>> units_of_draft({"rider_mass_kg": 75.0, "units": {"front": "Fen 34"}})
    {'front': 'Fen 34'}
    """
    return dict((draft or {}).get("units", {}))


def expected_setup(record: ServiceRecord) -> Setup | None:
    """Return the setup that closing an open record would save now, None where there is nothing to make one from.

    It is what the unit is pumped to before the bike goes out: a sag that cannot be does not take it away.
    """
    for believed in (record, without_sag(record)):
        with suppress(SetupRulesError, LinkUnknownError, LinkGoneError):
            base = base_setup(believed)
            return None if base is None else apply_service(base, believed, confirm=True)
    return None


def without_sag(record: ServiceRecord) -> ServiceRecord:
    """Return a record as if no sag had been measured when the bike left."""
    return replace(record, as_left={name: value for name, value in record.as_left.items() if name != "sag_mm"})


def apply_service(setup: Setup, record: ServiceRecord, *, confirm: bool = False) -> Setup:
    """Return a setup with what the record left it with; the sag measured at the pressure set is its newest sag check.

    Raises
    ------
    setup_rules.RequestError
        When the record says what the setup cannot be. One that only holds questions is over with `confirm`.
    """
    end, left = end_of(record), record.as_left
    changed = _change_travel(setup, record)
    asked = changed.request.front if end == "front" else changed.request.rear
    if asked is None:
        return changed
    lubricant = lubricant_in_air_cm3(record.steps)
    left = left if lubricant is None else {**left, "air_lubricant_cm3": lubricant}
    left = {**_known_of_unit(record, asked), **left}
    inputs = {name: left[name] for name in _INPUTS if name in left and left[name] != getattr(asked, name)}
    if inputs:
        changed = what_if(changed, {end: inputs})
    check = sag_check_of(record, confirm=confirm)
    return changed if check is None else apply_sag_check(changed, check)


def _known_of_unit(record: ServiceRecord, asked: FrontEnd | RearEnd) -> dict[str, Any]:
    """Return what the library knows and the setup does not."""
    unit = record.unit or {}
    if asked.spring == "coil":
        return {}  # the library's limits are those of an air spring
    return {name: unit[name] for name in _FROM_UNIT if name in unit and getattr(asked, name) is None}


def lubricant_in_air_cm3(steps: Sequence[Step]) -> float | None:
    """Return how much oil and grease [cm³] was put into the air chamber in the steps done.

    None where no such step is done: what was in there stays as it was.

    Examples
    --------
    >>> grease = {"what": "grease", "place": "air", "amount_cm3": 2.5}
    >>> lubricant_in_air_cm3([Step(key="air", kind="lubricant", title="Grease", state="done", values=grease)])
    2.5
    """
    put = [s.values for s in steps if s.kind == "lubricant" and s.state == "done" and s.values.get("place") == "air"]
    amounts = [float(values["amount_cm3"]) for values in put if "amount_cm3" in values]
    return sum(amounts) if amounts else None


def sag_check_of(record: ServiceRecord, *, confirm: bool = False) -> SagCheck | None:
    """Return the sag measured in the shop at the pressure set, None where one of both was not entered."""
    left: Mapping[str, Any] = record.as_left
    if "sag_mm" not in left or "pressure_psi" not in left:
        return None
    return SagCheck(
        end=end_of(record),
        pressure_pa=left["pressure_psi"] * PSI_PA,
        readings_mm=(left["sag_mm"],),
        temperature_c=left.get("temperature_c"),
        confirm=confirm,
    )


def _change_travel(setup: Setup, record: ServiceRecord) -> Setup:
    if not travel_change_mm(record.steps):
        return setup
    fitted: dict[str, Any] = next(s.values for s in reversed(record.steps) if s.kind == "travel" and s.state == "done")
    if record.spring_end != "front":
        return _change_stroke(setup, fitted)
    if setup.request.front is None:
        return setup
    wish = TravelWish(travel_mm=fitted["after_mm"], longest_travel_mm=fitted["longest_mm"])
    return change_travel(setup, wish)


def _change_stroke(setup: Setup, fitted: Mapping[str, Any]) -> Setup:
    """Return a setup with another stroke. A spacer ends the stroke earlier; the linkage turns as before up to there."""
    rear, stroke = setup.request.rear, float(fitted["after_mm"])
    if rear is None or rear.stroke_mm == stroke:
        return setup
    changes: dict[str, Any] = {"stroke_mm": stroke}
    if rear.leverage_table:
        changes["leverage_table"] = _cut_table(rear.leverage_points, stroke)
    elif rear.leverage_end is not None and rear.leverage_start is not None:
        share = stroke / rear.stroke_mm
        changes["leverage_end"] = round(rear.leverage_start + share * (rear.leverage_end - rear.leverage_start), 4)
    return what_if(setup, {"rear": changes})


def _cut_table(points: Pairs, stroke_mm: float) -> list[list[float]]:
    """Return a leverage table that ends at a stroke: cut there, or carried on straight beyond its last two points."""
    (x0, y0), (x1, y1) = next(
        (pair for pair in itertools.pairwise(points) if pair[1][0] >= stroke_mm), (points[-2], points[-1])
    )
    last = round(y0 + (y1 - y0) * (stroke_mm - x0) / (x1 - x0), 4)
    return [*([x, y] for x, y in points if x < stroke_mm), [stroke_mm, last]]
