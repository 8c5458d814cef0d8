"""What is believed of a spring end: a weighted set of drawn springs and loads, and what follows from it.

Without sag checks the set is a fixed evenly filled sample of `size_class.UNKNOWNS`, all of one weight;
`setup_rules.inference.likelihood` says what sag checks make of it.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any, Final

import numpy as np

from setup_rules.inference.size_class import (
    COLUMN,
    LOAD_UNKNOWNS,
    SPRING_UNKNOWNS,
    UNKNOWNS,
    draw_fork,
    draw_shock,
    evenly,
    normally,
)
from setup_rules.physics.air_spring import FORK, AirSpring, Site
from setup_rules.physics.atmosphere import ambient_pressure_pa
from setup_rules.physics.gas import kelvin
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.rider_load import leg_force_n, sprung_mass_kg, weight_n
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, Datum, EndName, FrontEnd, RearEnd, SetupRequest

DRAWS: Final = 512
#: Low and high of every band: 90 % of cases lie between.
BAND: Final = (0.05, 0.95)


@dataclass(frozen=True, slots=True)
class EndModel:
    """One spring end of one request: turns drawn unknowns into springs, loads and surroundings."""

    name: EndName
    end: FrontEnd | RearEnd
    request: SetupRequest

    @property
    def travel_m(self) -> float:
        """Travel or stroke [m]."""
        return self.end.compression_mm / 1000

    @property
    def leverage(self) -> Leverage:
        """Leverage over stroke; 1 throughout for a fork."""
        return Leverage.from_points(self.end.leverage_points) if isinstance(self.end, RearEnd) else FORK

    def springs(self, z: Any) -> AirSpring:
        """Return the springs for rows of unknowns z, shape (…, number of unknowns)."""
        return draw_fork(self.end, z) if isinstance(self.end, FrontEnd) else draw_shock(self.end, z)

    def sprung_kg(self, z: Any) -> Any:
        """Return the mass [kg] on this end for rows of unknowns z."""
        r = self.request
        front = self.front_share(z[..., COLUMN["share"]])
        share = front if self.name == "front" else 1.0 - front
        bike = self.bike_share(z)
        return sprung_mass_kg(r.rider_mass_kg + r.kit_mass_kg, r.bike_mass_kg, share, bike, self.unsprung_kg(z))

    def bike_share(self, z: Any) -> Any:
        """Return the share of the bike's weight on this end for rows of unknowns z."""
        front = normally(z[..., COLUMN["bike"]], c.BIKE_FRONT_SHARE)
        return front if self.name == "front" else 1.0 - front

    def unsprung_kg(self, z: Any) -> Any:
        """Return what hangs below the spring [kg] for rows of unknowns z: less on a light bike."""
        light = min(1.0, self.request.bike_mass_kg / c.UNSPRUNG_FULL_BIKE.value)
        return light * normally(z[..., COLUMN["unsprung"]], c.UNSPRUNG_MASS[self.name])

    def rest_load_n(self, z: Any, datum: Datum) -> Any:
        """Return the load [N] where the gap is read, as `load_n`; below zero where the wheel hangs from the spring."""
        unsprung = self.unsprung_kg(z)
        mass = self.bike_share(z) * self.request.bike_mass_kg - unsprung if datum == "bike_at_rest" else -unsprung
        return self._along(mass)

    def _along(self, mass_kg: Any) -> Any:
        end = self.end
        return leg_force_n(mass_kg, end.head_angle_deg) if isinstance(end, FrontEnd) else weight_n(mass_kg)

    def front_share(self, z: Any) -> Any:
        """Return the share of rider and kit on the front wheel for the load unknown z."""
        entered = self.request.rider_front_share_percent
        if entered is None:
            return normally(z, c.FRONT_SHARE[self.request.stance])
        return entered / 100 + c.FRONT_SHARE_ENTERED_SIGMA.value * z

    def load_n(self, z: Any) -> Any:
        """Return the load [N] for rows of unknowns z: along the legs (front), at the wheel (rear)."""
        return self._along(self.sprung_kg(z)) * (1.0 + c.MODEL_SIGMA.value * z[..., COLUMN["model"]])

    def friction_n(self, z: Any) -> Any:
        """Return the stick friction [N] at the spring for rows of unknowns z."""
        return evenly(z[..., COLUMN["friction"]], c.FRICTION[self.name])

    def site(self, conditions: Conditions) -> Site:
        """Return the surroundings there, the lower legs having been closed at the bench."""
        bench = self.request.bench
        leg = ambient_pressure_pa(bench.altitude_m) * kelvin(conditions.temperature_c) / kelvin(bench.temperature_c)
        return Site(ambient_pressure_pa(conditions.altitude_m), leg)

    def warming(self, conditions: Conditions) -> float:
        """Return absolute pressure there over absolute pressure at the bench, for a sealed spring."""
        return kelvin(conditions.temperature_c) / kelvin(self.request.bench.temperature_c)

    def bench_gauge_pa(self, set_abs_pa: Any, conditions: Conditions) -> Any:
        """Return what the pump has to read at the bench [Pa, gauge] for an absolute set pressure elsewhere."""
        return set_abs_pa / self.warming(conditions) - ambient_pressure_pa(self.request.bench.altitude_m)

    def set_abs_pa(self, bench_gauge_pa: float, conditions: Conditions) -> float:
        """Return the absolute set pressure elsewhere [Pa] of a spring pumped to a gauge pressure at the bench."""
        return (bench_gauge_pa + ambient_pressure_pa(self.request.bench.altitude_m)) * self.warming(conditions)


@dataclass(frozen=True, slots=True)
class Belief:
    """Drawn unknowns of one spring end, shape (draws, unknowns), and their weights, which add up to 1."""

    z: Any
    weight: Any

    @property
    def centre(self) -> Any:
        """The weighted mean of the unknowns, shape (unknowns,)."""
        return self.weight @ self.z

    def quantiles(self, values: Any, shares: tuple[float, ...]) -> tuple[float, ...]:
        """Return the values below which the given shares of the weight lie."""
        order = np.argsort(values)
        ranked, weight = values[order], self.weight[order]
        reached = np.cumsum(weight) - 0.5 * weight
        return tuple(float(v) for v in np.interp(shares, reached, ranked))

    def mean(self, values: Any) -> float:
        """Return the weighted mean of values, one a draw."""
        return float(self.weight @ values)


@functools.cache
def even_draws() -> Any:
    """Return `DRAWS` evenly filled rows of unknowns: a fixed sample, so that a request always has the same answer.

    An additive recurrence on the generalised golden ratio (remembered), mirrored about the middle
    and freed of correlation between the columns; load unknowns standard normal, spring unknowns even in 0…1.
    """
    width, half = len(UNKNOWNS), DRAWS // 2
    golden = 2.0
    for _ in range(40):
        golden = (1.0 + golden) ** (1.0 / (width + 1))
    steps = np.array([golden ** -(k + 1) for k in range(width)])
    uniform = np.clip((0.5 + np.outer(np.arange(1, half + 1), steps)) % 1.0, 1e-6, 1 - 1e-6)
    normal = NormalDist()
    upper = np.array([[normal.inv_cdf(float(u)) for u in row] for row in uniform])
    rows = np.concatenate([upper, -upper])
    rows = np.linalg.solve(np.linalg.cholesky(rows.T @ rows / len(rows)), rows.T).T
    loads = len(LOAD_UNKNOWNS)
    rows[:, loads:] = [[normal.cdf(float(z)) for z in row] for row in rows[:, loads:]]
    rows.setflags(write=False)
    return rows


def central_row() -> Any:
    """Return the row of unknowns in which everything has its central value."""
    return np.array([0.0] * len(LOAD_UNKNOWNS) + [0.5] * len(SPRING_UNKNOWNS))


@functools.cache
def prior_belief() -> Belief:
    """Return what is believed before any sag check: the stated spreads."""
    return Belief(even_draws(), np.full(DRAWS, 1.0 / DRAWS))
