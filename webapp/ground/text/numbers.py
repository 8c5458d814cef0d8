"""How a quantity is written for people: rounded to what a gauge, a ruler or a thumb can follow, never "-0"."""

from __future__ import annotations

from datetime import datetime

from setup_rules.types.units import from_base

DASH = "–"


def number(value: float, places: int = 0) -> str:
    """Return `value` with `places` decimals; a rounded zero has no sign.

    Examples
    --------
    >>> number(-0.04, 1)
    '0.0'
    """
    return f"{round(value, places) + 0.0:.{places}f}"


def halves(value: float) -> str:
    """Return `value` to the nearest half, without a decimal when it is whole.

    Examples
    --------
    >>> halves(27.6), halves(28.1)
    ('27.5', '28')
    """
    rounded = round(value * 2) / 2 + 0.0
    return f"{rounded:.0f}" if rounded == int(rounded) else f"{rounded:.1f}"


def psi(pressure_pa: float) -> str:
    """Return a gauge pressure [Pa] in psi, without its unit: whole from 40 psi on, else to the nearest half."""
    # Rounded far below any gauge first, so that 83.5 does not fall as 83.49999999999996.
    value = round(from_base("pressure", pressure_pa, "psi"), 6)
    return number(value) if value >= 39.75 else halves(value)


def bar(pressure_pa: float) -> str:
    """Return a gauge pressure [Pa] in bar, without its unit, to two decimals."""
    return number(pressure_pa / 1e5, 2)


def psi_range(low_pa: float, high_pa: float) -> str:
    """Return two gauge pressures [Pa] as one range in psi, with the unit; one number where they print alike."""
    return f"{_range(psi(low_pa), psi(high_pa))} psi"


def bar_range(low_pa: float, high_pa: float) -> str:
    """Return two gauge pressures [Pa] as one range in bar, with the unit."""
    return f"{_range(bar(low_pa), bar(high_pa))} bar"


def mm_range(low_mm: float, high_mm: float) -> str:
    """Return two lengths [mm] as one range, with the unit."""
    return f"{_range(halves(low_mm), halves(high_mm))} mm"


def _range(low: str, high: str) -> str:
    return low if low == high else f"{low}{DASH}{high}"


def day(moment: datetime) -> str:
    """Return the day of a moment as it is written for people.

    Examples
    --------
    >>> day(datetime(2026, 5, 3))
    '3 May 2026'
    """
    return f"{moment.day} {moment:%B %Y}"
