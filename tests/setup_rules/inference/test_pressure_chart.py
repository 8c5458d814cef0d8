"""A weight-pressure chart: its rows, its ends, what cannot be a chart; values between rows are in tests/published."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules import Conditions, FrontEnd, LimitError, SetupRequest
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.pressure_chart import chart_case, chart_likelihoods, read_chart
from setup_rules.types.units import PSI_PA

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
    [
        ((50.0, 55.0),),
        ((50.0, 55.0), (50.0, 60.0)),
        ((50.0, 55.0), (60.0, 55.0)),
        ((60.0, 60.0), (50.0, 50.0)),
        ((60.0, 50.0), (50.0, 60.0)),
    ],
)
def test_what_does_not_rise_is_no_chart(chart: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(LimitError, match="rising"):
        read_chart(chart, 55.0)


def rows_of(rider_kg: float, **fork: object) -> list[tuple[float, float, float, float, float]]:
    """Return (rider kg, kit kg, psi, sag mm, blur mm) of each row that a fork's chart is weighed by."""
    end = FrontEnd(travel_mm=140.0, **{"chart": CHART, **fork})  # type: ignore[arg-type]
    bench = Conditions(temperature_c=-5.0, altitude_m=2500.0)
    request = SetupRequest(rider_mass_kg=rider_kg, kit_mass_kg=5.0, riding_style="park", front=end, bench=bench)
    found = []
    for one in chart_likelihoods(EndModel("front", end, request)):
        ((side, sag),) = one.groups
        assert side == 0
        assert one.frictionless
        of, psi = one.model.request, (one.acting - 101_325.0) / PSI_PA
        found.append((of.rider_mass_kg, of.kit_mass_kg, psi, 1000 * float(sag[0]), 1000 * one.reading_sigma_m))
    return found


def test_a_chart_is_weighed_at_the_rider_and_more_loosely_at_its_ends() -> None:
    # 70 + 5 kg stand in the third row; the trail range's middle, 22.5 % of 140 mm; 1.5 and 3.5 % of 140 mm.
    assert rows_of(70.0) == [
        pytest.approx((75.0, 0.0, 80.0, 31.5, 2.1)),
        pytest.approx((50.0, 0.0, 55.0, 31.5, 4.9)),
        pytest.approx((110.0, 0.0, 120.0, 31.5, 4.9)),
    ]


def test_an_end_of_the_chart_is_not_weighed_twice() -> None:
    assert [row[0] for row in rows_of(50.0)] == [55.0, 110.0]
    assert [row[0] for row in rows_of(49.0)] == [54.0, 110.0]
    assert [row[0] for row in rows_of(51.0)] == [56.0, 50.0, 110.0]


def test_beyond_its_ends_a_chart_is_weighed_as_loosely_as_there() -> None:
    assert rows_of(120.0) == [
        pytest.approx((110.0, 0.0, 120.0, 31.5, 4.9)),
        pytest.approx((50.0, 0.0, 55.0, 31.5, 4.9)),
    ]


def test_a_chart_for_riders_without_kit_at_another_travel_and_sag_is_weighed_as_printed() -> None:
    rows = rows_of(75.0, chart_weight="rider", chart_travel_mm=160.0, longest_travel_mm=160.0, chart_sag_percent=20.0)
    assert rows[0] == pytest.approx((75.0, 5.0, 80.0, 32.0, 2.4))


def test_without_a_chart_nothing_is_weighed() -> None:
    assert rows_of(75.0, chart=None) == []


def test_what_a_chart_says_of_its_own_rider_is_its_row_at_sea_level() -> None:
    # 70 + 5 kg stand in the third row: 80 psi, 22.5 % of 140 mm.
    end = FrontEnd(travel_mm=140.0, chart=CHART)
    bench = Conditions(temperature_c=-5.0, altitude_m=2500.0)
    request = SetupRequest(rider_mass_kg=70.0, kit_mass_kg=5.0, riding_style="park", front=end, bench=bench)
    case = chart_case(EndModel("front", end, request))
    assert case.pressure_pa == pytest.approx(80.0 * 6894.757, rel=1e-6)
    assert case.sag_m == pytest.approx(0.0315)
    assert case.model.request.bench.altitude_m == 0.0
