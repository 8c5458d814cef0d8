"""Draw riders, bikes and hidden springs; each case knows what is true and what its rider can tell."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from .spring import GRAVITY, PSI, Linkage, Spring, ambient_pa, bisect

GROUPS = ("fork, air negative", "fork, coil negative", "shock")

#: Stanchion [mm]: bore [mm], usual travel [mm], compression ratio.
CLASSES: dict[int, tuple[float, tuple[int, int], float]] = {
    30: (26.5, (80, 100), 2.5),
    32: (28.5, (80, 120), 2.5),
    34: (30.8, (120, 150), 2.5),
    35: (30.8, (120, 150), 2.5),
    36: (32.8, (140, 170), 2.55),
    38: (34.6, (160, 190), 2.55),
    40: (36.3, (180, 203), 2.6),
}
#: Style: stanchions, stroke [mm], bike [kg], head angle [deg], front and rear sag targets [%].
STYLES: dict[str, tuple[tuple[int, ...], tuple[int, int], float, float, tuple[int, int], tuple[int, int]]] = {
    "cross_country": ((30, 32, 34), (38, 50), 11.0, 68.0, (15, 20), (20, 25)),
    "trail": ((34, 35, 36), (45, 60), 14.0, 65.8, (20, 25), (25, 30)),
    "enduro": ((35, 36, 38), (55, 66), 15.5, 64.3, (20, 28), (28, 33)),
    "downhill": ((38, 40), (60, 75), 16.5, 63.3, (25, 33), (30, 35)),
    "park": ((30, 32, 34, 36), (45, 56), 13.5, 67.0, (10, 15), (15, 20)),
}
_STYLE_WEIGHTS: dict[str, tuple[float, ...]] = {
    "fork, air negative": (0.22, 0.36, 0.24, 0.10, 0.08),
    "fork, coil negative": (0.40, 0.40, 0.0, 0.0, 0.20),
    "shock": (0.22, 0.36, 0.27, 0.10, 0.05),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Effects:
    """How strongly the effects that a plain model lacks are at work: 1 as described in the package, 0 not at all."""

    unsettled: float = 1.0
    bulge: float = 1.0
    fill: float = 1.0
    gauge: float = 1.0
    side: float = 1.0
    breakaway: float = 1.0
    lean: float = 1.0
    drag: float = 1.0
    bow: float = 1.0
    told: float = 1.0

    @classmethod
    def none(cls) -> Effects:
        """Return a world in which a plain model with the right spreads is right."""
        return cls(**{spec.name: 0.0 for spec in fields(cls)})


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One rider on one spring. `request` is what the rider can tell, `known` what a shop with the unit's data can."""

    group: str
    end: str
    spring: Spring
    linkage: Linkage
    mass: float
    """Rider and kit [kg]."""
    share: float
    """The share of `mass` that this end carries in the riding stance."""
    rest: float
    """What the bike adds to this end less the unsprung mass [kg]."""
    along: float
    """The share of the load that acts along the leg; 1 on a shock."""
    friction: float
    side: float
    drag: float
    grain: float
    gauge_scale: float
    gauge_offset: float
    request: dict[str, Any]
    known: dict[str, Any]
    seed: int
    effects: Effects

    def load(self, x: float, share: float) -> float:
        """Return the load on the spring [N] at compression x [m] when this end carries `share` of the rider."""
        weight = (share * self.mass + self.rest) * GRAVITY * self.along
        return weight * self.linkage.ratio(x / self.spring.travel)

    def gauge_pa(self, shown_psi: float) -> float:
        """Return the true gauge pressure [Pa] behind what the pump shows [psi]."""
        return (shown_psi * self.gauge_scale + self.gauge_offset) * PSI

    def true_sag(self, gauge: float, fill: float = 1.0) -> float:
        """Return the settled sag without friction [m] at a true gauge pressure [Pa], in the rider's own stance."""
        spring = self.spring
        return bisect(lambda x: spring.force(x, gauge, 1.0, fill) - self.load(x, self.share), 0.0, spring.travel)

    def needed_psi(self, sag: float) -> float:
        """Return what the pump has to show [psi] for a settled sag [m] without friction."""
        load = self.load(sag, self.share)
        gauge = bisect(lambda p: self.spring.force(sag, p) - load, 0.0, 8e6)
        return (gauge / PSI - self.gauge_offset) / self.gauge_scale


def draw_cases(number: int, seed: int, effects: Effects = Effects()) -> list[Case]:
    """Draw `number` cases of each group, the same for the same seed; `effects` scales what a plain model lacks."""
    return [
        _draw_case(group, np.random.default_rng((seed, place, i)), seed * 1_000_003 + place * 100_003 + i, effects)
        for place, group in enumerate(GROUPS)
        for i in range(number)
    ]


def _bounded(rng: np.random.Generator, middle: float, sigma: float, low: float, high: float) -> float:
    while not low <= (value := rng.normal(middle, sigma)) <= high:
        pass
    return float(value)


def _draw_case(group: str, rng: np.random.Generator, seed: int, effects: Effects) -> Case:
    style = str(rng.choice(list(STYLES), p=_STYLE_WEIGHTS[group]))
    is_fork = group.startswith("fork")
    rider = math.exp(_bounded(rng, math.log(76.0), 0.20, math.log(45.0), math.log(120.0)))
    kit = float(rng.uniform(1.0, 8.0))
    bike = STYLES[style][2] * float(rng.uniform(0.88, 1.15)) + (8.0 if rng.random() < 0.2 else 0.0)
    seated = rng.random() < 0.15
    front_share = _bounded(rng, 0.31 if seated else 0.39, 0.035, 0.22, 0.52)
    bike_front = rng.uniform(0.45, 0.50)
    altitude = float(rng.choice([0.0, 1.0])) * float(min(2500.0, rng.exponential(700.0)))
    request: dict[str, Any] = {
        "rider_mass_kg": round(rider + effects.told * rng.normal(0.0, 1.0)),
        "kit_mass_kg": round(max(0.0, kit + effects.told * rng.normal(0.0, 1.0))),
        "bike_mass_kg": round(2.0 * (bike + effects.told * rng.normal(0.0, 0.5))) / 2.0,
        "riding_style": style,
        "stance": "seated" if seated else "standing",
    }
    if rng.random() < 0.5 or not effects.told:
        request["bench"] = {"temperature_c": 20.0, "altitude_m": float(round(altitude, -1))}
    air = ambient_pa(altitude) * (1.0 + effects.told * float(rng.normal(0.0, 0.008)))
    drawn = _draw_fork(group, style, air, rng) if is_fork else _draw_shock(style, air, rng)
    spring, linkage, angle, told, known = drawn
    spring = replace(spring, bulge=effects.bulge * spring.bulge)
    linkage = replace(linkage, bow=effects.bow * linkage.bow)
    if is_fork and not effects.told:
        told["head_angle_deg"] = round(angle, 1)
    if rng.random() < 0.3:
        low, high = STYLES[style][4] if is_fork else STYLES[style][5]
        told["sag_target_percent"] = float(rng.integers(low, high + 1))
    end = "front" if is_fork else "rear"
    if is_fork:
        share, rest = front_share, bike_front * bike - _bounded(rng, 3.2, 0.4, 2.0, 4.4)
    else:
        share, rest = 1.0 - front_share, (1.0 - bike_front) * bike - _bounded(rng, 4.0, 0.5, 2.5, 5.5)
    return Case(
        group=group,
        end=end,
        spring=spring,
        linkage=linkage,
        mass=rider + kit,
        share=share,
        rest=float(rest),
        along=math.sin(math.radians(angle)),
        friction=float(rng.uniform(8.0, 30.0) if is_fork else rng.uniform(15.0, 50.0)),
        side=float(rng.uniform(-0.6, 0.6)),
        drag=effects.drag * float(rng.uniform(0.0, 1e-3 if is_fork else 0.5e-3)),
        grain=float(rng.choice([1e-3, 0.5e-3], p=[0.7, 0.3])),
        gauge_scale=1.0 + effects.gauge * float(rng.normal(0.0, 0.015)),
        gauge_offset=effects.gauge * float(rng.normal(0.0, 0.7)),
        request={**request, end: told},
        known={**request, end: {**told, **known}},
        seed=seed,
        effects=effects,
    )


def _circle(diameter_mm: float) -> float:
    return math.pi / 4.0 * (diameter_mm * 1e-3) ** 2


_Drawn = tuple[Spring, Linkage, float, dict[str, Any], dict[str, Any]]


def _draw_fork(group: str, style: str, air: float, rng: np.random.Generator) -> _Drawn:
    has_coil = "coil" in group
    stanchion = int(rng.choice([s for s in STYLES[style][0] if not has_coil or s <= 35]))
    bore, (shortest, longest), ratio = CLASSES[stanchion]
    travel = (
        float(rng.choice(range(shortest, longest + 1, 10)))
        if longest != 203
        else float(rng.choice([180, 190, 200, 203]))
    )
    bore *= float(rng.uniform(0.98, 1.02))
    ratio += float(rng.uniform(-0.3, 0.3))
    area = _circle(bore)
    leg_area = area * 1.1 * float(rng.uniform(0.95, 1.05))
    spring, inside = _draw_chambers(area, travel, ratio, air, (0.90, 0.955), has_coil, rng)
    spring = _with_legs(spring, leg_area, leg_area * travel * 1e-3 * float(rng.uniform(1.6, 3.0)))
    angle = STYLES[style][3] + float(rng.uniform(-1.5, 1.5))
    told: dict[str, Any] = {"travel_mm": travel, "stanchion_mm": float(stanchion)}
    told["negative_spring"] = "coil" if has_coil else "air"
    if rng.random() < 0.5:
        told["head_angle_deg"] = round(angle, 1)
    return spring, Linkage(), angle, told, {"bore_mm": round(bore, 1), **inside}


def _draw_shock(style: str, air: float, rng: np.random.Generator) -> _Drawn:
    low, high = STYLES[style][1]
    stroke = float(rng.choice(np.arange(low, high + 0.1, 2.5)))
    bore = float(rng.uniform(36.0, 42.0))
    ratio = float(rng.uniform(2.2, 3.3))
    spring, inside = _draw_chambers(_circle(bore), stroke, ratio, air, (0.75, 0.92), False, rng)
    start = float(rng.uniform(2.6, 3.2))
    end = start * (1.0 - float(rng.uniform(0.05, 0.25)))
    linkage = Linkage(start=start, end=end, bow=start * float(rng.normal(0.0, 0.015)))
    told: dict[str, Any] = {"stroke_mm": stroke}
    told["leverage_start"], told["leverage_end"] = round(start * 20) / 20, round(end * 20) / 20
    return spring, linkage, 90.0, told, {"bore_mm": round(bore, 1), **inside}


def _draw_chambers(
    area: float,
    travel_mm: float,
    ratio: float,
    air: float,
    negative: tuple[float, float],
    has_coil: bool,
    rng: np.random.Generator,
) -> tuple[Spring, dict[str, Any]]:
    """Draw the chambers; with them the figures of a shop that knows the unit, rounded as a data sheet would be."""
    travel = travel_mm * 1e-3
    end_volume = area * travel / (ratio - 1.0)
    bulge = float(rng.normal(0.0, 0.01))
    known: dict[str, Any] = {"positive_volume_cm3": round((end_volume + area * travel) * 1e6)}
    if has_coil:
        rate, length = float(rng.uniform(2.5, 5.0)) * 1e3, float(rng.uniform(20.0, 40.0)) * 1e-3
        known |= {"negative_rate_n_per_mm": round(rate / 1e3, 1), "negative_length_mm": round(length * 1e3)}
        made = Spring(
            travel=travel, area=area, end_volume=end_volume, ambient=air, bulge=bulge,
            coil_rate=rate, coil_length=length,
        )  # fmt: skip
        return made, known
    negative_area = area * float(rng.uniform(*negative))
    negative_volume = area * travel * float(rng.uniform(0.08, 0.26))
    port = travel * float(rng.uniform(0.03, 0.08))
    known |= {
        "rod_mm": round(math.sqrt((area - negative_area) * 4.0 / math.pi) * 1e3, 1),
        "negative_volume_cm3": round(negative_volume * 1e6, 1),
        "port_position_mm": round(port * 2e3) / 2.0,
    }
    made = Spring(
        travel=travel, area=area, end_volume=end_volume, ambient=air, bulge=bulge,
        negative_area=negative_area, negative_volume=negative_volume, port=port,
    )  # fmt: skip
    return made, known


def _with_legs(spring: Spring, leg_area: float, leg_volume: float) -> Spring:
    return replace(spring, leg_area=leg_area, leg_volume=leg_volume)
