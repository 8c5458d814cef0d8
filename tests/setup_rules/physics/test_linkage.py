"""Leverage over the stroke and what it makes of travel and rate."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.physics.linkage import Leverage, wheel_rate_n_per_m
from setup_rules.types.errors import LimitError

RATIOS = st.floats(1.0, 5.0)


@given(RATIOS, RATIOS, st.floats(20, 100))
def test_a_straight_leverage_travels_its_mean_times_the_stroke(start: float, end: float, stroke_mm: float) -> None:
    leverage = Leverage.from_points(((0.0, start), (stroke_mm, end)))
    found_mm = 1000 * leverage.wheel_travel_m(stroke_mm / 1000)
    assert found_mm == pytest.approx(0.5 * (start + end) * stroke_mm, rel=1e-9)


@given(st.lists(RATIOS, min_size=2, max_size=8), st.floats(0, 1), st.floats(0, 1))
def test_wheel_travel_never_falls_over_the_stroke(ratios: list[float], one: float, other: float) -> None:
    leverage = Leverage.from_points(tuple((10.0 * i, r) for i, r in enumerate(ratios)))
    low, high = sorted((one, other))
    whole = leverage.position_m[-1]
    assert leverage.wheel_travel_m(high * whole) >= leverage.wheel_travel_m(low * whole) - 1e-12


def test_a_table_is_read_at_its_rows_and_between_them() -> None:
    leverage = Leverage.from_points(((0.0, 2.6), (20.0, 3.0), (55.0, 2.3)))
    assert float(leverage.at(0.02)) == pytest.approx(3.0)
    assert float(leverage.at(0.01)) == pytest.approx(2.8)
    assert float(leverage.slope_at(0.01)) == pytest.approx(20.0)
    assert float(leverage.slope_at(0.04)) == pytest.approx(-20.0)


def test_a_falling_leverage_adds_rate_at_the_wheel_and_a_rising_one_takes_it() -> None:
    level = wheel_rate_n_per_m(50_000, 1500, 2.5, 0.0)
    assert wheel_rate_n_per_m(50_000, 1500, 2.5, -8.0) > level > wheel_rate_n_per_m(50_000, 1500, 2.5, 8.0)


def test_a_negative_stroke_is_refused() -> None:
    with pytest.raises(LimitError, match="negative"):
        Leverage().wheel_travel_m(-0.001)


def test_a_straight_line_has_its_slope_wherever_its_first_row_lies() -> None:
    # From 2.9 at 10 mm to 2.5 at 50 mm: −0.4 in 0.04 m.
    assert float(Leverage((0.01, 0.05), (2.9, 2.5)).slope_at(0.02)) == pytest.approx(-10.0)
