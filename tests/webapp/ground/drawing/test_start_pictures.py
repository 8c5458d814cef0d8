"""The drawings of the three start numbers: each mark at its number, every text the page's own, no inline style."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules import EndSetup, read_request, recommend
from webapp.ground.drawing.start_pictures import click_dial, range_bar, sag_ring
from webapp.setups.pages.pictures import ClicksPicture, PressurePicture, SagPicture, present_pictures
from webapp.setups.pages.setup_page import EndPage, _present_end

NUMBER = r"(-?\d+(?:\.\d+)?)"
BAR = PressurePicture(name="p", low=60.0, value=75.0, high=120.0, low_text="60", high_text="120 psi", title="t")
RING = SagPicture(name="s", sag_mm=35.0, travel_mm=140.0, sag_text="35 mm", travel_text="140 mm", title="t")
DIAL = ClicksPicture(name="r", out=8, total=16, title="t")


def paths(svg: str) -> list[str]:
    """Return the lines of a drawing; it has to be well formed and without inline style."""
    root = ElementTree.fromstring(svg)  # noqa: S314 our own drawing
    assert "style" not in svg
    return [path.get("d", "") for path in root.iter() if path.tag.endswith("path")]


def mark(svg: str) -> str:
    """Return the line that marks the value."""
    found = re.search(r'class="picture-mark" d="([^"]*)"', svg)
    assert found is not None
    return found[1]


def across(line: str) -> float:
    """Return where an upright mark stands."""
    found = re.match(f"M{NUMBER} ", line)
    assert found is not None
    return float(found[1])


def ends(line: str) -> tuple[float, float]:
    """Return from where to where a level line leads."""
    found = re.match(f"M{NUMBER} {NUMBER}H{NUMBER}", line)
    assert found is not None
    return float(found[1]), float(found[3])


@given(st.floats(0, 1))
def test_the_pressure_is_marked_at_its_share_of_the_range(share: float) -> None:
    svg = range_bar(replace(BAR, value=60 + 60 * share))
    left, right = ends(paths(svg)[0])
    assert (across(mark(svg)) - left) / (right - left) == pytest.approx(share, abs=2e-4)


def test_a_range_of_one_pressure_is_marked_in_its_middle() -> None:
    svg = range_bar(replace(BAR, low=75.0, high=75.0))
    assert across(mark(svg)) == pytest.approx(sum(ends(paths(svg)[0])) / 2)


@given(st.floats(0, 1))
def test_the_ring_stands_off_the_seal_by_its_share_of_the_travel(share: float) -> None:
    svg = sag_ring(replace(RING, sag_mm=140 * share))
    seal, full = ends(paths(svg)[2])
    assert (across(mark(svg)) - seal) / (full - seal) == pytest.approx(share, abs=5e-4)


def angle(line: str) -> float:
    """Return the direction of a tick from the dial's centre, clockwise from straight up [degrees]."""
    found = re.match(f"M{NUMBER} {NUMBER}L", line)
    assert found is not None
    return math.degrees(math.atan2(float(found[1]) - 50, 50 - float(found[2])))


@pytest.mark.parametrize(("out", "expected"), [(0, 140), (4, 70), (8, 0), (12, -70), (16, -140)])
def test_more_clicks_out_turn_the_dial_anticlockwise(out: int, expected: float) -> None:
    svg = click_dial(replace(DIAL, out=out))
    assert angle(mark(svg)) == pytest.approx(expected, abs=0.2)
    assert paths(svg)[0].count("M") == 17


def test_an_adjuster_without_clicks_is_drawn_too() -> None:
    assert paths(click_dial(replace(DIAL, out=0, total=0)))


@pytest.mark.parametrize("draw", [range_bar, sag_ring, click_dial])
def test_every_text_is_escaped(draw: Any) -> None:
    shape = {range_bar: BAR, sag_ring: RING, click_dial: DIAL}[draw]
    svg = draw(replace(shape, title="<b>&", name='x"y'))
    assert "<b>" not in svg
    assert paths(svg)


@pytest.fixture
def answered() -> EndSetup:
    """A fork's numbers."""
    request = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140, "rebound_clicks": 16}}
    front = recommend(read_request(request)).front
    assert front is not None
    return front


def test_the_drawings_say_the_numbers_of_the_page(answered: EndSetup) -> None:
    setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}))
    page: EndPage = _present_end(answered, setup)
    pictures = present_pictures(answered)
    assert pictures.rebound is not None
    assert page.pictures == pictures
    assert pictures.sag.sag_text == page.sag.short
    assert pictures.sag.travel_text in page.installed
    assert f"{pictures.pressure.low_text}–{pictures.pressure.high_text}" in page.pressure_range
    assert page.pressure is not None
    assert pictures.pressure.title.startswith(page.pressure.short)
    assert (str(pictures.rebound.out), str(pictures.rebound.total)) == (page.rebound_out, page.rebound_total)


def test_without_clicks_there_is_no_dial(answered: EndSetup) -> None:
    assert present_pictures(replace(answered, rebound=None)).rebound is None
