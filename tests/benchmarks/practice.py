"""Print what the rules start riders with, class by class: `python -m tests.benchmarks.practice`.

Four riders with 4 kg of kit on six classes of forks and two shocks: start pressure [psi, gauge] with its 90 % band,
target sag, rebound out of 16 clicks. `tests/setup_rules/advice/test_practice.py` holds some of them against practice.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

from setup_rules import EndSetup, read_request, recommend
from setup_rules.types.units import PSI_PA

RIDERS_KG: Final = (50, 70, 90, 110)


@dataclass(frozen=True, slots=True)
class UnitClass:
    """A class of units on its usual bike: which end, its riding style, the bike's mass [kg], what is entered."""

    name: str
    end: str
    riding_style: str
    entered: dict[str, Any] = field(default_factory=dict)
    bike_mass_kg: float = 14.0


def fork(name: str, style: str, stanchion_mm: int, travel_mm: int, bike_mass_kg: float = 14.0) -> UnitClass:
    """Return a class of forks with its maximum out of the way."""
    entered = {"stanchion_mm": stanchion_mm, "travel_mm": travel_mm, "max_pressure_psi": 400, "rebound_clicks": 16}
    return UnitClass(name, "front", style, entered, bike_mass_kg)


def shock(start: float, end: float) -> UnitClass:
    """Return a class of shocks of 55 mm stroke at 28 % sag, with its maximum out of the way."""
    leverage = {"stroke_mm": 55, "leverage_start": start, "leverage_end": end, "sag_target_percent": 28}
    entered = {**leverage, "max_pressure_psi": 400, "rebound_clicks": 16}
    return UnitClass(f"shock 55 mm, leverage {start} to {end}", "rear", "trail", entered)


#: Bikes of 14 kg, the form's default, but for downhill: nobody rides 200 mm on less than about 17 kg.
CLASSES: Final = (
    fork("30 mm, 100 mm, cross-country", "cross_country", 30, 100),
    fork("32 mm, 120 mm, cross-country", "cross_country", 32, 120),
    fork("35 mm, 140 mm, trail", "trail", 35, 140),
    fork("36 mm, 150 mm, trail", "trail", 36, 150),
    fork("38 mm, 170 mm, enduro", "enduro", 38, 170),
    fork("40 mm, 200 mm, downhill", "downhill", 40, 200, bike_mass_kg=17.5),
    shock(2.8, 2.4),
    shock(3.0, 2.5),
)


def start_of(unit: UnitClass, rider_kg: float) -> EndSetup:
    """Return the start of a rider with 4 kg of kit on a unit that nobody has measured."""
    bike = {"rider_mass_kg": rider_kg, "riding_style": unit.riding_style, "bike_mass_kg": unit.bike_mass_kg}
    setup = recommend(read_request({**bike, unit.end: unit.entered}))
    found = setup.front if unit.end == "front" else setup.rear
    if found is None:
        raise KeyError(unit.end)
    return found


def start_psi(unit: UnitClass, rider_kg: float) -> float:
    """Return the start pressure [psi, gauge] of a rider on a unit."""
    return start_of(unit, rider_kg).pressure_pa / PSI_PA


def row(unit: UnitClass, rider_kg: float) -> str:
    """Return one line of the table."""
    end = start_of(unit, rider_kg)
    low, middle, high = (pa / PSI_PA for pa in (end.pressure_low_pa, end.pressure_pa, end.pressure_high_pa))
    sag = f"{end.sag_target_mm:.1f} mm ({end.sag_target_percent:.0f} %)"
    clicks = f"{end.rebound.out} of {end.rebound.total}" if end.rebound else "-"
    band = f"{low:.0f} to {high:.0f}"
    return f"{unit.name:<32}{rider_kg:>6}{middle:>9.0f}  {band:<12}{sag:<16}{clicks}"


def table() -> str:
    """Return the whole table as text."""
    lines = [f"{'class':<32}{'rider':>6}{'psi':>9}  {'90 %':<12}{'target sag':<16}rebound out"]
    return "\n".join([*lines, *(row(unit, rider) for unit in CLASSES for rider in RIDERS_KG)])


if __name__ == "__main__":
    print(table())
