"""Sealed air against the worked values of the ideal gas and against CoolProp's real air.

Source: Boyle's, Gay-Lussac's and the polytropic law (any text on thermodynamics); real air from the equation of state
that CoolProp implements.

Confirmed: the ideal values were recomputed with `scipy` and by hand from the laws, the real ones with CoolProp in this
file.

Tolerance: the worked values' digits; for real air the 0.3 % that the ideal law is said to be worth.
"""

from __future__ import annotations

import pytest
from scipy.integrate import quad

from setup_rules.physics.air_pressure import AirPressure
from setup_rules.physics.gas import compression_ratio, hose_factor, work_factor
from setup_rules.types.constants import RIDE_EXPONENT
from setup_rules.types.request import Conditions
from tests.published.real_air import of_air

START_PA, BEFORE_M3, AFTER_M3 = 6.5e5, 165e-6, 125e-6
RATIO = BEFORE_M3 / AFTER_M3
PUMPED = AirPressure(Conditions(temperature_c=20.0, altitude_m=0.0))
ROOM_K, ATMOSPHERE_PA = 293.15, 101_325.0


@pytest.mark.parametrize(("exponent", "bar"), [(1.0, 8.5800), (1.2, 9.0699), (1.3, 9.3252), (1.4, 9.5878)])
def test_the_compressed_pressure_is_the_worked_one(exponent: float, bar: float) -> None:
    assert START_PA * compression_ratio(RATIO, exponent) / 1e5 == pytest.approx(bar, abs=5e-5)


def test_the_isothermal_work_is_the_worked_one() -> None:
    assert START_PA * BEFORE_M3 * float(work_factor(RATIO, 1.0)) == pytest.approx(29.776, abs=5e-4)


@pytest.mark.parametrize("exponent", [1.0, 1.2, 1.4])
def test_the_work_is_the_integral_of_pressure_over_volume(exponent: float) -> None:
    joules, _ = quad(lambda v: START_PA * (BEFORE_M3 / v) ** exponent, AFTER_M3, BEFORE_M3, epsabs=1e-12)
    assert START_PA * BEFORE_M3 * float(work_factor(RATIO, exponent)) == pytest.approx(joules, rel=1e-9)


@pytest.mark.parametrize(
    ("bar", "celsius", "expected_bar"),
    [(6.0, 0, 5.5215), (6.0, -10, 5.2823), (15.0, 40, 16.0925), (15.0, 60, 17.1850)],
)
def test_a_gauge_pressure_in_other_weather_is_the_worked_one(bar: float, celsius: float, expected_bar: float) -> None:
    there = Conditions(temperature_c=celsius, altitude_m=0.0)
    assert PUMPED.shown(PUMPED.acting(bar * 1e5, there), there) / 1e5 == pytest.approx(expected_bar, abs=5e-5)


def test_the_hose_takes_what_the_worked_value_says() -> None:
    assert 11.5385 * hose_factor(100.0, 4.0) == pytest.approx(12.0, abs=1e-4)


@pytest.mark.parametrize(
    ("gauge_bar", "chamber_cm3", "hose_cm3"), [(5.0, 170.0, 4.0), (12.0, 100.0, 4.0), (18.0, 60.0, 9.0)]
)
def test_real_air_that_spreads_into_a_hose_shows_what_the_factor_says(
    gauge_bar: float, chamber_cm3: float, hose_cm3: float
) -> None:
    # Mass is kept: the chamber's air and the hose's, which is ambient, share both volumes at room temperature.
    full = of_air("Dmass", "P", gauge_bar * 1e5 + ATMOSPHERE_PA, "T", ROOM_K)
    empty = of_air("Dmass", "P", ATMOSPHERE_PA, "T", ROOM_K)
    together = (full * chamber_cm3 + empty * hose_cm3) / (chamber_cm3 + hose_cm3)
    read_bar = (of_air("P", "Dmass", together, "T", ROOM_K) - ATMOSPHERE_PA) / 1e5
    assert read_bar * hose_factor(chamber_cm3, hose_cm3) == pytest.approx(gauge_bar, rel=1e-3)


def test_real_air_compressed_slowly_is_within_a_tenth_of_a_per_cent() -> None:
    density = of_air("Dmass", "P", 6.5e5, "T", ROOM_K)
    real_pa = of_air("P", "Dmass", density * 165 / 125, "T", ROOM_K)
    assert START_PA * compression_ratio(RATIO) == pytest.approx(real_pa, rel=1e-3)


def test_real_air_compressed_fast_is_within_three_tenths_of_a_per_cent() -> None:
    density = of_air("Dmass", "P", 6.5e5, "T", ROOM_K)
    entropy = of_air("Smass", "P", 6.5e5, "T", ROOM_K)
    real_pa = of_air("P", "Dmass", density * 165 / 125, "Smass", entropy)
    assert real_pa / 1e5 == pytest.approx(9.6149, abs=1e-3)
    assert START_PA * compression_ratio(RATIO, 1.4) == pytest.approx(real_pa, rel=3e-3)


@pytest.mark.parametrize("celsius", [-10.0, 0.0, 40.0])
def test_real_air_in_other_weather_is_within_three_tenths_of_a_per_cent(celsius: float) -> None:
    start_pa = 6e5 + ATMOSPHERE_PA
    density = of_air("Dmass", "P", start_pa, "T", ROOM_K)
    real_pa = of_air("P", "Dmass", density, "T", 273.15 + celsius)
    ideal_pa = PUMPED.acting(6e5, Conditions(temperature_c=celsius, altitude_m=0.0))
    assert ideal_pa == pytest.approx(real_pa, rel=3e-3)


def test_the_riding_exponent_lies_between_settled_and_the_heat_capacity_ratio_of_dry_air() -> None:
    ratio = of_air("Cpmass", "P", ATMOSPHERE_PA, "T", ROOM_K) / of_air("Cvmass", "P", ATMOSPHERE_PA, "T", ROOM_K)
    assert ratio == pytest.approx(1.4020, abs=5e-5)
    assert 1.0 < RIDE_EXPONENT.value < ratio
