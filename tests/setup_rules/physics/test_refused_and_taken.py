"""The last numbers that a relation takes and the first that it refuses."""

from __future__ import annotations

import pytest

from setup_rules.physics.atmosphere import ambient_pressure_pa
from setup_rules.physics.damping import damping_n_s_per_m, overshoot_from_ratio
from setup_rules.physics.gas import kelvin
from setup_rules.types.errors import LimitError


def test_half_a_kelvin_is_above_absolute_zero() -> None:
    assert kelvin(-272.65) == pytest.approx(0.5)


@pytest.mark.parametrize(("altitude_m", "hpa"), [(-2000.0, 1277.74), (11_000.0, 226.32)])
def test_both_ends_of_the_troposphere_have_their_pressure(altitude_m: float, hpa: float) -> None:
    # ISO 2533's table, remembered: 1277.74 and 226.32 hPa.
    assert ambient_pressure_pa(altitude_m) / 100 == pytest.approx(hpa, abs=0.01)


@pytest.mark.parametrize("altitude_m", [-2000.001, 11_000.001])
def test_beyond_them_the_relation_does_not_hold(altitude_m: float) -> None:
    with pytest.raises(LimitError):
        ambient_pressure_pa(altitude_m)


def test_less_than_a_newton_a_metre_and_less_than_a_kilogram_swing_too() -> None:
    # 2·0.5·√(0.25·0.04) = 0.1 N·s/m.
    assert damping_n_s_per_m(0.25, 0.04, 0.5) == pytest.approx(0.1)
    assert damping_n_s_per_m(0.25, 0.04, 0.0) == 0.0


@pytest.mark.parametrize(("rate", "mass"), [(0.0, 1.0), (-1.0, 1.0), (1.0, 0.0), (1.0, -1.0), (-1.0, -1.0)])
def test_without_a_rate_or_a_mass_nothing_swings(rate: float, mass: float) -> None:
    with pytest.raises(LimitError, match="above zero"):
        damping_n_s_per_m(rate, mass, 0.5)


@pytest.mark.parametrize("ratio", [1.0, 1.5, 0.0, -0.5])
def test_what_creeps_back_or_never_stops_has_no_overshoot(ratio: float) -> None:
    with pytest.raises(LimitError, match="overshoot"):
        overshoot_from_ratio(ratio)
