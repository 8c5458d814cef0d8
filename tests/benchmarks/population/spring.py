"""An air spring under a load, in SI units: force, the sag a load gives, the pressure a sag needs."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

SEA_LEVEL_PA = 101_325.0
GRAVITY = 9.80665
PSI = 6894.757293168


def ambient_pa(altitude_m: float) -> float:
    """Return the standard atmosphere's pressure [Pa] at a geopotential altitude [m]."""
    return SEA_LEVEL_PA * math.pow(1.0 - 0.0065 * altitude_m / 288.15, 5.2559)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spring:
    """The hidden internals of one spring. Lengths m, areas m², volumes m³; a coil negative has `coil_rate` > 0."""

    travel: float
    area: float
    end_volume: float
    ambient: float = SEA_LEVEL_PA
    negative_area: float = 0.0
    negative_volume: float = 0.0
    port: float = 0.0
    coil_rate: float = 0.0
    coil_length: float = 0.0
    leg_area: float = 0.0
    leg_volume: float = 0.0
    bulge: float = 0.0

    def volume(self, x: float) -> float:
        """Return the positive chamber's volume [m³] at compression x [m]; `bulge` is a share of A*T mid-travel."""
        share = self.bulge * math.sin(math.pi * x / self.travel)
        return self.end_volume + self.area * (self.travel - x + share * self.travel)

    def force(self, x: float, gauge: float, exponent: float = 1.0, fill: float = 1.0) -> float:
        """Return the force [N] at compression x for a set gauge pressure [Pa], read fully extended.

        `fill` is what cycling really left in the negative chamber, as a share of full equalisation.
        """
        inside = gauge + self.ambient
        full = self.volume(0.0)
        total = self.area * (inside * math.pow(full / self.volume(x), exponent) - self.ambient)
        if self.coil_rate:
            total -= max(0.0, self.coil_rate * (self.coil_length - x))
        else:
            # Equalising happens slowly, while cycling: without an exponent, unlike the compression after it.
            at_port = inside * full / self.volume(self.port) * fill
            swept = self.negative_volume + self.negative_area * self.port
            now = self.negative_volume + self.negative_area * x
            total -= self.negative_area * (at_port * math.pow(swept / now, exponent) - self.ambient)
        if self.leg_area:
            left = self.leg_volume - self.leg_area * x
            total += self.leg_area * self.ambient * (math.pow(self.leg_volume / left, exponent) - 1.0)
        return total


@dataclass(frozen=True, slots=True, kw_only=True)
class Linkage:
    """Leverage over stroke: straight from start to end, with a bow that the two end figures do not show."""

    start: float = 1.0
    end: float = 1.0
    bow: float = 0.0

    def ratio(self, share: float) -> float:
        """Return the leverage ratio at a share of the stroke."""
        return self.start + (self.end - self.start) * share + self.bow * 4.0 * share * (1.0 - share)


def bisect(rises: Callable[[float], float], low: float, high: float, steps: int = 44) -> float:
    """Return where a rising function crosses zero, or the end that is nearest to it."""
    if rises(low) >= 0.0:
        return low
    if rises(high) <= 0.0:
        return high
    for _ in range(steps):
        middle = 0.5 * (low + high)
        if rises(middle) < 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
