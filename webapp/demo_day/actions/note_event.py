"""Notes what was done to a bike, with its moment and who did it: never a weight, never a rider's link."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from webapp.demo_day.bike import Bike
from webapp.demo_day.queries import events
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
