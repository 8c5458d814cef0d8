"""Pressure and sag over the revisions, drawn."""

from __future__ import annotations

import itertools
import re
from xml.etree import ElementTree

import pytest

from webapp.checks.pages.history_page import TrackPlot
from webapp.checks.pages.history_plot import HEIGHT, LOWER, UPPER, WIDTH, history_plot
from webapp.ground.drawing.axes import spread_ticks

SVG = "{http://www.w3.org/2000/svg}"


def plot(pressures: tuple[float, ...], measured: tuple[float | None, ...], title: str = "Fork") -> TrackPlot:
    """Return what is drawn for some revisions."""
    count = len(pressures)
    return TrackPlot(
        name="front",
        title=title,
        description="in words",
        revisions=tuple(range(1, count + 1)),
        pressures=pressures,
        target_mm=(28.0,) * count,
        expected_mm=(28.0,) * count,
        measured_mm=measured,
        pressure_label="Pressure, psi",
        sag_label="Sag, mm",
        across="Revision",
        target_word="target",
        expected_word="to expect",
        measured_word="measured",
        rows=(),
    )


def parsed(svg: str) -> ElementTree.Element:
    """Return the drawing as elements."""
    return ElementTree.fromstring(svg)  # noqa: S314 our own text


def heights(svg: str) -> list[float]:
    """Return where the dots of the upper drawing are."""
    ys = [float(circle.attrib["cy"]) for circle in parsed(svg).iter(f"{SVG}circle")]
    return [y for y in ys if y <= UPPER[1]]


def test_more_pressure_is_drawn_higher_and_later_revisions_further_right() -> None:
    svg = str(history_plot(plot((84, 78, 90), (None, 33.0, None))))
    first, second, third = heights(svg)
    assert third < first < second
    across = [float(circle.attrib["cx"]) for circle in parsed(svg).iter(f"{SVG}circle")][:3]
    assert across == sorted(across)


def test_a_measured_sag_has_a_mark_of_another_shape() -> None:
    marks = [len(re.findall("<rect ", str(history_plot(plot((84, 78), m))))) for m in ((None, None), (None, 33.0))]
    assert marks[1] == marks[0] + 1


@pytest.mark.parametrize("pressures", [(84.0, 84.0), (0.0, 400.0), tuple(range(50, 250))])
def test_nothing_is_drawn_outside_the_picture(pressures: tuple[float, ...]) -> None:
    svg = parsed(str(history_plot(plot(pressures, (None,) * len(pressures)))))
    for circle in svg.iter(f"{SVG}circle"):
        assert 0 <= float(circle.attrib["cx"]) <= WIDTH
        assert UPPER[0] <= float(circle.attrib["cy"]) <= HEIGHT
    numbers = [t for t in svg.iter(f"{SVG}text") if float(t.attrib["y"]) == LOWER[1] + 16]
    assert len(numbers) <= 10


def test_texts_are_escaped_and_nothing_is_inline() -> None:
    svg = str(history_plot(plot((84, 78), (None, None), title='<b> & "quoted"')))
    assert "<b>" not in svg
    assert "style=" not in svg


def test_the_picture_is_named_and_described() -> None:
    svg = parsed(str(history_plot(plot((84, 78), (None, None)))))
    assert svg.attrib["role"] == "img"
    named = [svg.find(f"*[@id='{one}']") for one in svg.attrib["aria-labelledby"].split()]
    assert [one.text for one in named if one is not None] == ["Fork", "in words"]


@pytest.mark.parametrize("values", [[84.0], [0.0, 0.0], [78.0, 84.0], [28.0, 28.01], [0.1, 4000.0]])
def test_ticks_are_round_even_and_hold_every_value(values: list[float]) -> None:
    ticks = spread_ticks(values)
    assert ticks[0] <= min(values)
    assert max(values) <= ticks[-1]
    assert len({round(b - a, 6) for a, b in itertools.pairwise(ticks)}) == 1
