"""The springs of the second reckoning: what pushes at a compression, settled and in a quick move, in N, mm and MPa.

Source: Boyle, Gay-Lussac and the polytropic law (any text on thermodynamics), Hooke for steel; ISO 2533 for the air.
A second positive chamber behind a floating piston joins the first where both have one pressure; from there on their
air is one (Dalton: the amounts add up).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from tests.published.on_paper import PSI, RIDING, Chambers, Places, pressures, push


class Spring(Protocol):
    """Anything that carries a bike: a setting (psi of air, N/mm of steel) and a compression [mm] give a force [N]."""

    def settled(self, setting: float, x: float) -> float:
        """Return the push [N] once the air is as warm as its surroundings."""

    def quick(self, setting: float, x: float) -> Callable[[float], float]:
        """Return the push [N] over a quick move [mm] from a settled compression [mm]."""


def air_mpa(altitude_m: float) -> float:
    """Return the air's pressure [MPa] at a geopotential altitude [m] (ISO 2533, troposphere)."""
    return 0.101_325 * (1 - 0.0065 * altitude_m / 288.15) ** 5.2559


def places_of(body: dict[str, dict[str, float]]) -> Places:
    """Return where the springs are pumped and ridden: 20 °C at sea level; ridden where pumped by default."""
    bench = body.get("bench", {})
    ride = body.get("ride", bench)
    return Places(
        bench_air=air_mpa(bench.get("altitude_m", 0.0)),
        ride_air=air_mpa(ride.get("altitude_m", 0.0)),
        bench_k=273.15 + bench.get("temperature_c", 20.0),
        ride_k=273.15 + ride.get("temperature_c", 20.0),
    )


@dataclass(frozen=True, kw_only=True)
class Air:
    """An air spring, with or without a second positive chamber (mm³; its pressure over the first's, both gauge)."""

    inside: Chambers
    at: Places
    second: float = 0.0
    ratio: float = 1.0
    second_most: float = math.inf

    def second_psi(self, psi: float) -> float:
        """Return what is pumped into the second chamber [psi]: the ratio's, its maximum permitting here and there."""
        kept = [self.second_most, self.at_bench(self.second_most)] if math.isfinite(self.second_most) else []
        return min([self.ratio * psi, *kept])

    def on_ride(self, psi: float) -> float:
        """Return what a gauge shows on the ride [psi] of a gauge pressure at the bench [psi]."""
        return (self.at.acting(psi) - self.at.ride_air) / PSI

    def at_bench(self, psi: float) -> float:
        """Return the gauge pressure at the bench [psi] of which a gauge shows `psi` on the ride."""
        return ((psi * PSI + self.at.ride_air) * self.at.bench_k / self.at.ride_k - self.at.bench_air) / PSI

    def positive(self, psi: float, x: float) -> tuple[float, float]:
        """Return the pressure [MPa, absolute] on the positive piston at a compression and the room [mm³] behind it."""
        first, second = self.at.acting(psi), self.at.acting(self.second_psi(psi)) if self.second else math.inf
        room = self.inside.volume - self.inside.area * x
        alone = first * self.inside.volume / room
        if alone <= second:
            return alone, room
        return (first * self.inside.volume + second * self.second) / (room + self.second), room + self.second

    def beside(self, psi: float, x: float) -> tuple[float, float]:
        """Return the pressures [MPa, absolute] in the negative chamber and the lower legs: the first as at the port."""
        alone, negative, _ = pressures(self.inside, self.at, psi, self.inside.port)
        negative *= self.positive(psi, self.inside.port)[0] / alone
        behind = self.inside.negative_volume + self.inside.negative_area * self.inside.port
        negative *= behind / (self.inside.negative_volume + self.inside.negative_area * x)
        return negative, pressures(self.inside, self.at, psi, x)[2]

    def settled(self, setting: float, x: float) -> float:
        """Return the push [N] of a settled spring at a compression [mm]."""
        return push(self.inside, self.at, self.positive(setting, x)[0], *self.beside(setting, x), x)

    def quick(self, setting: float, x: float) -> Callable[[float], float]:
        """Return the push [N] over a quick move [mm] from a settled compression, each chamber polytropic from there."""
        s = self.inside
        positive, room = self.positive(setting, x)
        negative, legs = self.beside(setting, x)
        behind, in_legs = s.negative_volume + s.negative_area * x, s.leg_volume - s.leg_area * x

        def pushed(step: float) -> float:
            return push(
                s,
                self.at,
                positive * (room / (room - s.area * step)) ** RIDING,
                negative * (behind / (behind + s.negative_area * step)) ** RIDING,
                legs * (in_legs / (in_legs - s.leg_area * step)) ** RIDING,
                x + step,
            )

        return pushed


@dataclass(frozen=True, kw_only=True)
class Steel:
    """A coil main spring: preload [mm] and the push of the damper's gas [N]; the setting is its rate [N/mm]."""

    preload: float
    gas: float

    def settled(self, setting: float, x: float) -> float:
        """Return the push [N] at a compression [mm] (Hooke)."""
        return setting * (x + self.preload) + self.gas

    def quick(self, setting: float, x: float) -> Callable[[float], float]:
        """Return the push [N] over a quick move [mm]: steel knows no hurry."""
        return lambda step: self.settled(setting, x + step)
