"""What a spring end carries."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.physics.rider_load import leg_force_n, sprung_mass_kg, weight_n


@given(st.floats(40, 160), st.floats(5, 40), st.floats(0.2, 0.8), st.floats(0.2, 0.8))
def test_front_and_rear_carry_everything_but_the_unsprung_masses(
    rider_and_kit: float, bike: float, share: float, bike_share: float
) -> None:
    front = sprung_mass_kg(rider_and_kit, bike, share, bike_share, 3.0)
    rear = sprung_mass_kg(rider_and_kit, bike, 1 - share, 1 - bike_share, 4.0)
    assert front + rear == pytest.approx(rider_and_kit + bike - 7.0, rel=1e-12)


@given(st.floats(58, 76), st.floats(5, 80))
def test_the_legs_carry_less_than_the_weight_and_the_rest_bends_them(angle: float, mass: float) -> None:
    along = leg_force_n(mass, angle)
    across = weight_n(mass) * math.cos(math.radians(angle))
    assert math.hypot(along, across) == pytest.approx(weight_n(mass), rel=1e-12)


def test_the_lightest_rider_still_leaves_something_on_the_spring() -> None:
    assert sprung_mass_kg(20.0, 5.0, 0.1, 0.1, 6.0) == 1.0
