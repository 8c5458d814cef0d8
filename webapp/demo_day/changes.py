"""What to change on a bike: from what stands on it to what a setup asks for."""

from __future__ import annotations

from dataclasses import dataclass, fields

from setup_rules import EndSetup, Setup
from setup_rules.messages import rounding
from setup_rules.types.request import EndName
from setup_rules.types.result import CoilSetup
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
    """Return what stands on an end once it is set as a setup says, each number as JSON says it."""
    coil = end.coil
    return EndStanding(
        pressure_psi=_as_shown_psi(end.pressure_pa) if coil is None else None,
        spring_rate_n_per_mm=None if coil is None or not coil.fits else _rate_n_per_mm(coil),
        preload_mm=None if coil is None or not coil.fits else round(coil.preload_mm, 2),
        rebound_clicks_out=None if end.rebound is None else end.rebound.out,
        compression_clicks_out=None if end.compression is None else end.compression.out,
        second_pressure_psi=None if end.second is None else _as_shown_psi(end.second.pressure_pa),
    )


def _as_shown_psi(pressure_pa: float) -> float:
    """Return a pressure to a tenth of a psi that rounds to the whole psi shown: 73.4 for 73.46, as 73.5 reads 74."""
    exact = pressure_pa / PSI_PA
    near = round(exact, 1)
    if rounding.gauge_psi(near) == rounding.gauge_psi(exact):
        return near
    return round(near - 0.1 if near > exact else near + 0.1, 1)


def _rate_n_per_mm(coil: CoilSetup) -> float:
    """Return a rate as printed on the spring; one that follows from the load no finer than a pressure."""
    rate = coil.rate_n_per_m / 1000
    return float(f"{rate:.3g}") if coil.origin == "exact" else round(rate, 2)


def changes_to(bike: Bike, setup: Setup) -> tuple[BikeChange, ...]:
    """Return every number that has to be set otherwise, front first."""
    return tuple(
        change
        for end in setup.ends()
        for change in _end_changes(end.end, bike.standing.get(end.end, EndStanding()), standing_of(end))
    )


def _end_changes(name: EndName, stands: EndStanding, wanted: EndStanding) -> tuple[BikeChange, ...]:
    pairs = (
        (what, getattr(stands, what), getattr(wanted, what)) for what in (field.name for field in fields(EndStanding))
    )
    return tuple(
        BikeChange(end=name, what=what, before=before, after=after)
        for what, before, after in pairs
        if after is not None and before != after
    )
