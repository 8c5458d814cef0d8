"""A weight-pressure chart between its rows, against the formula written out.

Source: "A method for constructing local monotone piecewise cubic interpolants", SIAM J. Sci. Stat. Comput. 5 (1984):
slopes inside are the weighted harmonic mean of the two secants.

Confirmed: the slopes are computed again in this file for the inner intervals and put into the cubic Hermite form; the
paper was remembered, not opened. The code asks SciPy, so SciPy is no witness here.

Tolerance: rounding of doubles.
"""

from __future__ import annotations

import pytest

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.pressure_chart import chart_case, chart_mass_kg, chart_sag_percent, read_chart
from setup_rules.types.request import FrontEnd, SetupRequest

CHART = ((50.0, 55.0), (60.0, 62.0), (75.0, 80.0), (90.0, 92.0), (110.0, 120.0))


def inner_slope(i: int) -> float:
    """Return the slope at the inner row `i`: the weighted harmonic mean of the secants beside it."""
    (x0, y0), (x1, y1), (x2, y2) = CHART[i - 1], CHART[i], CHART[i + 1]
    before, after = x1 - x0, x2 - x1
    w1, w2 = 2 * after + before, after + 2 * before
    return (w1 + w2) / (w1 / ((y1 - y0) / before) + w2 / ((y2 - y1) / after))


def hermite(i: int, mass: float) -> float:
    """Return the cubic between the inner rows `i` and `i` + 1."""
    (x0, y0), (x1, y1) = CHART[i], CHART[i + 1]
    h = x1 - x0
    t = (mass - x0) / h
    return float(
        (2 * t**3 - 3 * t**2 + 1) * y0
        + (t**3 - 2 * t**2 + t) * h * inner_slope(i)
        + (-2 * t**3 + 3 * t**2) * y1
        + (t**3 - t**2) * h * inner_slope(i + 1)
    )


@pytest.mark.parametrize("mass", [60.0, 63.5, 70.0, 75.0, 82.0, 89.9])
def test_between_inner_rows_it_is_the_formula_written_out(mass: float) -> None:
    assert read_chart(CHART, mass).pressure_psi == pytest.approx(hermite(1 if mass < 75 else 2, mass), rel=1e-12)


@pytest.mark.parametrize(
    ("mass", "row", "psi", "outside"),
    [(40.0, 50.0, 55.0, True), (50.0, 50.0, 55.0, False), (75.0, 75.0, 80.0, False), (128.0, 110.0, 120.0, True)],
)
def test_a_row_is_its_own_and_beyond_the_ends_the_end_row_holds(
    mass: float, row: float, psi: float, outside: bool
) -> None:
    # An interpolant goes through its data; nothing is made up beyond them.
    found = read_chart(CHART, mass)
    assert (found.mass_kg, found.outside) == (row, outside)
    assert found.pressure_psi == pytest.approx(psi, rel=1e-12)


@pytest.mark.parametrize(
    ("means", "percent", "mass", "sag_mm"),
    [
        # 82 kg with kit, the chart's own 20 % of 140 mm; 70 kg without, its sag not known: our trail range, 22.5 %.
        ("rider_and_kit", 20.0, 82.0, 28.0),
        ("rider", None, 70.0, 31.5),
        ("rider", 30.0, 70.0, 42.0),
    ],
)
def test_a_charts_own_case_is_its_row_for_the_rider_as_it_weighs_them(
    means: str, percent: float | None, mass: float, sag_mm: float
) -> None:
    fork = FrontEnd(travel_mm=140.0, chart=CHART, chart_weight=means, chart_sag_percent=percent)  # type: ignore[arg-type]
    request = SetupRequest(rider_mass_kg=70.0, kit_mass_kg=12.0, riding_style="park", front=fork)
    model = EndModel("front", fork, request)
    assert chart_mass_kg(model) == mass
    assert chart_sag_percent(model) == pytest.approx(100 * sag_mm / 140, rel=1e-12)
    found = chart_case(model)
    assert found.pressure_pa / 6894.757293168 == pytest.approx(hermite(1 if mass < 75 else 2, mass), rel=1e-9)
    assert 1000 * found.sag_m == pytest.approx(sag_mm, rel=1e-9)
