"""Lists all revisions of a setup as the lines of its history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from setup_rules import EndSetup
from setup_rules.types.request import EndName
from setup_rules.types.result import Note, SagCheck
from webapp.ground.database.engine import database
from webapp.setups.actions.find_setup import living_setup
from webapp.setups.queries import setups as queries


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionEnd:
    """One spring end of a revision. `measured_sag_mm` is the mean reading of the sag check that led to it."""

    end: EndName
    pressure_pa: float
    sag_target_mm: float
    sag_expected_mm: float
    sag_low_mm: float
    sag_high_mm: float
    measured_sag_mm: float | None
    measured_at_pa: float | None
    rebound_out: int | None
    compression_out: int | None
    volume_spacers: int
    travel_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionLine:
    """One revision in a setup's history: when, what led to it, why, and what each end was set to."""

    number: int
    base_number: int | None
    created_at: datetime
    kind: str
    reason: str
    advice: tuple[Note, ...]
    settled: bool | None
    rider_mass_kg: float
    kit_mass_kg: float
    ends: tuple[RevisionEnd, ...]


def list_revisions(code_text: str) -> tuple[RevisionLine, ...]:
    """Return every revision of the setup behind a code, the first one first (raises as `find_setup`)."""
    with database.read() as connection:
        record = living_setup(connection, code_text)
        return tuple(_line(row) for row in queries.revisions(connection, record.setup_id))


def _line(row: queries.RevisionRecord) -> RevisionLine:
    setup = row.setup
    check = _measured(row)
    return RevisionLine(
        number=row.number,
        base_number=row.base_number,
        created_at=row.created_at,
        kind=row.kind,
        reason=row.reason,
        advice=setup.advice,
        settled=setup.settled,
        rider_mass_kg=setup.request.rider_mass_kg,
        kit_mass_kg=setup.request.kit_mass_kg,
        ends=tuple(_end(end, check) for end in setup.ends()),
    )


def _measured(row: queries.RevisionRecord) -> SagCheck | None:
    """Return the check that led to a revision: the newest of its checks, where a check is what led to it."""
    checks = row.setup.checks
    return checks[-1].check if row.kind.startswith("sag_check") and checks else None


def _end(end: EndSetup, check: SagCheck | None) -> RevisionEnd:
    mine = check if check is not None and check.end == end.end else None
    return RevisionEnd(
        end=end.end,
        pressure_pa=end.pressure_pa,
        sag_target_mm=end.sag_target_mm,
        sag_expected_mm=end.sag_expected_mm,
        sag_low_mm=end.sag_low_mm,
        sag_high_mm=end.sag_high_mm,
        measured_sag_mm=None if mine is None else _mean_mm(mine),
        measured_at_pa=None if mine is None else mine.pressure_pa,
        rebound_out=None if end.rebound is None else end.rebound.out,
        compression_out=None if end.compression is None else end.compression.out,
        volume_spacers=end.volume_spacers,
        travel_mm=end.travel_mm,
    )


def _mean_mm(check: SagCheck) -> float:
    values = (*check.readings_mm, *check.readings_from_above_mm, *check.readings_from_below_mm)
    return sum(values) / len(values)
