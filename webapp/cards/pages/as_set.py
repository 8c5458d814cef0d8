"""What a shop set on a bike, for the front of the card: the same numbers as on its back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from setup_rules.types.request import EndName
from setup_rules.types.units import PSI_PA
from webapp.workshop.actions.records import ServiceRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class AsSet:
    """Pressure [Pa, gauge], clicks out from fully closed and sag [mm] of one end as it left the shop."""

    pressure_pa: float | None = None
    rebound_out: int | None = None
    compression_out: int | None = None
    sag_mm: float | None = None


NOT_SET = AsSet()


def as_set_by(records: Iterable[ServiceRecord]) -> Mapping[EndName, AsSet]:
    """Return what was set on each end, by the records that led to a setup's newest versions, the newest first."""
    found: dict[EndName, AsSet] = {}
    for record in records:
        end: EndName = "front" if record.spring_end == "front" else "rear"
        found.setdefault(end, _read(record.as_left))
    return found


def _read(left: Mapping[str, Any]) -> AsSet:
    psi = left.get("pressure_psi")
    return AsSet(
        pressure_pa=None if psi is None else psi * PSI_PA,
        rebound_out=left.get("rebound_out"),
        compression_out=left.get("compression_out"),
        sag_mm=left.get("sag_mm"),
    )
