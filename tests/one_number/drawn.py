"""Setups drawn from a fixed seed, some of each kind that went wrong once, with what is measured and changed on them."""

from __future__ import annotations

import random
from typing import Any, Final

COUNT: Final = 64
KINDS: Final = ("usual", "usual", "limited", "child", "cold", "electric", "coil", "entered")


def draw_setup(number: int) -> dict[str, Any]:
    """Return the plain data of the setup `number`, which is of the kind `KINDS[number % 8]`."""
    rng = random.Random(number)
    kind = KINDS[number % len(KINDS)]
    light = kind == "child"
    data: dict[str, Any] = {
        "rider_mass_kg": round(rng.uniform(24, 42) if light else rng.uniform(50, 115), 1),
        "kit_mass_kg": round(rng.uniform(1, 8), 1),
        "bike_mass_kg": round(rng.uniform(8, 11) if light else rng.uniform(10, 17), 1),
        "riding_style": rng.choice(("cross_country", "trail", "enduro", "downhill", "park")),
        "bench": {"temperature_c": rng.randint(5, 28), "altitude_m": rng.randint(0, 900)},
    }
    if kind == "electric":
        data["bike_mass_kg"] = 25.0
    if kind == "cold":
        data["ride"] = {"temperature_c": -10, "altitude_m": 1800}
    ends = rng.choice((("front",), ("rear",), ("front", "rear")))
    if "front" in ends:
        data["front"] = _draw_fork(rng, kind)
    if "rear" in ends:
        data["rear"] = _draw_shock(rng, kind)
    return data


def _draw_fork(rng: random.Random, kind: str) -> dict[str, Any]:
    size, travels = rng.choice(((32, (100, 120)), (34, (120, 140)), (36, (150, 160)), (38, (170, 180))))
    fork: dict[str, Any] = {
        "travel_mm": rng.choice(travels),
        "stanchion_mm": size,
        "rebound_clicks": rng.randint(8, 24),
    }
    if kind == "child":
        fork |= {"travel_mm": 80, "stanchion_mm": 30}
    if kind == "coil":
        fork["negative_spring"] = "coil"
    if kind == "limited":
        fork |= rng.choice(({"max_pressure_psi": 45}, {"min_pressure_psi": 190, "max_pressure_psi": 250}))
    if kind == "entered":
        fork |= {"max_pressure_psi": 143.6, "compression_clicks": 12, "volume_spacers": 1}
        fork["sag_target_percent"] = rng.choice((17.5, 22, 26.5))
    return fork


def _draw_shock(rng: random.Random, kind: str) -> dict[str, Any]:
    shock: dict[str, Any] = {
        "stroke_mm": rng.choice((37.5, 45, 50, 55, 60, 65)),
        "leverage_start": round(rng.uniform(2.6, 3.1), 2),
        "leverage_end": round(rng.uniform(2.2, 2.6), 2),
        "rebound_clicks": rng.randint(8, 18),
        "max_pressure_psi": 350,
    }
    if kind == "limited":
        shock |= rng.choice(({"max_pressure_psi": 90}, {"min_pressure_psi": 290}))
    if kind == "entered":
        shock["compression_clicks"] = 8
    return shock


def draw_miss(number: int) -> float:
    """Return how far the measured sag of the setup `number` is from the expected one, as a factor."""
    return random.Random(1000 + number).choice((0.82, 0.93, 1.0, 1.08, 1.22))
