"""Numbers as fine as a sentence shows them: they stay numbers."""

from __future__ import annotations

import math
from typing import Final

#: From here on a gauge is read in whole psi, below it in halves.
_WHOLE_FROM_PSI: Final = 39.75

#: Turns this near to a quarter are that quarter: no thumb tells them apart.
_NEAR_QUARTER: Final = 0.03


def whole(value: float) -> int | float:
    """Return `value` as a whole number; what is none (infinite) stays as it is.

    Examples
    --------
    >>> whole(83.6)
    84
    """
    return int(f"{value:.0f}") if math.isfinite(value) else value


def places(value: float, count: int) -> float:
    """Return `value` with at most `count` decimals, never minus zero."""
    return round(value, count) + 0.0


def halves(value: float) -> float:
    """Return `value` to the nearest half: as fine as a sag can be read.

    Examples
    --------
    >>> halves(27.6), halves(28.1)
    (27.5, 28.0)
    """
    return round(2 * value) / 2


def expected_mm(expected: float, target: float) -> float:
    """Return an expected sag [mm] as it is shown: to the nearest half, as the target where less than half a mm apart.

    Nobody reads so fine a difference, and 33.5 beside a target of 34 looks like one.

    Examples
    --------
    >>> expected_mm(33.7, 33.8), expected_mm(33.2, 33.8), halves(33.7), halves(33.8)
    (34.0, 33.0, 33.5, 34.0)
    """
    return halves(target if abs(expected - target) < 0.5 else expected)


def as_typed(value: float) -> int | float:
    """Return what somebody entered to six figures, whole where it is whole.

    Examples
    --------
    >>> as_typed(140.0), as_typed(0.1 + 0.2)
    (140, 0.3)
    """
    figures = float(f"{value:.6g}")
    return int(figures) if math.isfinite(figures) and figures == int(figures) and abs(figures) < 1e15 else figures


def gauge_psi(pressure_psi: float) -> int | float:
    """Return a gauge pressure as a gauge is read: whole from 40 psi on, else to the nearest half.

    Examples
    --------
    >>> gauge_psi(83.5), gauge_psi(28.8)
    (84, 29)
    >>> gauge_psi(28.6)
    28.5
    """
    # Rounded far below any gauge first, so that 83.5 does not fall as 83.49999999999996.
    value = round(pressure_psi, 6)
    return whole(value) if value >= _WHOLE_FROM_PSI else as_typed(halves(value))


def spring_rate(rate_n_per_mm: float) -> int | float:
    """Return a spring rate [N/mm] as it is shown: to a tenth, as the steps between springs are larger.

    Examples
    --------
    >>> spring_rate(78.807), spring_rate(8.0)
    (78.8, 8)
    """
    return as_typed(places(rate_n_per_mm, 1))


def turns(count: float) -> float:
    """Return turns of an adjuster as they are told: in quarters, to a tenth where somebody set it in between.

    Examples
    --------
    >>> turns(1.26), turns(1.1)
    (1.25, 1.1)
    """
    near = quarters(count)
    return near if abs(count - near) <= _NEAR_QUARTER else places(count, 1)


def quarters(turns: float) -> int | float:
    """Return turns to the nearest quarter, as they are counted.

    Examples
    --------
    >>> quarters(1.2), quarters(2.0)
    (1.25, 2)
    """
    return as_typed(round(4 * turns) / 4)


def gauge_psi_below(pressure_psi: float) -> int | float:
    """Return the highest gauge pressure that a gauge shows (`gauge_psi`) and that is not above `pressure_psi`.

    Examples
    --------
    >>> gauge_psi_below(72.52), gauge_psi_below(150.0), gauge_psi_below(33.9)
    (72, 150, 33.5)
    """
    value = round(pressure_psi, 6)
    return math.floor(value) if value >= _WHOLE_FROM_PSI + 0.25 else as_typed(math.floor(2 * value) / 2)
