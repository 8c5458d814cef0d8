"""Leverage ratio of a rear linkage from the wheel travel, for people who do not know its curve."""

from __future__ import annotations

from typing import Final

#: How much the leverage of a usual linkage falls from the start to the end of the stroke (our estimate).
ASSUMED_FALL: Final = 0.15
#: How far leverage and wheel travel may disagree before one of them is taken for a slip (our estimate).
ALLOWED_MISMATCH: Final = 0.15


def leverage_from_travel(wheel_travel_mm: float, stroke_mm: float) -> tuple[float, float]:
    """Return (start, end) of a leverage that falls evenly by `ASSUMED_FALL` and gives the wheel travel.

    Their mean is wheel travel [mm] / stroke [mm], both above zero.

    Examples
    --------
    >>> start, end = leverage_from_travel(145.0, 55.0)
    >>> round(start, 3), round(end, 3)
    (2.85, 2.423)
    """
    start = wheel_travel_mm / stroke_mm / (1 - ASSUMED_FALL / 2)
    return start, start * (1 - ASSUMED_FALL)


def disagrees(start: float, end: float, wheel_travel_mm: float, stroke_mm: float) -> bool:
    """Return whether a leverage from `start` to `end` is far from the wheel travel [mm] over the stroke [mm]."""
    expected_mm = (start + end) / 2 * stroke_mm
    return abs(expected_mm - wheel_travel_mm) > ALLOWED_MISMATCH * wheel_travel_mm
