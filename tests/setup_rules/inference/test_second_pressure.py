"""The second chamber's pressure and maximum: what is entered, what stands in for it, and where each bound is met."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules import Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.inference.second_chamber import (
    absolute_ratio,
    has_second,
    second_maximum_pa,
    second_pressure_pa,
)

PSI = 6894.757293168


def fork(**more: Any) -> FrontEnd:
    """Return a fork with a second chamber at 1.8 times the pressure of the first."""
    known = {"travel_mm": 160.0, "stanchion_mm": 36.0, "second_volume_cm3": 45.0, "second_pressure_ratio": 1.8}
    return FrontEnd(**{**known, **more})


def pumped(first_psi: float, *, bench: Conditions | None = None, ride: Conditions | None = None, **more: Any) -> float:
    """Return the second chamber's pressure [psi] for one of the first."""
    end, here = fork(**more), bench or Conditions()
    asked = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=end, bench=here, ride=ride or here)
    return second_pressure_pa(end, asked, first_psi * PSI) / PSI


@pytest.mark.parametrize(
    ("volume", "ratio", "known"), [(45.0, 1.8, True), (45.0, None, False), (None, 1.8, False), (None, None, False)]
)
def test_an_end_has_a_second_chamber_once_volume_and_ratio_are_known(
    volume: float | None, ratio: float | None, known: bool
) -> None:
    assert has_second(fork(second_volume_cm3=volume, second_pressure_ratio=ratio)) is known


def test_its_own_maximum_comes_before_that_of_the_end_and_that_before_an_estimate() -> None:
    own = {"second_max_pressure_psi": 170.0}
    assert second_maximum_pa(fork(**own, max_pressure_psi=130.0)) / PSI == pytest.approx(170.0, abs=0.1)
    assert second_maximum_pa(fork(**own)) / PSI == pytest.approx(170.0, abs=0.1)
    assert second_maximum_pa(fork(max_pressure_psi=130.0)) / PSI == pytest.approx(130.0, abs=0.1)
    # Stanchions of 34 mm or more: 120 psi, our cautious estimate; a shock: 250 psi.
    assert second_maximum_pa(fork()) / PSI == pytest.approx(120.0, abs=0.1)
    assert second_maximum_pa(RearEnd(stroke_mm=55.0, leverage_start=2.6)) / PSI == pytest.approx(250.0, abs=0.1)


def test_without_a_ratio_both_chambers_get_the_same_pressure() -> None:
    assert pumped(80.0, second_pressure_ratio=None) == pytest.approx(80.0)


def test_the_second_is_never_pumped_below_the_first() -> None:
    # The piston would leave its stop at once: with a maximum of 60 psi both get what the first has.
    assert pumped(75.0, second_max_pressure_psi=60.0) == pytest.approx(75.0)


def test_the_maximum_of_a_colder_ride_is_not_raised_at_the_bench() -> None:
    warm, cold = Conditions(temperature_c=30.0), Conditions(temperature_c=0.0)
    assert pumped(100.0, bench=warm, ride=cold, second_max_pressure_psi=150.0) == pytest.approx(150.0, abs=0.1)


def test_the_maximum_of_a_ride_in_thinner_air_is_met_up_there() -> None:
    # At 3000 m a gauge reads more: 150 psi = 1034.21 kPa there is 1034.21 + 70.11 = 1104.32 kPa absolute, which at the
    # bench is 1104.32 − 101.325 = 1003.0 kPa = 145.47 psi.
    found = pumped(100.0, ride=Conditions(altitude_m=3000.0), second_max_pressure_psi=150.0)
    assert found == pytest.approx(145.47, abs=0.02)


def test_a_maximum_that_a_hot_ride_uses_up_leaves_the_pressure_of_the_first() -> None:
    # Nearly nothing may be pumped at −30 °C for 5 psi at 60 °C: (34.47 + 101.325)·243.15/333.15 < 101.325 kPa.
    cold, hot = Conditions(temperature_c=-30.0), Conditions(temperature_c=60.0)
    assert pumped(0.0, bench=cold, ride=hot, second_max_pressure_psi=5.0) == 0.0
    # Half a pascal in the first stays half a pascal in the second.
    half = 0.5 / PSI
    assert pumped(half, bench=cold, ride=hot, second_max_pressure_psi=5.0) == pytest.approx(half, rel=1e-12)


def test_the_ratio_of_absolute_pressures_counts_the_air_around() -> None:
    # (200 + 101.325)/(100 + 101.325) kPa.
    assert absolute_ratio(100_000.0, 200_000.0, Conditions()) == pytest.approx(301.325 / 201.325)
    assert absolute_ratio(100_000.0, 100_000.0, Conditions()) == 1.0


def test_a_first_chamber_without_air_counts_as_one_pascal() -> None:
    for first_pa, absolute in ((-101_325.0, 1.0), (-101_324.5, 1.0), (-101_323.5, 1.5)):
        assert absolute_ratio(first_pa, 0.0, Conditions()) == pytest.approx(101_325.0 / absolute)
