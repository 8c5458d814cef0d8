"""A shop's records and setups as rows of plain values for its own tables: no rider's weight, no link, no name.

Read in batches, so that a large shop takes no more memory than a small one. What is saved meanwhile may be in or not.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from setup_rules import EndSetup
from setup_rules.messages.rounding import gauge_psi, places
from setup_rules.types.result import SagCheck
from setup_rules.types.units import PSI_PA
from webapp.ground.database.engine import database
from webapp.setups.queries import setups as setup_queries
from webapp.setups.queries import shop_setups as shop_setup_queries
from webapp.setups.revision import Revision
from webapp.workshop.actions.describe_service import describe_service
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.queries import search as search_queries

Row = dict[str, str | int | float | None]
BATCH: Final = 200

_FOUND: Final = ("pressure_psi", "before_hose_psi", "temperature_c", "sag_mm", "rebound_out")
_LEFT: Final = (
    *("pressure_psi", "temperature_c", "sag_mm", "rebound_out", "compression_out"),
    *("volume_spacers", "max_pressure_psi"),
)
#: The columns of each list, in the order of its file. DEVELOPERS.md says what each holds.
RECORD_COLUMNS: Final = (
    *("code", "visit_code", "state", "bike", "end", "model", "service", "customer_reference"),
    *("opened_at", "opened_by", "closed_at", "closed_by"),
    *(f"found_{name}" for name in _FOUND),
    *("symptoms", "work", "steps_done", "steps"),
    *(f"left_{name}" for name in _LEFT),
    *("note", "next_due_on", "next_due_hours", "setup_version"),
)
_END: Final = (
    *("travel_mm", "pressure_psi", "pressure_low_psi", "pressure_high_psi", "limited", "max_pressure_psi"),
    *("max_pressure_assumed", "sag_target_mm", "rebound_out", "rebound_of", "compression_out", "volume_spacers"),
    *("spring_rate_n_per_mm", "preload_mm", "sag_checks", "last_sag_mm", "last_sag_psi"),
)
SETUP_COLUMNS: Final = (
    *("code", "bike", "version", "saved_at", "changed_at", "work_done"),
    *(f"{end}_{name}" for end in ("front", "rear") for name in _END),
)


def export_records(shop_id: int) -> Iterator[Row]:
    """Yield every service record of a shop, the first first."""
    last = 0
    while True:
        with database.read() as connection:
            records = search_queries.records_after(connection, shop_id, last, BATCH)
        if not records:
            return
        yield from map(record_row, records)
        last = records[-1].record_id


def export_setups(shop_id: int) -> Iterator[Row]:
    """Yield every living setup of a shop at its newest version, the first first."""
    last = 0
    while True:
        with database.read() as connection:
            own = shop_setup_queries.own_after(connection, shop_id, last, BATCH)
            found = [
                (one.short_code, setup_queries.revision(connection, setup, setup.latest_revision), setup.created_at)
                for one in own
                if (setup := setup_queries.setup_by_code(connection, one.code)) and setup.deleted_at is None
            ]
        if not own:
            return
        for short_code, saved, created_at in found:
            if saved is not None:
                yield setup_row(short_code, saved) | {"saved_at": created_at.isoformat()}
        last = own[-1].setup_id


def record_row(record: ServiceRecord) -> Row:
    """Return one record as a row: moments in UTC, pressures in psi (gauge), lengths in mm, clicks out."""
    row: Row = dict.fromkeys(RECORD_COLUMNS)
    row |= {
        "code": record.short_code,
        "visit_code": record.visit,
        "state": "cancelled" if record.is_cancelled else record.state,
        "bike": record.bike_label,
        "end": record.spring_end,
        "model": record.unit_label,
        "service": record.service_kind or "list",
        "customer_reference": record.customer_reference,
        "opened_at": record.opened_at.isoformat(),
        "opened_by": record.opened_by,
        "closed_at": record.closed_at.isoformat() if record.closed_at else None,
        "closed_by": record.closed_by,
        "symptoms": record.as_found.get("symptoms"),
        "work": describe_service(record),
        "steps_done": sum(step.state == "done" for step in record.steps),
        "steps": len(record.steps),
        "note": record.as_left.get("note"),
        "next_due_on": record.next_due_on.isoformat() if record.next_due_on else None,
        "next_due_hours": record.next_due_hours,
        "setup_version": record.setup_revision,
    }
    return (
        row
        | {f"found_{name}": _as_shown(record.as_found.get(name)) for name in _FOUND}
        | {f"left_{name}": _as_shown(record.as_left.get(name)) for name in _LEFT}
    )


def _as_shown(value: Any) -> Any:
    """Return a measured number with the one decimal that the record and the card show: 4.2 bar are 60.9 psi."""
    return places(value, 1) if isinstance(value, float) else value


def setup_row(short_code: str, saved: Revision) -> Row:
    """Return one setup as a row, each end's columns under its name."""
    row: Row = dict.fromkeys(SETUP_COLUMNS)
    row |= {
        "code": short_code,
        "bike": saved.texts.bike_label,
        "version": saved.number,
        "changed_at": saved.created_at.isoformat(),
        "work_done": saved.texts.service_note,
    }
    for end in saved.setup.ends():
        checks = [taken.check for taken in saved.setup.checks if taken.check.end == end.end and not taken.struck]
        row |= {f"{end.end}_{name}": value for name, value in _end_values(end, checks).items()}
    return row


def _end_values(end: EndSetup, checks: list[SagCheck]) -> dict[str, Any]:
    newest = checks[-1] if checks else None
    air = end.coil is None
    return {
        "travel_mm": end.travel_mm,
        "pressure_psi": _psi(end.pressure_pa) if air else None,
        "pressure_low_psi": _psi(end.pressure_low_pa) if air else None,
        "pressure_high_psi": _psi(end.pressure_high_pa) if air else None,
        "limited": int(bool(end.limited)),
        "max_pressure_psi": _psi(end.max_pressure_pa) if air else None,
        "max_pressure_assumed": int(end.max_pressure_assumed) if air else None,
        "sag_target_mm": places(end.sag_target_mm, 1),
        "rebound_out": end.rebound.out if end.rebound else None,
        "rebound_of": end.rebound.total if end.rebound else None,
        "compression_out": end.compression.out if end.compression else None,
        "volume_spacers": end.volume_spacers if air else None,
        "spring_rate_n_per_mm": None if end.coil is None else places(end.coil.rate_n_per_m / 1000, 2),
        "preload_mm": None if end.coil is None or not end.coil.fits else places(end.coil.preload_mm, 1),
        "sag_checks": len(checks),
        "last_sag_mm": None if newest is None else places(_mean_mm(newest), 1),
        "last_sag_psi": _psi(newest.pressure_pa) if newest and air else None,
    }


def _psi(pressure_pa: float) -> float:
    return gauge_psi(pressure_pa / PSI_PA)


def _mean_mm(check: SagCheck) -> float:
    values = (*check.readings_mm, *check.readings_from_above_mm, *check.readings_from_below_mm)
    return sum(values) / len(values)
