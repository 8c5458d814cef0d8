"""The second reckoning with spread: springs, loads and riders drawn from the priors, in N, mm, kg and MPa.

Source: plain Monte Carlo (JCGM 101), weighed by what was read (importance weights). The priors are the design's; where
it has a first value only, taken from the product's own table of estimates, which is pinned elsewhere.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy import stats
from scipy.interpolate import PchipInterpolator
from scipy.stats import qmc

from tests.published import second_estimates as our
from tests.published import second_loads as loads
from tests.published import second_reckoning as second
from tests.published.on_paper import PSI
from tests.published.second_springs import places_of

Body = dict[str, Any]
Array = Any
NEGATIVE = {
    ("front", None): (0.08, 0.38),
    ("front", "small"): (0.08, 0.22),
    ("front", "large"): (0.22, 0.38),
    ("rear", None): (0.10, 0.55),
    ("rear", "small"): (0.10, 0.28),
    ("rear", "large"): (0.28, 0.55),
}
NEGATIVE_AREA = {"front": (0.90, 0.96), "rear": (0.73, 0.91)}
GAS = {"front": (0.0, 30.0), "rear": (50.0, 130.0)}
UNSPRUNG_SIGMA = {"front": 0.35, "rear": 0.45}
#: What the model leaves out of a load; what is left of it once the end's own wheel stood on a scale.
MODEL_SIGMA, WEIGHED_MODEL_SIGMA = 0.045, math.hypot(0.01, 0.03)


class Filled:
    """Columns of a scrambled Sobol sequence in the place of a generator: evenly filled, as the product's draws are."""

    def __init__(self, count: int, seed: int) -> None:
        """Lay out as many rows."""
        self.columns = iter(qmc.Sobol(16, seed=seed).random(count).T)

    def uniform(self, low: float, high: float, _count: int) -> Array:
        """Return the next column, spread evenly."""
        return low + (high - low) * next(self.columns)

    def standard_normal(self, _count: int) -> Array:
        """Return the next column, normal."""
        return stats.norm.ppf(next(self.columns))


@dataclass
class Draws:
    """As many draws of everything that is not known of one end of a request."""

    body: Body
    name: str
    count: int
    seed: int
    filled: bool = False
    rng: Any = field(init=False)

    def __post_init__(self) -> None:
        """Draw the spring first and the rider next, so that the same seed gives the same springs to every rider."""
        self.rng = Filled(self.count, self.seed) if self.filled else np.random.default_rng(self.seed)
        self.end, self.path = self.body[self.name], loads.path_of(self.name, self.body[self.name])
        self.longest, self.length = our.longest_of(self.end), self.path.length
        self._draw_spring()
        self.normals = {key: self.rng.standard_normal(self.count) for key in ("share", "bike", "unsprung", "model")}

    def even(self, low: float, high: float) -> Array:
        """Return draws spread evenly."""
        return self.rng.uniform(low, high, self.count)

    def _draw_spring(self) -> None:
        end, name = self.end, self.name
        bore, ratio = our.class_of(name, end)
        if name == "rear":
            bores, ratios = self.even(36.5, 45.5), self.even(2.2, 3.3)
        else:
            off = 0.02 if "stanchion_mm" in end else 0.07
            bores, ratios = bore * self.even(1 - off, 1 + off), ratio + self.even(-0.3, 0.3)
        self.area = math.pi / 4 * np.asarray(end.get("bore_mm", bores)) ** 2 * np.ones(self.count)
        taken = 1000.0 * (end.get("volume_spacers", 0) * our.SPACER_CM3[name] + end.get("air_lubricant_cm3", 0.0))
        squeezed = np.maximum(
            self.area * self.longest / (ratios - 1.0) - taken,
            0.05 * self.area * self.longest,
        )
        self.volume = squeezed + self.area * self.length
        if "positive_volume_cm3" in end:
            self.volume = 1000.0 * end["positive_volume_cm3"] - taken + np.zeros(self.count)
        self.behind_area = self.even(*NEGATIVE_AREA[name]) * self.area
        if "rod_mm" in end:
            self.behind_area = self.area - math.pi / 4 * end["rod_mm"] ** 2
        self.behind = self.even(*NEGATIVE[name, end.get("negative_size")]) * self.area * self.longest
        self.behind = 1000.0 * end["negative_volume_cm3"] if "negative_volume_cm3" in end else self.behind
        self.port = self.even(0.03, 0.08) * self.longest
        self.port = end.get("port_position_mm", self.port)
        self.legs = self.even(1.9, 2.3) * self.area if name == "front" else np.zeros(self.count)
        self.below = np.maximum(self.even(1.6, 3.0) * self.longest - (self.longest - self.length), 1.0) * self.legs
        self.gas = self.even(*GAS[name])

    def gain(self, x: Array) -> Array:
        """Return the push [N] for each MPa of absolute set pressure on the ride (Boyle, chamber by chamber)."""
        at_port = self.volume / (self.volume - self.area * self.port)
        grown = (self.behind + self.behind_area * self.port) / (self.behind + self.behind_area * x)
        return self.area * self.volume / (self.volume - self.area * x) - self.behind_area * at_port * grown

    def offset(self, x: Array, body: Body) -> Array:
        """Return the push [N] that no set pressure makes: the air outside, the lower legs, the damper's gas."""
        at = places_of(body)
        outside = (self.area - self.behind_area) * at.ride_air
        legs = np.where(self.legs > 0, self.below / np.where(self.legs > 0, self.below - self.legs * x, 1.0), 0.0)
        return self.legs * (at.leg_air * legs - at.ride_air * (self.legs > 0)) - outside + self.gas

    def shares(self, body: Body) -> tuple[Array, Array]:
        """Return drawn front shares of rider with kit and of the bike, before a scale."""
        sigma = our.ENTERED_SIGMA if "rider_front_share_percent" in body else our.SHARE_SIGMA
        return (
            loads.usual_share(body) + sigma * self.normals["share"],
            our.BIKE_SHARE + our.BIKE_SHARE_SIGMA * self.normals["bike"],
        )

    def loads(self, body: Body) -> tuple[Array, Array]:
        """Return the loads [N] along the spring, at the wheel behind: under the rider, and where the gap is read."""
        people, bike = self.shares(body)
        bags = {place: body.get(f"luggage_{place}_kg", 0.0) for place in our.END_NAMES}
        ahead = sum(our.LUGGAGE_SHARE[place] * kg for place, kg in bags.items())
        below = our.UNSPRUNG[self.name] + UNSPRUNG_SIGMA[self.name] * self.normals["unsprung"]
        below = below * min(1.0, loads.bike_kg(body) / 10.0)
        stands = bike * loads.bike_kg(body) + ahead
        if self.name == "rear":
            people, stands = 1.0 - people, loads.bike_kg(body) + sum(bags.values()) - stands
        sigma = WEIGHED_MODEL_SIGMA if f"{self.name}_axle_kg" in body else MODEL_SIGMA
        whole = (people * loads.people_kg(body) + stands - below) * (1.0 + sigma * self.normals["model"])
        newton = our.weight_on(1.0) * self.path.sine
        return newton * whole, newton * (stands - below)

    def lever(self, x: Array) -> Array:
        """Return wheel travel per travel of the spring."""
        return np.interp(x, *zip(*self.path.points, strict=True))

    def pressures(self) -> Array:
        """Return the pressures [psi gauge at the bench] that make the target sag, one a draw: bisection on the rest."""
        sag, (rider, alone) = second.target_of(self.body, self.name), self.loads(self.body)

        def acting(rest: Array) -> Array:
            x = np.minimum(rest + sag, 0.999 * self.length)
            return (rider * self.lever(x) - self.offset(x, self.body)) / self.gain(x)

        def over(rest: Array) -> Array:
            return acting(rest) * self.gain(rest) + self.offset(rest, self.body) - alone * self.lever(rest)

        rest = halved(over, np.zeros(self.count), np.full(self.count, 0.9 * (self.length - sag)))
        at = places_of(self.body)
        return (acting(rest) * at.bench_k / at.ride_k - at.bench_air) / PSI

    def gaps(self, body: Body, psi: float) -> Array:
        """Return the sags [mm] of a request's rider at a pressure [psi], one a draw."""
        acting, held = places_of(body).acting(psi), self.loads(body)
        deep, rest = (
            halved(
                lambda x, load=load: acting * self.gain(x) + self.offset(x, body) - load * self.lever(x),
                np.zeros(self.count),
                np.full(self.count, self.length),
            )
            for load in held
        )
        return deep - rest

    def chart_weights(self) -> Array:
        """Return how likely each draw is after the manual's chart: at this rider's weight, and less so at its ends.

        The chart's rider holds the mean share of those who stand, on a bare bike at 20 °C at sea level. That its sag is
        met within 1.5 % of the travel, 3.5 % at the ends, is the product's own estimate; the design has none. Tails
        are Student's of four degrees of freedom, as the design has them for readings.
        """
        kit = self.body.get("kit_mass_kg", 4.0) if self.end["chart_weight"] == "rider_and_kit" else 0.0
        own = self.body["rider_mass_kg"] + kit
        kilograms, psis = zip(*self.end["chart"], strict=True)
        rows = [(own, float(PchipInterpolator(kilograms, psis)(own)), 0.015)]
        rows += [(kg, psi, 0.035) for kg, psi in (self.end["chart"][0], self.end["chart"][-1]) if abs(kg - own) > 5.0]
        weight = np.ones(self.count)
        for kg, psi, sigma in rows:
            asked = second.chart_body(self.body, self.name, self.end, kg)
            same = Draws(asked, self.name, self.count, self.seed)
            same.normals["share"] = np.zeros(self.count)
            miss = same.gaps(asked, psi) - second.target_of(asked, self.name)
            weight = weight * (1.0 + (miss / (sigma * same.length)) ** 2 / 4.0) ** -2.5
        return weight

    def weights(self) -> Array:
        """Return how likely each draw is after the scales (all else equal)."""
        body = self.body
        people, bike = self.shares(body)
        whole = loads.people_kg(body) + loads.bike_kg(body)
        on_front = people * loads.people_kg(body) + bike * loads.bike_kg(body)
        weight = np.ones(self.count)
        for wheel in our.END_NAMES:
            if (reading := body.get(f"{wheel}_axle_kg")) is not None:
                noise = our.SCALE_KG**2 + (our.SCALE_OF_READING * reading) ** 2 + (our.STANCE_SIGMA * whole) ** 2
                noise += 0.0 if wheel == self.name else (our.STATED_SIGMA * whole) ** 2
                shown = on_front if wheel == "front" else whole - on_front
                weight = weight * np.exp(-0.5 * (shown - reading) ** 2 / noise)
        return weight


def halved(over: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Return where a rising function crosses zero, by bisection; `low` where it is above zero from there on."""
    for _ in range(34):
        middle = 0.5 * (low + high)
        short = over(middle) < 0.0
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return 0.5 * (low + high)


def weighed_quantile(values: Array, weights: Array, share: float) -> float:
    """Return the value below which a share of all weight lies."""
    order = np.argsort(values)
    summed = np.cumsum(weights[order])
    return float(np.interp(share * summed[-1], summed, values[order]))


def quantile_sigma(values: Array, weights: Array, share: float, count: float) -> float:
    """Return the sampling error of a quantile from `count` draws: √(q(1 − q)/n) in rank, turned into a value."""
    step = math.sqrt(share * (1.0 - share) / count)
    ends = (weighed_quantile(values, weights, min(max(share + side * step, 0.0), 1.0)) for side in (1, -1))
    return 0.5 * float(np.subtract(*ends))
