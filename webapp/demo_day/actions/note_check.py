"""A sag check on a rider's setup stands in its bike's log: what was measured at what, never by whom or how heavy."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, Final

from setup_rules import EndSetup, Setup
from setup_rules.types.result import SagCheck
from setup_rules.types.units import PSI_PA
from webapp.demo_day.bike import ENDS
from webapp.demo_day.queries import bikes as queries
from webapp.demo_day.queries import events
from webapp.ground.events import revision_added

_KIND: Final = "sag_check"


def listen() -> None:
    """Hear of every revision that is added."""
    revision_added.connect(note_check)


def note_check(kind: str, *, connection: Any, setup_id: int, setup: Setup) -> None:
    """Note the sag check that a revision was made of, in the transaction that stores it."""
    if not kind.startswith(_KIND):
        return
    bike_id = queries.bike_of_setup(connection, setup_id)
    if bike_id is None:
        return
    shop_id, version = queries.shop_and_version(connection, bike_id)
    values = {"shop_id": shop_id, "bike_id": bike_id, "kind": _KIND, "made_at": datetime.now(UTC), "version": version}
    events.insert_event(connection, {**values, "detail": _measured(kind, setup)})


def _measured(kind: str, setup: Setup) -> dict[str, Any]:
    """Return what was measured by end: mean of the readings and target [mm], and the pressure that was set [psi]."""
    found = {}
    for end in setup.ends():
        checks = [one.check for one in setup.checks if one.check.end == end.end and not one.struck]
        if not checks or not kind.endswith((end.end, "both")):
            continue
        last = checks[-1]
        readings = (*last.readings_mm, *last.readings_from_above_mm, *last.readings_from_below_mm)
        found[end.end] = {
            "pressure_psi": round(last.pressure_pa / PSI_PA, 1) if end.coil is None else None,
            "sag_mm": round(sum(readings) / len(readings), 1) if readings else None,
            "target_mm": round(_target_mm(end, last), 1),
        }
    return {name: found[name] for name in ENDS if name in found}


def _target_mm(end: EndSetup, check: SagCheck) -> float:
    """Return the target sag [mm] as it reads where a check was taken."""
    is_there = check.place == "bench" and check.is_in_saved_air and end.names_bench_target
    return end.bench_target_mm if is_there else end.sag_target_mm
