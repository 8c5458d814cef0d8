"""A weight-pressure chart: its rows, its ends, what cannot be a chart; values between rows are in tests/published."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.inference.pressure_chart import read_chart
from setup_rules.types.errors import LimitError

CHART = ((50.0, 55.0), (60.0, 62.0), (75.0, 80.0), (90.0, 92.0), (110.0, 120.0))
MASSES = st.floats(40, 120)


@pytest.mark.parametrize(("mass", "pressure"), CHART)
def test_at_a_row_it_is_the_rows_pressure(mass: float, pressure: float) -> None:
    assert read_chart(CHART, mass).pressure_psi == pytest.approx(pressure, rel=1e-12)


@given(MASSES, MASSES)
def test_the_heavier_rider_never_gets_less(one: float, other: float) -> None:
    light, heavy = sorted((one, other))
    assert read_chart(CHART, heavy).pressure_psi >= read_chart(CHART, light).pressure_psi - 1e-9


@pytest.mark.parametrize(("mass", "end"), [(40.0, 55.0), (130.0, 120.0)])
def test_beyond_its_ends_it_stays_there_and_says_so(mass: float, end: float) -> None:
    reading = read_chart(CHART, mass)
    assert reading.outside
    assert reading.pressure_psi == end


@pytest.mark.parametrize(
    "chart",
    [((50.0, 55.0),), ((50.0, 55.0), (50.0, 60.0)), ((50.0, 55.0), (60.0, 55.0)), ((60.0, 60.0), (50.0, 50.0))],
)
def test_what_does_not_rise_is_no_chart(chart: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(LimitError, match="rising"):
        read_chart(chart, 55.0)
