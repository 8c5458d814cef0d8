"""The rear linkage: leverage over the stroke, and what it makes of travel and rate at the wheel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from setup_rules.types.errors import LimitError
from setup_rules.types.request import Pairs


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
        """Return the leverage ratio at a position in the stroke.

        LR(x), linear between the points and held constant beyond a table's first and last

        Parameters
        ----------
        stroke_m : float or array [m]
            From fully extended.

        Returns
        -------
        float or array [-]
            Wheel travel per stroke.

        Examples
        --------
        >>> round(Leverage.from_points(((0.0, 2.9), (55.0, 2.4))).at(0.0165), 3)
        2.75

        References
        ----------
        Definition of the leverage ratio, wheel travel per stroke.
        """
        if len(self.ratio) == 2:
            (x0, x1), (r0, r1) = self.position_m, self.ratio
            return r0 if r0 == r1 else r0 + (r1 - r0) / (x1 - x0) * (stroke_m - x0)
        return np.interp(stroke_m, self.position_m, self.ratio)

    def slope_at(self, stroke_m: Any) -> Any:
        """Return how fast the leverage ratio changes at a position in the stroke.

        dLR/dx; at a point of a table, that of the piece which begins there

        Parameters
        ----------
        stroke_m : float or array [m]
            From fully extended.

        Returns
        -------
        float or array [1/m]
            Below zero on a progressive linkage.

        Examples
        --------
        >>> round(Leverage.from_points(((0.0, 2.9), (55.0, 2.4))).slope_at(0.0165), 3)
        -9.091

        References
        ----------
        Slope of a polygon; definition of the leverage ratio.
        """
        if len(self.ratio) == 2:
            (x0, x1), (r0, r1) = self.position_m, self.ratio
            return (r1 - r0) / (x1 - x0)
        slopes = np.diff(self.ratio) / np.diff(self.position_m)
        index = np.searchsorted(np.asarray(self.position_m[1:-1]), stroke_m, side="right")
        return slopes[index]

    def wheel_travel_m(self, stroke_m: float) -> float:
        """Return the vertical wheel travel at a position in the stroke.

        x_w = ∫ LR dx

        Parameters
        ----------
        stroke_m : float [m]
            From fully extended, zero or more.

        Returns
        -------
        float [m]

        Raises
        ------
        LimitError
            For a negative stroke.

        Examples
        --------
        >>> linear = Leverage.from_points(((0.0, 2.9), (55.0, 2.4)))
        >>> round(1000 * linear.wheel_travel_m(0.055), 2)
        145.75

        References
        ----------
        Definition of the leverage ratio, wheel travel per stroke.
        """
        if not stroke_m >= 0.0:
            raise LimitError(f"A stroke of {1000 * stroke_m:g} mm is negative: measure from full extension.")
        inner = [x for x in self.position_m if 0.0 < x < stroke_m]
        at = np.array([0.0, *inner, stroke_m])
        return float(np.trapezoid(np.asarray(self.at(at)) * np.ones_like(at), at))


def wheel_rate_n_per_m(rate_n_per_m: float, force_n: float, ratio: float, ratio_slope_per_m: float) -> float:
    """Return the rate at the wheel of a spring behind a linkage.

    k_w = k_s/LR² − (F_s/LR²)·dLR/dx_w, with dLR/dx_w = (dLR/dx_s)/LR

    Parameters
    ----------
    rate_n_per_m : float [N/m]
        Rate of the spring where it stands.
    force_n : float [N]
        Force of the spring there.
    ratio : float [-]
        Leverage ratio there, above zero.
    ratio_slope_per_m : float [1/m]
        dLR/dx_s there: negative on a progressive linkage, which adds rate.

    Returns
    -------
    float [N/m]

    Raises
    ------
    ZeroDivisionError
        For a leverage ratio of zero.

    Examples
    --------
    >>> wheel_rate_n_per_m(80_000.0, 2000.0, 2.0, 0.0)
    20000.0

    References
    ----------
    Derivative of the wheel force F_s/LR over wheel travel; virtual work, any text on mechanics.
    """
    return rate_n_per_m / ratio**2 - force_n / ratio**2 * (ratio_slope_per_m / ratio)
