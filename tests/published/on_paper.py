"""Statics and gas law as done on paper: what the worked whole answers are put into. Shares no line with the product.

Everything in N, mm, kg and MPa (N/mm²), where the product works in SI: a slip of a unit on either side shows. Nothing
is solved here. A worked answer names its pressure and its resting place; both are put into the balance of forces,
chamber by chamber from Boyle's law. Rates are differences of forces, no closed form.

Source: balance of moments and forces (any text on statics), Boyle, Gay-Lussac and the polytropic law (any text on
thermodynamics), virtual work and the damped oscillator (any text on vibration); ISO 2533 for the air.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

G = 9.80665  # m/s², conventional value
PSI = 0.006_894_757_293_168  # MPa, NIST SP 811
#: Geopotential altitude [m] -> air [MPa], ISO 2533 (digits as published with the design of this project).
AIR_AT = {0: 0.101_325, 500: 0.095_460_84, 1500: 0.084_555_99, 2000: 0.079_495_20, 3000: 0.070_108_53}
RIDING = 1.35  # polytropic exponent in motion, our estimate


@dataclass(frozen=True, kw_only=True)
class Chambers:
    """A spring's inside: areas mm², volumes mm³, lengths mm, gas N, coil N/mm."""

    travel: float
    bore: float
    volume: float
    negative_area: float = 0.0
    negative_volume: float = 1.0
    port: float = 0.0
    coil_rate: float = 0.0
    coil_length: float = 0.0
    leg_area: float = 0.0
    leg_volume: float = 1.0
    gas: float = 0.0

    @property
    def area(self) -> float:
        """Area of the positive piston [mm²]."""
        return math.pi / 4 * self.bore**2


@dataclass(frozen=True, kw_only=True)
class Places:
    """Where it is pumped and where it is ridden: air [MPa] and temperature [K]."""

    bench_air: float = AIR_AT[0]
    ride_air: float = AIR_AT[0]
    bench_k: float = 293.15
    ride_k: float = 293.15

    def acting(self, psi: float) -> float:
        """Return the absolute pressure on the ride [MPa] of a gauge pressure at the bench [psi] (Gay-Lussac)."""
        return (psi * PSI + self.bench_air) * self.ride_k / self.bench_k

    @property
    def leg_air(self) -> float:
        """Air shut into the lower legs at the bench, as warm as the ride [MPa]."""
        return self.bench_air * self.ride_k / self.bench_k


def force(s: Chambers, at: Places, psi: float, x: float) -> float:
    """Return the push [N] of a settled spring at a compression [mm], each chamber at its own pressure (Boyle)."""
    return push(s, at, *pressures(s, at, psi, x), x)


def pressures(s: Chambers, at: Places, psi: float, x: float) -> tuple[float, float, float]:
    """Return the pressures [MPa, absolute] of positive chamber, negative chamber and lower legs, settled."""
    p = at.acting(psi)
    positive = p * s.volume / (s.volume - s.area * x)
    at_port = p * s.volume / (s.volume - s.area * s.port)
    negative = at_port * (s.negative_volume + s.negative_area * s.port) / (s.negative_volume + s.negative_area * x)
    return positive, negative, at.leg_air * s.leg_volume / (s.leg_volume - s.leg_area * x)


def push(s: Chambers, at: Places, positive: float, negative: float, legs: float, x: float) -> float:
    """Return the sum of the forces [N] on the moving part at a compression [mm]."""
    coil = s.coil_rate * max(0.0, s.coil_length - x)
    air = at.ride_air
    return s.area * (positive - air) - s.negative_area * (negative - air) + s.leg_area * (legs - air) - coil + s.gas


def moved(s: Chambers, at: Places, psi: float, x: float) -> Callable[[float], float]:
    """Return the push [N] over a quick move [mm] about a settled compression, each chamber polytropic from there."""
    settled = pressures(s, at, psi, x)

    def quick(step: float) -> float:
        ratios = (
            (s.volume - s.area * x) / (s.volume - s.area * (x + step)),
            (s.negative_volume + s.negative_area * x) / (s.negative_volume + s.negative_area * (x + step)),
            (s.leg_volume - s.leg_area * x) / (s.leg_volume - s.leg_area * (x + step)),
        )
        after = [p * ratio**RIDING for p, ratio in zip(settled, ratios, strict=True)]
        return push(s, at, after[0], after[1], after[2], x + step)

    return quick


def fork_damping(s: Chambers, at: Places, psi: float, x: float, mass: float, angle: float, ratio: float) -> float:
    """Return the damping [N·s/m] along the leg: the mass moves up by sin(HA) of what the leg moves (virtual work)."""
    quick, step = moved(s, at, psi, x), 1e-3
    rate = (quick(step) - quick(-step)) / (2 * step) * 1000  # N/m
    return 2 * ratio * math.sqrt(rate * mass * math.sin(math.radians(angle)) ** 2)


def shock_damping(
    s: Chambers, at: Places, psi: float, x: float, mass: float, lever: Callable[[float], float], ratio: float
) -> float:
    """Return the damping [N·s/m] at the shock: that at the wheel times LR², since c_s·v_s² = c_w·(LR·v_s)²."""
    quick, step = moved(s, at, psi, x), 1e-3
    at_wheel = (quick(step) / lever(x + step) - quick(-step) / lever(x - step)) / (2 * step * lever(x)) * 1000  # N/m
    return 2 * ratio * math.sqrt(at_wheel * mass) * lever(x) ** 2


def clicks_out(damping: float, middle: float, total: int, closed_over_open: float = 6.0) -> float:
    """Return clicks out from fully closed: the middle click gives `middle`, every click the same ratio less."""
    per_click = closed_over_open ** (1 / total)
    return total / 2 - math.log(damping / middle) / math.log(per_click)


def pushed_through(s: Chambers, at: Places, psi: float, x: float, exponent: float) -> float:
    """Return the push [N] after one move from full extension to a compression [mm], every chamber polytropic.

    The negative chamber begins to expand on its own at the port; up to there both share one pressure.
    """
    p = at.acting(psi)
    positive = p * (s.volume / (s.volume - s.area * x)) ** exponent
    at_port = p * (s.volume / (s.volume - s.area * s.port)) ** exponent
    cut_off = s.negative_volume + s.negative_area * s.port
    negative = at_port * (cut_off / (s.negative_volume + s.negative_area * x)) ** exponent
    legs = at.leg_air * (s.leg_volume / (s.leg_volume - s.leg_area * x)) ** exponent
    return push(s, at, positive, negative, legs, x)


def stored(s: Chambers, at: Places, psi: float, exponent: float, steps: int = 20_000) -> float:
    """Return the work [N·mm] stored to full compression: strips of force times travel, each at its middle."""
    strip = s.travel / steps
    return sum(pushed_through(s, at, psi, (i + 0.5) * strip, exponent) for i in range(steps)) * strip
