"""The drawing of a chart: well-formed, inside its frame, every text escaped, in the words of the page."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

from webapp.library.actions.chart_fit import chart_fits
from webapp.library.pages.chart_page import ChartPage, present_charts
from webapp.library.pages.chart_plot import HEIGHT, LEFT, RIGHT, TOP, WIDTH, chart_plot
from webapp.library.parsing import read_suspension_unit

SVG = "{http://www.w3.org/2000/svg}"


def page(*rows: list[float]) -> ChartPage:
    """Return the page of one chart of an invented fork."""
    chart = {"travel_mm": 140, "rows": list(rows)}
    suspension_unit = {"kind": "fork", "name": "Fen 34", "stanchion_mm": 34, "travels_mm": [140], "charts": [chart]}
    return present_charts(chart_fits(read_suspension_unit(suspension_unit)))[0]


def points(path: str) -> list[tuple[float, float]]:
    """Return the points of a path of straight pieces."""
    return [(float(x), float(y)) for x, y in re.findall(r"([\d.]+) ([\d.]+)", path)]


def test_heavier_riders_lie_further_right_and_higher_up() -> None:
    root = ElementTree.fromstring(chart_plot(page([55, 60], [80, 88], [105, 119])))  # noqa: S314 our own drawing
    group = next(g for g in root.iter(f"{SVG}g") if g.get("class") == "plot-curve")
    dots = [(float(dot.get("cx", 0)), float(dot.get("cy", 0))) for dot in group]
    assert len(dots) == 3
    assert [x for x, _ in dots] == sorted(x for x, _ in dots)
    assert [y for _, y in dots] == sorted((y for _, y in dots), reverse=True)


def test_everything_drawn_stays_inside_the_frame() -> None:
    for rows in ([[20, 5], [150, 400]], [[79, 80], [80, 300]], [[55, 60], [80, 88], [105, 119]]):
        root = ElementTree.fromstring(chart_plot(page(*rows)))  # noqa: S314
        curves = [p for p in root.iter(f"{SVG}path") if p.get("class") in ("plot-band", "plot-load", "plot-curve")]
        drawn = [at for curve in curves if "L" in curve.get("d", "") for at in points(curve.get("d", ""))]
        assert len(drawn) > 40
        assert all(LEFT <= x <= WIDTH - RIGHT and TOP <= y <= HEIGHT for x, y in drawn), rows


def test_words_cannot_become_marks() -> None:
    drawn = chart_plot(replace(page([55, 60], [105, 119]), chart_word="<b>&", title='"><script>'))
    assert "<script" not in drawn
    assert "&lt;b&gt;&amp;" in drawn


def test_a_chart_without_a_model_is_drawn_alone() -> None:
    bare = replace(page([55, 60], [105, 119]), model=(), low=(), high=())
    assert "plot-band" not in chart_plot(bare)
    assert "plot-curve" in chart_plot(bare)
