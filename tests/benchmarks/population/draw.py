"""Draw riders and what they tell first, then the hidden truth given what was told.

In this order the oracle is exact: it draws thousands of truths by the very function that drew the one true case.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from .ranges import FORK_SIZES, STYLES, Array, Ranges
from .spring import DATUMS, Datum, Hidden, ambient_pa, needed_psi, true_gap

Kind = Literal["fork, air negative", "fork, coil negative", "shock"]
KINDS: tuple[Kind, Kind, Kind] = ("fork, air negative", "fork, coil negative", "shock")
_STYLE_WEIGHTS: dict[Kind, tuple[float, ...]] = {
    "fork, air negative": (0.22, 0.36, 0.24, 0.10, 0.08),
    "fork, coil negative": (0.40, 0.40, 0.0, 0.0, 0.20),
    "shock": (0.22, 0.36, 0.27, 0.10, 0.05),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a rider can tell. Masses kg, lengths mm; None where the rider leaves it empty."""

    kind: Kind
    style: str
    seated: bool
    rider: float
    kit: float | None
    kit_zero: bool
    bike: float
    motor: bool
    altitude: float | None
    travel: float
    stanchion: int = 0
    angle: float | None = None
    leverage: tuple[float, float] = (1.0, 1.0)
    limit_psi: float | None = None
    target_percent: float | None = None

    @property
    def is_fork(self) -> bool:
        """A fork, or else a shock."""
        return self.kind != "shock"

    @property
    def end(self) -> Literal["front", "rear"]:
        """The end of the bike, in the interface's own words."""
        return "front" if self.is_fork else "rear"

    def request(self, inside: dict[str, Any] | None = None) -> dict[str, Any]:
        """Return what goes into the form; `inside` are internals that a shop knows from a data sheet."""
        request: dict[str, Any] = {
            "rider_mass_kg": self.rider,
            "bike_mass_kg": self.bike,
            "riding_style": self.style,
            "stance": "seated" if self.seated else "standing",
        }
        if self.kit is not None or self.kit_zero:
            request["kit_mass_kg"] = self.kit or 0.0
        if self.altitude is not None:
            request["bench"] = {"temperature_c": 20.0, "altitude_m": self.altitude}
        return {**request, self.end: {**self._unit(), **(inside or {})}}

    def _unit(self) -> dict[str, Any]:
        maybe = {
            "max_pressure_psi": self.limit_psi,
            "sag_target_percent": self.target_percent,
            "head_angle_deg": self.angle,
        }
        unit: dict[str, Any] = {name: value for name, value in maybe.items() if value is not None}
        if not self.is_fork:
            return {**unit, "stroke_mm": self.travel, **dict(zip(_LEVERAGE, self.leverage, strict=True))}
        negative = "coil" if "coil" in self.kind else "air"
        return {**unit, "travel_mm": self.travel, "stanchion_mm": float(self.stanchion), "negative_spring": negative}


_LEVERAGE = ("leverage_start", "leverage_end")


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One rider on one spring, and where on it the gap is read."""

    told: Told
    hidden: Hidden
    datum: Datum
    grain: float
    """The ruler's step [m]."""
    seed: int
    ranges: Ranges = field(repr=False)

    def true_gap_mm(self, gauge: float, fill: float = 1.0) -> float:
        """Return the settled gap without friction [mm] at a true gauge pressure [Pa]."""
        return 1e3 * float(true_gap(self.hidden, gauge, self.datum, fill))

    def shown_gap_mm(self, shown_psi: float) -> float:
        """Return the settled gap without friction [mm] when this rider's pump shows a pressure [psi]."""
        return self.true_gap_mm(max(0.0, self.hidden.gauge_pa(shown_psi)))

    def needed_psi(self, gap_mm: float) -> float:
        """Return what this rider's pump has to show [psi] for a settled gap without friction [mm]."""
        return float(needed_psi(self.hidden, 1e-3 * gap_mm, self.datum))

    def percent(self, gap_mm: float) -> float:
        """Return a length [mm] in per cent of travel."""
        return gap_mm / (10.0 * float(self.hidden.travel))

    def inside(self) -> dict[str, Any]:
        """Return the internals of the air spring as a data sheet rounds them."""
        h = self.hidden
        told = {"bore_mm": round(_diameter(h.area), 1), "positive_volume_cm3": round(1e6 * h.volume(0.0))}
        if h.coil_rate:
            rate, length = round(1e-3 * h.coil_rate, 1), round(1e3 * h.coil_length)
            return {**told, "negative_rate_n_per_mm": rate, "negative_length_mm": length}
        return {
            **told,
            "rod_mm": round(_diameter(h.area - h.negative_area), 1),
            "negative_volume_cm3": round(1e6 * h.negative_volume, 1),
            "port_position_mm": round(2e3 * h.port) / 2.0,
        }


def _diameter(area: float) -> float:
    return 2e3 * math.sqrt(area / math.pi)


def draw_cases(number: int, seed: int, ranges: Ranges | None = None) -> list[Case]:
    """Draw `number` cases of each kind, the same for the same seed; every third reads the gap with the wheel lifted."""
    ranges = ranges or Ranges()
    return [_draw_case(place, i, seed, ranges) for place in range(len(KINDS)) for i in range(number)]


def _draw_case(place: int, index: int, seed: int, ranges: Ranges) -> Case:
    rng = np.random.default_rng((seed, place, index))
    told = draw_told(KINDS[place], rng, ranges)
    return Case(
        told=told,
        hidden=draw_hidden(told, 1, rng, ranges).row(0),
        datum=DATUMS[1 if index % 3 == 2 else 0],
        grain=0.5e-3 if rng.random() < ranges.half_mm_share else 1e-3,
        seed=seed * 1_000_003 + place * 100_003 + index,
        ranges=ranges,
    )


def draw_told(kind: Kind, rng: np.random.Generator, ranges: Ranges) -> Told:
    """Draw a rider and everything that this rider enters."""
    style_name = str(rng.choice(list(STYLES), p=_STYLE_WEIGHTS[kind]))
    style, shares = STYLES[style_name], ranges.shares
    weight = 76.0 * math.exp(float(np.clip(rng.normal(0.0, 0.20), -0.52, 0.46)))
    step = 5.0 if rng.random() < shares.round_weight else 1.0
    motor = rng.random() < shares.motor
    unentered = rng.random() < shares.kit_unentered
    sag = style.front_sag if kind != "shock" else style.rear_sag
    has_target = rng.random() < shares.target_told
    return Told(
        kind=kind,
        style=style_name,
        seated=rng.random() < shares.seated,
        rider=step * round(weight / step),
        kit=None if unentered else float(round(_one(ranges.kit_told.draw(rng, 1)))),
        kit_zero=unentered and rng.random() < 0.5,
        bike=round(2.0 * (style.bike * _one(ranges.bike_scatter.draw(rng, 1)) + motor * 8.0)) / 2.0,
        motor=motor,
        altitude=float(round(_one(_altitudes(rng, 1, ranges)), -1)) if rng.random() < shares.bench_told else None,
        target_percent=float(rng.integers(sag[0], sag[1] + 1)) if has_target else None,
        **(_told_of_shock if kind == "shock" else _told_of_fork)(kind, style_name, rng, ranges),
    )


def _one(values: Array) -> float:
    return float(values[0])


def _altitudes(rng: np.random.Generator, number: int, ranges: Ranges) -> Array:
    return ranges.altitude.draw(rng, number) * (rng.random(number) < 0.5)


def _told_of_fork(kind: Kind, style: str, rng: np.random.Generator, ranges: Ranges) -> dict[str, Any]:
    sizes = [s for s in STYLES[style].stanchions if "coil" not in kind or s <= 35]
    stanchion = int(rng.choice(sizes))
    _, shortest, longest, _ = FORK_SIZES[stanchion]
    angle = STYLES[style].head_angle + _one(ranges.angle_untold.draw(rng, 1))
    limit = _one(ranges.fork_limit.draw(rng, 1)) + (25.0 if stanchion <= 32 else 0.0)
    return {
        "travel": float(rng.choice(range(shortest, longest + 1, 10))),
        "stanchion": stanchion,
        "angle": round(angle, 1) if rng.random() < ranges.shares.angle_told else None,
        "limit_psi": 5.0 * round(limit / 5.0) if rng.random() < ranges.shares.limit_told else None,
    }


def _told_of_shock(kind: Kind, style: str, rng: np.random.Generator, ranges: Ranges) -> dict[str, Any]:
    low, high = STYLES[style].stroke
    start = _one(ranges.leverage_start.draw(rng, 1))
    rises = rng.random() < ranges.shares.rising
    change = _one(ranges.leverage_rise.draw(rng, 1)) if rises else -_one(ranges.leverage_fall.draw(rng, 1))
    limit = _one(ranges.shock_limit.draw(rng, 1))
    return {
        "travel": float(rng.choice(np.arange(low, high + 0.1, 2.5))),
        "leverage": (round(20.0 * start) / 20.0, round(20.0 * start * (1.0 + change)) / 20.0),
        "limit_psi": 25.0 * round(limit / 25.0) if rng.random() < ranges.shares.limit_told else None,
    }


def draw_hidden(told: Told, number: int, rng: np.random.Generator, ranges: Ranges) -> Hidden:
    """Draw `number` truths that all agree with what was told."""
    r, style = ranges, STYLES[told.style]
    ambient, home = _draw_air(told, number, rng, r)
    kit = r.kit_untold.draw(rng, number) if told.kit is None else told.kit + r.kit_error.draw(rng, number)
    bike = told.bike + r.bike_error.draw(rng, number)
    if told.motor:
        bike = bike + r.bike_motor.draw(rng, number) - r.bike_motor.middle
    front = r.bike_front.draw(rng, number)
    stance = (r.front_seated if told.seated else r.front_standing).draw(rng, number)
    unsprung = rng.uniform(*(style.unsprung_front if told.is_fork else style.unsprung_rear), number)
    inside = _hidden_fork(told, number, rng, r, home) if told.is_fork else _hidden_shock(told, number, rng, r)
    return Hidden(
        travel=np.full(number, 1e-3 * told.travel),
        ambient=ambient,
        mass=told.rider + r.weight_error.draw(rng, number) + np.maximum(0.0, kit),
        share=stance if told.is_fork else 1.0 - stance,
        rest_mass=np.maximum(0.3, (front if told.is_fork else 1.0 - front) * bike - unsprung),
        unsprung=unsprung,
        bulge=r.bulge.draw(rng, number),
        habit=r.habit.draw(rng, number),
        gauge_scale=r.gauge_scale.draw(rng, number),
        gauge_offset=r.gauge_offset.draw(rng, number),
        leak_rate=r.leak_rate.draw(rng, number) * (rng.random(number) < r.shares.leak),
        **inside,
    )


def _draw_air(told: Told, number: int, rng: np.random.Generator, r: Ranges) -> tuple[Array, Array]:
    """Return the ambient and the lower legs' pressure [Pa, absolute] where and since they were last opened."""
    told_here = 0.0 if told.altitude is None else told.altitude + r.altitude_rounding.draw(rng, number)
    here = _altitudes(rng, number, r) if told.altitude is None else told_here
    elsewhere = rng.random(number) < r.shares.vented_elsewhere
    there = np.where(elsewhere, _altitudes(rng, number, r), here)
    return ambient_pa(here) * r.weather.draw(rng, number), ambient_pa(there) * r.weather.draw(rng, number)


def _hidden_fork(told: Told, number: int, rng: np.random.Generator, r: Ranges, home: Array) -> dict[str, Array]:
    bore, _, _, ratio = FORK_SIZES[told.stanchion]
    area = math.pi / 4.0 * (1e-3 * bore * r.fork_bore.draw(rng, number)) ** 2
    swept = area * 1e-3 * told.travel
    leg_area = area * r.leg_area.draw(rng, number)
    leg_volume = leg_area * 1e-3 * told.travel * r.leg_volume.draw(rng, number)
    offset = r.angle_untold.draw(rng, number) if told.angle is None else np.zeros(number)
    angle = (STYLES[told.style].head_angle if told.angle is None else told.angle) + offset
    inside = {
        **_chambers(area, swept, ratio + r.fork_ratio.draw(rng, number)),
        "along": np.sin(np.radians(angle)),
        "leg_area": leg_area,
        "leg_volume": leg_volume,
        "leg_air": home,
        "gas": r.fork_gas.draw(rng, number),
        "friction": r.fork_friction.draw(rng, number),
        "drag": r.fork_drag.draw(rng, number),
        **_straight(number, 1.0, 1.0, np.zeros(number)),
    }
    if "coil" in told.kind:
        reach = 1e-3 * told.travel * r.coil_reach.draw(rng, number)
        coil = {"coil_rate": r.coil_rate.draw(rng, number), "coil_length": reach}
        none = {"negative_area": np.zeros(number), "negative_volume": np.ones(number), "port": np.zeros(number)}
        return {**inside, **coil, **none}
    return {
        **inside,
        "coil_rate": np.zeros(number),
        "coil_length": np.zeros(number),
        "negative_area": area * r.fork_negative_area.draw(rng, number),
        "negative_volume": swept * r.fork_negative.draw(rng, number),
        "port": 1e-3 * told.travel * r.fork_port.draw(rng, number),
    }


def _hidden_shock(told: Told, number: int, rng: np.random.Generator, r: Ranges) -> dict[str, Array]:
    area = math.pi / 4.0 * (1e-3 * r.shock_bore.draw(rng, number)) ** 2
    swept = area * 1e-3 * told.travel
    # The rider rounds the leverage to a twentieth.
    start = told.leverage[0] + rng.uniform(-0.025, 0.025, number)
    end = told.leverage[1] + rng.uniform(-0.025, 0.025, number)
    zero = np.zeros(number)
    return {
        **_chambers(area, swept, r.shock_ratio.draw(rng, number)),
        **_straight(number, start, end, start * r.leverage_bow.draw(rng, number)),
        "along": np.ones(number),
        "leg_area": zero,
        "leg_volume": np.ones(number),
        "leg_air": zero,
        "gas": r.shock_gas.draw(rng, number),
        "friction": r.shock_friction.draw(rng, number),
        "drag": r.shock_drag.draw(rng, number),
        "coil_rate": zero,
        "coil_length": zero,
        "negative_area": area * r.shock_negative_area.draw(rng, number),
        "negative_volume": swept * r.shock_negative.draw(rng, number),
        "port": 1e-3 * told.travel * r.shock_port.draw(rng, number),
    }


def _chambers(area: Array, swept: Array, ratio: Array) -> dict[str, Array]:
    return {"area": area, "end_volume": swept / (ratio - 1.0)}


def _straight(number: int, start: Any, end: Any, bow: Array) -> dict[str, Array]:
    start, end = np.zeros(number) + start, np.zeros(number) + end
    return {"leverage_start": start, "leverage_end": end, "leverage_bow": bow}
