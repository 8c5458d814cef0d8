"""Draws a bike with a coil main spring: what its rider tells, and what nobody knows of it.

Forces are in N, lengths in mm, rates in N/mm, masses in kg. The spreads are the writer's own idea of real bikes, wider
than the rules' in places: springs off their print, a leverage curve that bends, air shut into a fork's lower legs
(which the rules leave out), preload set by eye.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np

GRAVITY = 9.80665
AIR = 0.101325
POUND_PER_INCH = 4.4482216152605 / 25.4


@dataclass
class Bike:
    """One end of one bike: `told` is its request, the rest is hidden; `specimens` are the springs seen so far."""

    end: str
    told: dict[str, Any]
    travel: float
    target: float
    body: float
    above: float
    share: float
    sine: float
    lever: tuple[float, float, float]
    gas: float
    friction: float
    leg_area: float
    leg_length: float
    habit: float
    most_preload: float
    chance: np.random.Generator
    specimens: dict[float, float] = field(default_factory=dict)

    def rate(self, printed: float) -> float:
        """Return the real rate of the spring with this print: the same whenever it is fitted again."""
        key = round(printed, 2)
        if key not in self.specimens:
            self.specimens[key] = printed * (1 + self.chance.normal(0, 0.02))
        return self.specimens[key]

    def ratio(self, x: float) -> float:
        """Return the leverage ratio at a compression; 1 for a fork."""
        start, fall, bend = self.lever
        share = x / self.travel
        return start * (1 - fall * share + bend * share * (1 - share))

    def force(self, x: float, rate: float, preload: float) -> float:
        """Return what the end pushes out with."""
        legs = 0.0
        if self.leg_area:
            legs = self.leg_area * AIR * (self.leg_length / (self.leg_length - x) - 1)
        return rate * (x + preload) + self.gas + legs

    def settle(self, weight: float, rate: float, preload: float) -> float:
        """Return where the end stands under a weight at the wheel or along the legs: by halving."""
        low, high = 0.0, self.travel
        for _ in range(60):
            middle = (low + high) / 2
            if self.force(middle, rate, preload) < weight * self.ratio(middle):
                low = middle
            else:
                high = middle
        return low

    def weight(self, share: float) -> float:
        """Return the weight with the rider standing with this share on the end."""
        return (self.body * share + self.above) * GRAVITY * self.sine

    def gap(self, rate: float, preload: float) -> float:
        """Return the sag that the O-ring would show without friction, in the rider's usual stance."""
        ridden = self.settle(self.weight(self.share), rate, preload)
        return ridden - self.settle(self.above * GRAVITY * self.sine, rate, preload)

    def measure(self, rate: float, preload: float, ways: tuple[int, ...]) -> list[float]:
        """Return a reading a way, to the millimetre: friction holds, the stance varies, the eye rounds.

        A way is 0 for any, −1 from above (eased on) and 1 from below.
        """
        today, readings = self.share + self.chance.normal(0, 0.008), []
        for way in ways:
            share = today + self.chance.normal(0, 0.004)
            any_way = float(np.clip(self.habit + self.chance.normal(0, 0.4), -1, 1))
            side = (way * float(self.chance.uniform(0.7, 1.0)) if way else any_way) * self.friction
            # Friction acts at the spring: as so much weight more or less along the leg or, by the ratio, at the wheel.
            at = self.ratio(self.target)
            ridden = self.settle(self.weight(share) + side / at, rate, preload)
            held = 0.3 * self.friction / self.ratio(0.0)
            rest = min(ridden, self.settle(self.above * GRAVITY * self.sine + held, rate, preload))
            error = self.chance.normal(0, 1.0 if self.end == "front" else 0.6)
            readings.append(max(1.0, float(round(ridden - rest + error))))
        return readings


def draw_bike(seed: int, number: int) -> Bike:
    """Return the bike of that number: every second one a fork."""
    chance = np.random.default_rng((seed, number))
    end = "front" if number % 2 == 0 else "rear"
    rider, kit = float(np.clip(chance.normal(76, 13), 45, 120)), float(chance.uniform(2, 8))
    bike, style = float(chance.uniform(12, 18)), str(chance.choice(["trail", "enduro", "downhill"]))
    front, part = float(chance.normal(0.385, 0.04)), float(chance.normal(0.475, 0.025))
    told: dict[str, Any] = {
        "rider_mass_kg": float(round(rider)),
        "bike_mass_kg": round(2 * bike) / 2,
        "riding_style": style,
    }
    if chance.random() < 0.5:
        told["kit_mass_kg"] = float(round(kit))
    draw = _draw_fork if end == "front" else _draw_shock
    return draw(chance, told, rider + kit, bike, (front, part))


def _draw_fork(
    chance: np.random.Generator, told: dict[str, Any], body: float, bike: float, shares: tuple[float, float]
) -> Bike:
    travel, angle = float(chance.choice([130, 140, 150, 160, 170, 180, 200])), float(chance.uniform(62.5, 67))
    percent = float(chance.choice([18, 20, 22, 25]))
    first, step, most = float(chance.uniform(5, 6)), float(chance.uniform(1.08, 1.14)), float(chance.uniform(6, 14))
    fork: dict[str, Any] = {
        "travel_mm": travel,
        "spring": "coil",
        "sag_target_percent": percent,
        "stocked_rates_n_per_mm": [round(first * step**n, 2) for n in range(12)],
        "preload_mm_max": round(most, 1),
        "coil_stroke_mm": travel + 25,
    }
    if chance.random() < 0.5:
        fork["head_angle_deg"] = round(angle, 1)
    bore = float(chance.uniform(29, 33))
    return Bike(
        end="front",
        told={**told, "front": fork},
        travel=travel,
        target=percent / 100 * travel,
        body=body,
        above=shares[1] * bike - float(chance.normal(3.2, 0.4)),
        share=shares[0],
        sine=math.sin(math.radians(angle)),
        lever=(1.0, 0.0, 0.0),
        gas=float(chance.uniform(0, 30)),
        friction=float(chance.uniform(8, 32)),
        leg_area=float(chance.uniform(1.9, 2.3)) * math.pi / 4 * bore**2,
        leg_length=float(chance.uniform(1.6, 3.0)) * travel,
        habit=float(chance.normal(0, 0.4)),
        most_preload=round(most, 1),
        chance=chance,
    )


def _draw_shock(
    chance: np.random.Generator, told: dict[str, Any], body: float, bike: float, shares: tuple[float, float]
) -> Bike:
    stroke, start = float(chance.choice([50, 55, 60, 65, 75])), float(chance.uniform(2.5, 3.2))
    fall, percent = float(chance.uniform(0.0, 0.25)), float(chance.choice([25, 28, 30, 33]))
    step, pitch = float(chance.choice([25, 50])), float(chance.uniform(1.0, 1.5))
    shock: dict[str, Any] = {
        "stroke_mm": stroke,
        "leverage_start": round(start, 2),
        "leverage_end": round(start * (1 - fall), 2),
        "spring": "coil",
        "sag_target_percent": percent,
        "stocked_rates_n_per_mm": [round(n * POUND_PER_INCH, 3) for n in np.arange(200, 851, step).tolist()][:40],
        "preload_mm_max": 3.0,
        "preload_pitch_mm": round(pitch, 2),
        "coil_stroke_mm": stroke + 5,
    }
    return Bike(
        end="rear",
        told={**told, "rear": shock},
        travel=stroke,
        target=percent / 100 * stroke,
        body=body,
        above=(1 - shares[1]) * bike - float(chance.normal(4.0, 0.5)),
        share=1 - shares[0],
        sine=1.0,
        lever=(start, fall, float(chance.normal(0, 0.02))),
        gas=float(chance.uniform(50, 140)),
        friction=float(chance.uniform(12, 50)),
        leg_area=0.0,
        leg_length=1.0,
        habit=float(chance.normal(0, 0.4)),
        most_preload=3.0,
        chance=chance,
    )
