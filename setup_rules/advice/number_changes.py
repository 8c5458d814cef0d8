"""Which numbers a rider has to set anew: everything that differs between two answers, in the order of work."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, get_args

from setup_rules.advice.wording import preload_values, rate_n_per_mm
from setup_rules.messages.rounding import halves, whole
from setup_rules.types.result import EndSetup, NumberChange, SetNumber, Setup
from setup_rules.types.units import PSI_PA

_ORDER: Final[tuple[SetNumber, ...]] = get_args(SetNumber)
#: From here on a pressure is shown in whole psi, below in halves.
_WHOLE_PSI: Final = 39.75


def numbers_changed(before: Setup, after: Setup) -> tuple[NumberChange, ...]:
    """Return every number to set that differs as it is shown, both ends' pressures before any clicks.

    Pairs of `before` and `after` of each end, in the order of `SetNumber`

    Parameters
    ----------
    before, after : Setup
        Two answers for one bike.

    Returns
    -------
    tuple of NumberChange
        Pressures in Pa (gauge), rates in N/m, lengths in mm, clicks out from fully closed, spacers in pieces.

    Examples
    --------
    >>> from setup_rules import read_request, recommend
    >>> front = {"travel_mm": 140, "rebound_clicks": 16}
    >>> setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front}))
    >>> numbers_changed(setup, setup)
    ()

    References
    ----------
    Definition.
    """
    return tuple(
        NumberChange(end=new.end, what=what, before=one, after=other)
        for what in _ORDER
        for old, new in _pairs(before, after)
        if (one := _value(old, what)) != (other := _value(new, what)) and _shown(what, one) != _shown(what, other)
    )


def _pairs(before: Setup, after: Setup) -> Iterator[tuple[EndSetup | None, EndSetup]]:
    if after.front is not None:
        yield before.front, after.front
    if after.rear is not None:
        yield before.rear, after.rear


def _value(end: EndSetup | None, what: SetNumber) -> float | None:
    if end is None:
        return None
    if what in ("rebound_out", "compression_out"):
        start = end.rebound if what == "rebound_out" else end.compression
        return None if start is None else start.out
    if what == "second_pressure_pa":
        return None if end.second is None else end.second.pressure_pa
    if what in ("spring_rate_n_per_m", "preload_mm"):
        if end.coil is None or not end.coil.fits:
            return None
        return end.coil.preload_mm if what == "preload_mm" else end.coil.rate_n_per_m
    if end.coil is not None and what in ("pressure_pa", "volume_spacers"):
        return None
    return float(getattr(end, what))


def _shown(what: SetNumber, value: float | None) -> float | None:
    """Return a number as coarse as it is shown, so that nobody is told to change 84 to 84."""
    if value is None:
        return None
    if what == "spring_rate_n_per_m":
        return rate_n_per_mm(value)
    if what == "preload_mm":
        return preload_values(value)["preload"]
    if what in ("pressure_pa", "second_pressure_pa"):
        psi = value / PSI_PA
        return whole(psi) if psi >= _WHOLE_PSI else halves(psi)
    return halves(value)
