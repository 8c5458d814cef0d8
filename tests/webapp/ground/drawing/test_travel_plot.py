"""The plot of old and new curve: one scale for both, each named, nothing inline, nothing unescaped."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from setup_rules import read_request, recommend
from setup_rules.advice.travel_plan import TravelWish, plan_travel
from webapp.ground.drawing.force_plot import HEIGHT, LEFT, WIDTH, travel_plot
from webapp.travel.pages import TravelPlotPage, present_travel

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(params=[(100, 120), (120, 100)], ids=["longer", "shorter"])
def plot(request: pytest.FixtureRequest) -> TravelPlotPage:
    """The plot of a change of travel."""
    before, after = request.param
    front = {"travel_mm": before, "longest_travel_mm": 140, "stanchion_mm": 34}
    setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front}))
    wish = TravelWish(travel_mm=after, longest_travel_mm=140, spacers=((20.0, 2),))
    drawn = present_travel(plan_travel(setup, wish)).plot
    assert drawn is not None
    return drawn


def points(path: ET.Element) -> list[tuple[float, float]]:
    """Return the points of a path."""
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.get("d", ""))]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def test_both_curves_are_drawn_on_one_scale(plot: TravelPlotPage) -> None:
    svg = ET.fromstring(str(travel_plot(plot)))  # noqa: S314 our own drawing
    paths = {p.get("class"): p for p in svg.iter(f"{SVG}path")}
    new, old = points(paths["plot-curve"]), points(paths["plot-before"])
    ratio = (new[-1][0] - LEFT) / (old[-1][0] - LEFT)
    assert ratio == pytest.approx(plot.points[-1][0] / plot.before[-1][0], rel=0.01)
    for x, y in [*new, *old]:
        assert LEFT <= x <= WIDTH
        assert 0 <= y <= HEIGHT


def test_each_curve_is_named_beside_itself(plot: TravelPlotPage) -> None:
    svg = ET.fromstring(str(travel_plot(plot)))  # noqa: S314 our own drawing
    places = {t.text: float(t.get("y", "0")) for t in svg.iter(f"{SVG}text")}
    new, old = places[plot.curve_name], places[plot.before_label]
    # The shorter travel has the steeper curve, and so the name higher up.
    longer = plot.points[-1][0] > plot.before[-1][0]
    assert (new > old) == longer


def test_it_holds_no_style_and_no_markup_from_words(plot: TravelPlotPage) -> None:
    drawn = str(travel_plot(replace(plot, before_label="<b>", title="a & b")))
    assert "style=" not in drawn
    assert "<b>" not in drawn
    assert "a &amp; b" in drawn
