"""The rear linkage: leverage over the stroke, and what it makes of travel and rate at the wheel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from setup_rules.types.errors import LimitError
from setup_rules.types.request import Pairs
from setup_rules.types.units import Quantity


@dataclass(frozen=True, slots=True)
class Leverage:
    """Leverage ratio over stroke, linear between (stroke position [m], ratio) points, rising in position.

    A fork is the leverage of 1 throughout.
    """

    position_m: tuple[float, ...] = (0.0, 1.0)
    ratio: tuple[float, ...] = (1.0, 1.0)

    @classmethod
    def from_points(cls, points: Pairs) -> Leverage:
        """Build from (stroke position [mm], ratio) pairs."""
        return cls(tuple(mm / 1000 for mm, _ in points), tuple(r for _, r in points))

    def at(self, stroke_m: Any) -> Any:
        """Return the leverage ratio at a stroke position [m] (float or array); held constant beyond the ends."""
        if len(self.ratio) == 2:
            (x0, x1), (r0, r1) = self.position_m, self.ratio
            return r0 if r0 == r1 else r0 + (r1 - r0) / (x1 - x0) * (stroke_m - x0)
        return np.interp(stroke_m, self.position_m, self.ratio)

    def slope_at(self, stroke_m: Any) -> Any:
        """Return d(ratio)/d(stroke) [1/m] at a stroke position [m] (float or array)."""
        if len(self.ratio) == 2:
            (x0, x1), (r0, r1) = self.position_m, self.ratio
            return (r1 - r0) / (x1 - x0)
        slopes = np.diff(self.ratio) / np.diff(self.position_m)
        index = np.searchsorted(np.asarray(self.position_m[1:-1]), stroke_m, side="right")
        return slopes[index]

    def wheel_travel_m(self, stroke_m: float) -> float:
        """Return the wheel travel [m] at a stroke position [m]: the area under the leverage curve."""
        inner = [x for x in self.position_m if 0.0 < x < stroke_m]
        at = np.array([0.0, *inner, stroke_m])
        return float(np.trapezoid(np.asarray(self.at(at)) * np.ones_like(at), at))


def wheel_travel(leverage: Leverage, stroke: Any) -> Any:
    """Return the vertical wheel travel at a position in the stroke.

    x_w = ∫ LR dx

    Parameters
    ----------
    leverage : Leverage
        Leverage ratio over stroke.
    stroke : Quantity [length]
        Position in the stroke, zero or more.

    Returns
    -------
    Quantity [length]
        Wheel travel used.

    Raises
    ------
    LimitError
        For a negative stroke.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity
    >>> linear = Leverage.from_points(((0.0, 2.9), (55.0, 2.4)))
    >>> round(wheel_travel(linear, Quantity(55, "mm")).to("mm").magnitude, 2)
    145.75

    References
    ----------
    Definition of the leverage ratio, wheel travel per stroke.
    """
    metres = float(stroke.to("m").magnitude)
    if metres < 0:
        raise LimitError(f"A stroke of {stroke} is negative: measure from full extension.")
    return Quantity(leverage.wheel_travel_m(metres) * 1000, "mm")


def wheel_rate_n_per_m(rate_n_per_m: float, force_n: float, ratio: float, ratio_slope_per_m: float) -> float:
    """Return the rate at the wheel [N/m] of a spring of `rate` and `force` at the shock.

    k_w = k_s/LR² − (F_s/LR²)·dLR/dx_w, with dLR/dx_w = (dLR/dx_s)/LR.

    `ratio_slope_per_m` is dLR/dx_s [1/m]: negative on a progressive linkage, which adds rate.
    """
    return rate_n_per_m / ratio**2 - force_n / ratio**2 * (ratio_slope_per_m / ratio)
