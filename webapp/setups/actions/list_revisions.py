"""Lists all revisions of a setup, each with what its ends were set to."""

from __future__ import annotations

import math
from dataclasses import dataclass

from setup_rules import EndSetup
from setup_rules.types.request import EndName
from setup_rules.types.result import CoilSetup, SagCheck, SecondChamber, TakenCheck
from webapp.ground.database.engine import database
from webapp.setups.actions.find_setup import living_setup
from webapp.setups.queries import setups as queries
from webapp.setups.revision import Revision


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionEnd:
    """One spring end of a revision. `measured_sag_mm` is the mean reading of the sag check that led to it.

    `measured_shift_mm` is how much more it read than the same spring shows on the ride, where the sags are meant.
    """

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
    coil: CoilSetup | None = None
    measured_with: SagCheck | None = None
    measured_shift_mm: float = 0.0
    second: SecondChamber | None = None
    max_pressure_pa: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class PastRevision:
    """One revision in a setup's history, with what each end was set to, and the checks that led to it."""

    revision: Revision
    ends: tuple[RevisionEnd, ...]
    checks: tuple[TakenCheck, ...] = ()


def list_revisions(code_text: str, first: int = 1, last: int | None = None) -> tuple[PastRevision, ...]:
    """Return the revisions of the setup behind a code, by default all, the first one first (raises as `find_setup`)."""
    with database.read() as connection:
        record = living_setup(connection, code_text)
        return tuple(
            _with_ends(revision)
            for revision in queries.revisions(connection, record, first, last or record.latest_revision)
        )


def _with_ends(revision: Revision) -> PastRevision:
    checks = _checks_that_led(revision)
    led = {taken.check.end: taken for taken in checks}
    ends = tuple(_read_end(end, led.get(end.end)) for end in revision.setup.ends())
    return PastRevision(revision=revision, ends=ends, checks=checks)


def _checks_that_led(revision: Revision) -> tuple[TakenCheck, ...]:
    """Return the checks that led to a revision: the newest of its checks, where a check is what led to it."""
    if not revision.kind.startswith("sag_check"):
        return ()
    count = 2 if revision.kind == "sag_check_both" else 1
    return revision.setup.checks[-count:]


def _read_end(end: EndSetup, taken: TakenCheck | None) -> RevisionEnd:
    mine = None if taken is None else taken.check
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
        coil=end.coil,
        measured_with=mine,
        measured_shift_mm=0.0 if taken is None else taken.carried_mm or 0.0,
        second=end.second,
        max_pressure_pa=end.max_pressure_pa,
    )


def _mean_mm(check: SagCheck) -> float:
    values = (*check.readings_mm, *check.readings_from_above_mm, *check.readings_from_below_mm)
    return sum(values) / len(values)
