"""What a spring end carries."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.physics.rider_load import axle_masses, leg_force_n, sprung_mass_kg, weight_n
from setup_rules.types.errors import LimitError
from setup_rules.types.units import Quantity


@given(st.lists(st.tuples(st.floats(0, 160), st.floats(0, 1200)), min_size=1, max_size=5))
def test_front_and_rear_axle_carry_everything_together(parts: list[tuple[float, float]]) -> None:
    front, rear = axle_masses(
        [Quantity(m, "kg") for m, _ in parts], [Quantity(d, "mm") for _, d in parts], Quantity(1200, "mm")
    )
    assert (front + rear).to("kg").magnitude == pytest.approx(sum(m for m, _ in parts), abs=1e-9)


def test_a_mass_over_an_axle_rests_on_it_alone() -> None:
    front, rear = axle_masses([Quantity(80, "kg")], [Quantity(1200, "mm")], Quantity(1.2, "m"))
    assert (front.magnitude, rear.magnitude) == pytest.approx((80.0, 0.0), abs=1e-9)


def test_a_wheelbase_of_nothing_is_refused() -> None:
    with pytest.raises(LimitError, match="wheelbase"):
        axle_masses([Quantity(80, "kg")], [Quantity(400, "mm")], Quantity(0, "mm"))


@given(st.floats(58, 76), st.floats(5, 80))
def test_the_legs_carry_less_than_the_weight_and_the_rest_bends_them(angle: float, mass: float) -> None:
    along = leg_force_n(mass, angle)
    across = weight_n(mass) * math.cos(math.radians(angle))
    assert math.hypot(along, across) == pytest.approx(weight_n(mass), rel=1e-12)


def test_the_lightest_rider_still_leaves_something_on_the_spring() -> None:
    assert sprung_mass_kg(20.0, 5.0, 0.1, 0.1, 6.0) == 1.0
