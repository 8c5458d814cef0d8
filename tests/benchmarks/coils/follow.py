"""Asks for a spring, measures the sag, makes the one change that is advised, and says how far off the sag is then."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import setup_rules as rules

from .draw import Bike

#: Sag within so much of the travel is what is aimed at [%].
NEAR_PERCENT = 2.0
#: Ways to take the sag: three readings as they come, or two each way.
WAYS = {"three readings": (0, 0, 0), "two each way": (-1, -1, 1, 1)}


@dataclass(frozen=True)
class Followed:
    """One bike: misses of the true sag in per cent of the travel, and whether any spring to be had allows better."""

    end: str
    first: float
    by_hand: float
    after_one: float
    settled: bool
    changed: str
    in_band: bool
    allowed: bool


def follow(bike: Bike, ways: tuple[int, ...]) -> Followed:
    """Return what becomes of a bike with one change of spring or preload."""
    setup = rules.recommend(rules.read_request(bike.told))
    start = spring_of(setup, bike.end)
    first = bike.gap(bike.rate(start[0]), set_preload(bike, start[1]))
    preload = set_preload(bike, start[1])
    readings = bike.measure(bike.rate(start[0]), preload, ways)
    said: Any = {
        "end": bike.end,
        "spring_rate_n_per_mm": start[0],
        "preload_mm": round(start[1], 1),
        "readings_mm": [mm for mm, way in zip(readings, ways, strict=True) if way == 0],
        "readings_from_above_mm": [mm for mm, way in zip(readings, ways, strict=True) if way < 0],
        "readings_from_below_mm": [mm for mm, way in zip(readings, ways, strict=True) if way > 0],
        "confirm": True,
    }
    after = rules.apply_sag_check(setup, rules.read_sag_check(said))
    moved, end = spring_of(after, bike.end), after.front if bike.end == "front" else after.rear
    assert end is not None
    same = abs(moved[0] - start[0]) < 0.01
    final = bike.gap(bike.rate(moved[0]), preload if moved == start else set_preload(bike, moved[1]))
    hand = by_hand(bike, start, sum(readings) / len(readings))
    return Followed(
        end=bike.end,
        first=percent(bike, first),
        by_hand=percent(bike, bike.gap(bike.rate(hand), set_preload(bike, start[1]))),
        after_one=percent(bike, final),
        settled=bool(after.settled),
        changed="nothing" if moved == start else "preload" if same else "spring",
        in_band=end.sag_low_mm <= final <= end.sag_high_mm,
        allowed=is_allowed(bike),
    )


def spring_of(setup: rules.Setup, name: str) -> tuple[float, float]:
    """Return rate [N/mm] and preload [mm] of an answer."""
    end = setup.front if name == "front" else setup.rear
    assert end is not None
    assert end.coil is not None
    return round(end.coil.rate_n_per_m / 1000, 3), end.coil.preload_mm


def set_preload(bike: Bike, wanted: float) -> float:
    """Return the preload as a hand sets it: to about a sixth of a millimetre, never below none."""
    return max(0.0, wanted + float(bike.chance.normal(0, 0.15)))


def percent(bike: Bike, gap: float) -> float:
    """Return the miss of a sag in per cent of the travel."""
    return 100 * (gap - bike.target) / bike.travel


def by_hand(bike: Bike, start: tuple[float, float], seen: float) -> float:
    """Return the stocked rate that common practice takes: rate times measured over target, the nearest to be had."""
    stocked = bike.told[bike.end]["stocked_rates_n_per_mm"]
    return float(min(stocked, key=lambda rate: abs(rate - start[0] * seen / bike.target)))


def is_allowed(bike: Bike) -> bool:
    """Return whether any stocked spring, as printed, brings the true sag near the target inside the preload limit."""
    least = 0.0 if bike.end == "front" else 1.0
    for rate in bike.told[bike.end]["stocked_rates_n_per_mm"]:
        low, high = (percent(bike, bike.gap(rate, preload)) for preload in (bike.most_preload, least))
        if low <= NEAR_PERCENT and high >= -NEAR_PERCENT:
            return True
    return False
