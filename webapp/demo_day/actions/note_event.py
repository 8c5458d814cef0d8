"""Notes what was done to a bike, with its moment and who did it: never a weight, never a rider's link."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from statistics import median
from typing import Any

from setup_rules import Setup
from webapp.demo_day.bike import ENDS, Bike
from webapp.demo_day.queries import bikes, events
from webapp.ground.database.connection import Connection


def note_event(
    connection: Connection,
    bike: Bike,
    kind: str,
    detail: Mapping[str, Any],
    *,
    staff_id: int | None = None,
    before: Mapping[str, Any] | None = None,
    key_hash: str | None = None,
) -> None:
    """Note what was done to `bike`, as it was before; each change of a bike counts its version up by one."""
    values = {
        "shop_id": bike.shop_id,
        "bike_id": bike.bike_id,
        "kind": kind,
        "made_at": datetime.now(UTC),
        "staff_id": staff_id,
        "version": bike.version + 1,
        "detail": dict(detail),
        "before": before,
        "key_hash": key_hash,
    }
    events.insert_event(connection, values)


def note_check(connection: Connection, bike_id: int, kind: str, setup: Setup) -> None:
    """Note a rider's newest sag check on a bike, with the sag read and its target; the bike itself has not changed."""
    bike = bikes.bike_of_any_shop(connection, bike_id)
    if bike is None:
        return
    values = {"shop_id": bike.shop_id, "bike_id": bike_id, "kind": "sag_check", "made_at": datetime.now(UTC)}
    values |= {"staff_id": None, "version": bike.version, "before": None, "key_hash": None}
    events.insert_event(connection, values | {"detail": {"sag": _read_sag(kind, setup)}})


def _read_sag(kind: str, setup: Setup) -> dict[str, dict[str, float]]:
    """Return by end the middle of the newest readings and the target [mm]."""
    found = {}
    for end in setup.ends():
        checks = [taken.check for taken in setup.checks if taken.check.end == end.end and not taken.struck]
        if checks and kind in (f"sag_check_{end.end}", "sag_check_both"):
            newest = checks[-1]
            read = (*newest.readings_mm, *newest.readings_from_above_mm, *newest.readings_from_below_mm)
            found[end.end] = {"read_mm": round(median(read), 1), "target_mm": round(end.sag_target_mm, 1)}
    return {name: found[name] for name in ENDS if name in found}
