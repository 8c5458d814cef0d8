"""What to change on a bike: from what stands on it to what a setup asks for."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules import EndSetup, Setup
from setup_rules.types.request import EndName
from setup_rules.types.units import PSI_PA
from webapp.demo_day.bike import Bike, EndStanding


@dataclass(frozen=True, slots=True, kw_only=True)
class BikeChange:
    """One number to set on one end: as it stands (None: nobody knows) and as it is to be."""

    end: EndName
    what: str
    before: float | None
    after: float


def standing_of(end: EndSetup) -> EndStanding:
    """Return what stands on an end once it is set as a setup says; pressure as JSON says it, in tenths of a psi."""
    return EndStanding(
        pressure_psi=round(end.pressure_pa / PSI_PA, 1),
        rebound_clicks_out=None if end.rebound is None else end.rebound.out,
        compression_clicks_out=None if end.compression is None else end.compression.out,
    )


def changes_to(bike: Bike, setup: Setup) -> tuple[BikeChange, ...]:
    """Return every number that has to be set otherwise, front first."""
    return tuple(
        change
        for end in setup.ends()
        for change in _end_changes(end.end, bike.standing.get(end.end, EndStanding()), standing_of(end))
    )


def _end_changes(name: EndName, stands: EndStanding, wanted: EndStanding) -> tuple[BikeChange, ...]:
    pairs = (
        (what, getattr(stands, what), getattr(wanted, what))
        for what in ("pressure_psi", "rebound_clicks_out", "compression_clicks_out")
    )
    return tuple(
        BikeChange(end=name, what=what, before=before, after=after)
        for what, before, after in pairs
        if after is not None and before != after
    )
