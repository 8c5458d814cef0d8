"""What is said of a chart beside the model."""

from __future__ import annotations

from webapp.library.actions.chart_fit import ChartFit, ComparedRow
from webapp.library.pages.chart_page import ChartPage, present_charts
from webapp.library.suspension_unit import SuspensionUnitChart


def page(*rows: tuple[float, float, float, float, float], fit: float = 0.4, sag: float | None = None) -> ChartPage:
    """Return the page of a chart with these compared rows."""
    chart = SuspensionUnitChart(travel_mm=140, rows=tuple((row[0], row[1]) for row in rows), sag_percent=sag)
    return present_charts([ChartFit(chart, fit, tuple(ComparedRow(*row) for row in rows))])[0]


def test_a_chart_within_the_range_carries_no_caution() -> None:
    shown = page((60, 70, 66, 50, 90), (80, 88, 88.2, 70, 120))
    assert shown.caution == ""
    assert shown.rows == (("60", "70", "50–90", "+6 %", ""), ("80", "88", "70–120", "0 %", ""))


def test_one_row_outside_is_named_with_its_difference() -> None:
    shown = page((60, 40, 66, 50, 90), (80, 88, 88, 70, 120))
    assert "One of 2 compared rows" in shown.caution
    assert "at 60 kg the chart asks for 39 % less" in shown.caution
    assert shown.rows[0][3:] == ("−39 %", "outside")


def test_of_several_rows_outside_the_worst_is_named() -> None:
    shown = page((60, 100, 66, 50, 90), (80, 180, 88, 70, 120), (100, 181, 110, 90, 180))
    assert "3 of 3 compared rows" in shown.caution
    assert "most at 80 kg: the chart asks for 105 % more" in shown.caution


def test_a_small_misfit_shows_its_decimal_and_the_sag_is_told_or_said_to_be_missing() -> None:
    assert "within 0.4 % of it" in page((60, 70, 66, 50, 90), (80, 88, 88, 70, 120)).description
    assert "within 12 % of it" in page((60, 70, 66, 50, 90), (80, 88, 88, 70, 120), fit=12.3).description
    assert "meant for 22.5 % sag" in page((60, 70, 66, 50, 90), (80, 88, 88, 70, 120), sag=22.5).note
    assert "was not entered" in page((60, 70, 66, 50, 90), (80, 88, 88, 70, 120)).note


def test_a_forks_chart_says_nothing_of_shocks() -> None:
    assert "shock" not in page((60, 70, 66, 50, 90), (80, 88, 88, 70, 120)).note
    chart = SuspensionUnitChart(travel_mm=55, rows=((60.0, 140.0), (80.0, 190.0)))
    shown = present_charts([ChartFit(chart, 0.4, (ComparedRow(60, 140, 140, 100, 180),), "shock")])[0]
    assert "A usual frame is assumed" in shown.note
