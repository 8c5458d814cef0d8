"""A pressure pumped at the bench and what it is elsewhere: there and back, directions, surroundings."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.physics.air_pressure import AirPressure
from setup_rules.types.errors import LimitError
from setup_rules.types.request import Conditions

PLACES = st.builds(Conditions, temperature_c=st.floats(-20, 50), altitude_m=st.floats(-400, 5000))


@given(PLACES, PLACES, st.floats(1e5, 3e6))
def test_a_bench_pressure_comes_back_from_elsewhere(bench: Conditions, there: Conditions, gauge_pa: float) -> None:
    setting = AirPressure(bench)
    assert setting.bench_value(setting.acting(gauge_pa, there), there) == pytest.approx(gauge_pa, rel=1e-12)


@given(PLACES, st.floats(1e5, 3e6))
def test_where_it_was_pumped_the_gauge_shows_what_was_pumped(bench: Conditions, gauge_pa: float) -> None:
    setting = AirPressure(bench)
    assert setting.shown(setting.acting(gauge_pa, bench), bench) == pytest.approx(gauge_pa, rel=1e-12)


def test_colder_air_acts_less_and_a_higher_place_shows_more() -> None:
    setting, gauge_pa = AirPressure(Conditions(temperature_c=20.0, altitude_m=0.0)), 6e5
    cold, high = Conditions(temperature_c=0.0), Conditions(temperature_c=20.0, altitude_m=2000.0)
    assert setting.acting(gauge_pa, cold) < setting.acting(gauge_pa, Conditions(temperature_c=20.0))
    assert setting.shown(setting.acting(gauge_pa, high), high) > gauge_pa


def test_the_lower_legs_keep_the_air_of_the_bench_at_the_warmth_of_the_ride() -> None:
    site = AirPressure(Conditions(temperature_c=20.0, altitude_m=0.0)).site(
        Conditions(temperature_c=20.0, altitude_m=2000.0)
    )
    assert site.leg_pa == pytest.approx(101_325.0, rel=1e-12)
    assert site.ambient_pa < 80_000.0


def test_a_place_above_the_troposphere_is_refused() -> None:
    high = Conditions(altitude_m=12_000.0)
    with pytest.raises(LimitError, match="Altitude"):
        AirPressure(high).acting(6e5, Conditions())
    with pytest.raises(LimitError, match="Altitude"):
        AirPressure(Conditions()).shown(6e5, high)
