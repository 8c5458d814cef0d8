"""Air pressure over altitude: its range and direction; its values are tested in tests/published."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.physics.atmosphere import ambient_pressure_pa
from setup_rules.types.errors import LimitError
from setup_rules.types.limits import LIMITS

ALTITUDES = st.floats(-2000, 11_000)


@given(ALTITUDES, ALTITUDES)
def test_the_higher_place_never_has_the_higher_pressure(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert ambient_pressure_pa(high) <= ambient_pressure_pa(low)


def test_every_altitude_that_may_be_entered_has_a_pressure() -> None:
    limit = LIMITS["altitude_m"]
    assert ambient_pressure_pa(limit.low) > 101_325 > ambient_pressure_pa(limit.high) > 40_000


@pytest.mark.parametrize("altitude_m", [-2000.5, 11_001, float("nan"), float("inf")])
def test_an_altitude_outside_the_troposphere_is_refused(altitude_m: float) -> None:
    with pytest.raises(LimitError, match="Altitude of"):
        ambient_pressure_pa(altitude_m)
