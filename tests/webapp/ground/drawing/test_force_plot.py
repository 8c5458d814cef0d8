"""The force-travel plot as a picture: well-formed, safe, to scale, and within its frame."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.ground.drawing.force_plot import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH, force_plot

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Pushes:
    """Three pushes at another pressure, on a line of 12 N/mm."""

    points: tuple[tuple[float, float], ...] = ((20.0, 250.0), (50.0, 590.0), (80.0, 1000.0))
    curve: tuple[tuple[float, float], ...] = ((0.0, 0.0), (100.0, 1200.0))
    label: str = "<pushed>"


@dataclass(frozen=True)
class Sample:
    """A straight spring of 10 N/mm over 100 mm that rests 5 mm down and carries 300 N 25 mm further."""

    name: str = "front"
    points: tuple[tuple[float, float], ...] = tuple((float(mm), 10.0 * mm) for mm in range(0, 101, 10))
    load: tuple[tuple[float, float], ...] = ((0.0, 300.0), (100.0, 300.0))
    rest_mm: float = 5.0
    rest_label: str = "rest"
    sag_mm: float = 25.0
    sag_low_mm: float = 20.0
    sag_high_mm: float = 30.0
    title: str = "Fork: force over travel"
    description: str = "It carries 300 N after 25 mm of sag."
    across: str = "Travel, mm"
    upward: str = "Force, N"
    curve_label: str = "spring"
    load_label: str = "rider"
    sag_label: str = "sag 25 mm"
    pushed: Pushes | None = None


def drawn(plot: Sample) -> ET.Element:
    """Return the plot, parsed."""
    return ET.fromstring(str(force_plot(plot)))  # noqa: S314 our own picture


def by_class(svg: ET.Element, tag: str, name: str) -> list[ET.Element]:
    """Return the elements of one tag and class."""
    return [e for e in svg.iter(f"{SVG}{tag}") if e.get("class") == name]


def test_it_has_a_title_and_a_description_that_name_it() -> None:
    svg = drawn(Sample())
    assert svg.get("role") == "img"
    named = (svg.get("aria-labelledby") or "").split()
    assert [next(e.text for e in svg.iter() if e.get("id") == i) for i in named] == [
        "Fork: force over travel",
        "It carries 300 N after 25 mm of sag.",
    ]


def test_the_curve_and_the_sag_are_to_scale() -> None:
    svg = drawn(Sample())
    inner_x, inner_y = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM
    circle = by_class(svg, "circle", "plot-target")[0]
    assert float(circle.get("cx") or 0) == pytest.approx(LEFT + 0.30 * inner_x, abs=0.1)
    assert float(circle.get("cy") or 0) == pytest.approx(HEIGHT - BOTTOM - 0.30 * inner_y, abs=0.1)
    band = by_class(svg, "rect", "plot-band")[0]
    assert float(band.get("x") or 0) == pytest.approx(LEFT + 0.25 * inner_x, abs=0.1)
    assert float(band.get("width") or 0) == pytest.approx(0.10 * inner_x, abs=0.2)


def test_it_needs_no_style_and_no_script() -> None:
    text = str(force_plot(Sample()))
    assert "style=" not in text
    assert "<style" not in text
    assert "<script" not in text


def test_words_cannot_break_out_of_the_picture() -> None:
    nasty = "</svg><script>x</script>\"'&"
    svg = drawn(replace(Sample(), title=nasty, description=nasty, sag_label=nasty, across=nasty))
    assert not list(svg.iter(f"{SVG}script"))
    title = svg.find(f"{SVG}title")
    assert title is not None
    assert title.text == nasty


def test_a_force_below_zero_is_drawn_at_the_floor() -> None:
    svg = drawn(replace(Sample(), points=((0.0, -140.0), (50.0, 400.0), (100.0, 1000.0))))
    path = by_class(svg, "path", "plot-curve")[0].get("d") or ""
    assert path.startswith(f"M{LEFT:g} {HEIGHT - BOTTOM:g}L")


@given(
    st.floats(20, 260),
    st.floats(50, 20_000),
    st.floats(0.01, 0.6),
    st.floats(0, 0.3),
)
def test_everything_stays_inside_the_frame(travel: float, full: float, share: float, spread: float) -> None:
    sag = share * travel
    plot = replace(
        Sample(),
        points=((0.0, -0.1 * full), (travel / 2, full / 3), (travel, full)),
        load=((0.0, full / 4), (travel, full / 5)),
        sag_mm=sag,
        sag_low_mm=sag * (1 - spread),
        sag_high_mm=sag * (1 + spread),
    )
    for path in drawn(plot).iter(f"{SVG}path"):
        for x, y in re.findall(r"([\d.]+) ([\d.]+)", path.get("d") or ""):
            assert LEFT <= float(x) <= WIDTH - RIGHT + 0.05
            assert TOP - 0.05 <= float(y) <= HEIGHT - BOTTOM


def test_pushes_are_squares_to_scale_over_their_own_curve() -> None:
    svg = drawn(replace(Sample(), pushed=Pushes()))
    inner_x, inner_y = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM
    squares = by_class(svg, "rect", "plot-pushed")
    top = 1250.0  # the axis reaches beyond the curve of the pushes, not of the spring alone
    for square, (mm, newton) in zip(squares, Pushes().points, strict=True):
        assert float(square.get("x") or 0) + 4 == pytest.approx(LEFT + mm / 100 * inner_x, abs=0.1)
        assert float(square.get("y") or 0) + 4 == pytest.approx(HEIGHT - BOTTOM - newton / top * inner_y, abs=0.1)
    assert len(by_class(svg, "path", "plot-pushed")) == 1
    assert "<pushed>" in [e.text for e in svg.iter(f"{SVG}text")]


def test_a_plot_without_pushes_has_no_mark_of_them() -> None:
    assert "plot-pushed" not in str(force_plot(Sample()))
