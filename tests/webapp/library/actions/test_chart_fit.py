"""A printed chart beside the spring model without it."""

from __future__ import annotations

from typing import Any

import pytest
from scipy.interpolate import PchipInterpolator

from setup_rules import read_request, recommend
from setup_rules.types.units import PSI_PA
from webapp.library.actions.chart_fit import ChartFit, chart_fits
from webapp.library.parsing import read_suspension_unit

ROWS = [[55, 60], [80, 88], [105, 119]]


def fit(rows: list[list[float]], **changes: Any) -> ChartFit:
    """Return the fit of one chart of an invented fork."""
    chart = {"travel_mm": 140, "rows": rows, "sag_percent": 20.0} | changes
    suspension_unit = {
        "kind": "fork",
        "name": "Fen 34",
        "stanchion_mm": 34,
        "travels_mm": [140, 150],
        "charts": [chart],
    }
    return chart_fits(read_suspension_unit(suspension_unit))[0]


def test_the_model_is_what_the_rules_say_of_the_same_fork_without_its_chart() -> None:
    front = {"travel_mm": 140, "longest_travel_mm": 150, "stanchion_mm": 34, "sag_target_percent": 20}
    setup = recommend(read_request({"rider_mass_kg": 76, "kit_mass_kg": 4, "riding_style": "trail", "front": front}))
    assert setup.front is not None
    row = fit(ROWS).rows[1]
    assert (row.mass_kg, row.chart_psi) == (80, 88)
    assert row.model_psi == pytest.approx(setup.front.pressure_pa / PSI_PA)
    assert row.low_psi == pytest.approx(setup.front.pressure_low_pa / PSI_PA)
    assert row.high_psi == pytest.approx(setup.front.pressure_high_pa / PSI_PA)


def test_kit_comes_on_top_where_the_chart_means_the_rider_alone() -> None:
    with_kit, alone = fit(ROWS).rows[1], fit(ROWS, weight="rider").rows[1]
    assert alone.model_psi > with_kit.model_psi


def test_only_rows_beyond_the_models_range_are_outside() -> None:
    assert not any(row.outside for row in fit(ROWS).rows)
    assert [row.outside for row in fit([[55, 60], [80, 88], [105, 200]]).rows] == [False, False, True]


def test_a_chart_of_another_shape_than_a_spring_fits_worse() -> None:
    assert fit(ROWS).fit_percent < 5 < 7 < fit([[55, 60], [80, 65], [105, 140]]).fit_percent


def test_a_long_chart_is_compared_at_twelve_rows_with_both_ends() -> None:
    rows = fit([[40 + n, 40 + 1.3 * n] for n in range(60)]).rows
    assert len(rows) == 12
    assert (rows[0].mass_kg, rows[-1].mass_kg) == (40, 99)


def test_the_drawn_line_is_monotone_cubic_between_the_rows() -> None:
    line = fit(ROWS).line
    curve = PchipInterpolator(*zip(*ROWS, strict=True))
    assert [psi for _, psi in line] == pytest.approx([float(curve(mass)) for mass, _ in line])
    assert (line[0], line[-1]) == ((55.0, 60.0), (105.0, 119.0))
