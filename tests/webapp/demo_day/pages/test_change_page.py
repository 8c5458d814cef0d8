"""Every kind of number that a bike can be changed by, a line each: coils, a second chamber, clicks, limits."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import Any

import pytest
from flask import Flask

from setup_rules import read_request, recommend
from setup_rules.messages.message import Message
from setup_rules.types.units import PSI_PA
from webapp.demo_day.bike import Bike, EndStanding
from webapp.demo_day.changes import standing_of
from webapp.demo_day.pages.change_page import ChangePage, present_change
from webapp.setups.revision import Revision

FORK: dict[str, Any] = {"travel_mm": 140, "rebound_clicks": 16, "compression_clicks": 12, "max_pressure_psi": 140}
COIL: dict[str, Any] = {
    "stroke_mm": 60,
    "leverage_start": 2.8,
    "leverage_end": 2.4,
    "spring": "coil",
    "stocked_rates_n_per_mm": [70, 80, 90],
    "coil_stroke_mm": 75,
}
TWIN: dict[str, Any] = {
    "positive_volume_cm3": 230,
    "bore_mm": 34,
    "second_volume_cm3": 45,
    "second_pressure_ratio": 1.8,
}


def shown(stands: dict[str, EndStanding] | None, kg: float = 78, **ends: Any) -> ChangePage:
    request = read_request({"rider_mass_kg": kg, "riding_style": "trail", **ends})
    setup = recommend(request)
    bike = Bike(
        bike_id=1,
        shop_id=1,
        number="7",
        label="",
        tag="0" * 26,
        document=ends,
        standing={end.end: standing_of(end) for end in setup.ends()} if stands is None else stands,  # type: ignore[arg-type]
        stands_since=None,
        memories={},
        version=1,
    )
    saved = Revision(code="0" * 26, reason=Message.of("revision.created"), setup=setup, created_at=datetime.now(UTC))
    return present_change(bike, saved)


def lines(page: ChangePage, end: int = 0) -> dict[str, tuple[str, str, str]]:
    return {line.what.partition(",")[0]: (line.before, line.after, line.to_do) for line in page.ends[end].lines}


@pytest.fixture(autouse=True)
def _context(app: Flask) -> Any:
    with app.test_request_context():
        yield


def test_what_stands_as_asked_is_already_right() -> None:
    page = shown(None, front=FORK)
    assert page.settled
    assert {to_do for _before, _after, to_do in lines(page).values()} == {"already right, check it", "already right"}
    assert page.can_set


def test_what_nobody_knows_is_set_whole() -> None:
    page = shown({}, front=FORK)
    assert not page.settled
    assert [to_do for _b, _a, to_do in lines(page).values()] == [
        "pump to this",
        "count from closed",
        "count from closed",
    ]


@pytest.mark.parametrize(
    ("stands", "told"),
    [
        (
            EndStanding(pressure_psi=10, rebound_clicks_out=16, compression_clicks_out=0),
            ("pump in", "in (slower)", "(softer)"),
        ),
        (
            EndStanding(pressure_psi=130, rebound_clicks_out=0, compression_clicks_out=12),
            ("let out", "(quicker)", "(firmer)"),
        ),
    ],
)
def test_each_number_says_which_way_and_how_far(stands: EndStanding, told: tuple[str, str, str]) -> None:
    found = lines(shown({"front": stands}, front=FORK))
    for (before, after, to_do), word in zip(found.values(), told, strict=True):
        assert word in to_do
        assert f"{abs(int(after) - int(before))}" in to_do


def test_a_coil_names_spring_and_preload() -> None:
    page = shown({"rear": EndStanding(spring_rate_n_per_mm=70.0, preload_mm=9.0)}, kg=95, rear=COIL)
    found = lines(page)
    assert found["Spring"][0] == "70"
    assert found["Spring"][2] == "fit this spring"
    assert found["Preload"][2] == "turn the ring"
    assert "Pressure" not in found
    assert shown(None, kg=95, rear=COIL).settled


def test_a_coil_that_is_too_short_is_named_first_and_never_set() -> None:
    page = shown({}, rear={**COIL, "coil_stroke_mm": 55})
    assert not page.can_set
    assert "a stroke of at least" in page.ends[0].limit
    assert "Spring" not in lines(page)


def test_a_second_chamber_has_a_line_of_its_own() -> None:
    found = lines(shown({}, front={**FORK, "travel_mm": 160, "max_pressure_psi": None, **TWIN}))
    assert float(found["Second chamber"][1]) > float(found["Pressure"][1])


def test_a_limit_says_the_sag_to_expect() -> None:
    page = shown({}, kg=110, front={**FORK, "max_pressure_psi": 60})
    assert page.limited
    assert page.ends[0].limit.startswith("60 psi is the maximum. Expect ")
    assert lines(page)["Pressure"][1] == "60"
    light = shown({}, kg=45, front={**FORK, "min_pressure_psi": 90})
    assert light.ends[0].limit.startswith("90 psi is the minimum. Expect ")


@pytest.mark.parametrize("most", [100, 116.6, 120, 140, 150])
def test_no_pressure_in_bar_is_above_the_maximum(most: float) -> None:
    page = shown({}, kg=130, front={**FORK, "max_pressure_psi": most})
    told = re.fullmatch(r"Pressure, ([0-9.]+) bar", page.ends[0].lines[0].what)
    assert told is not None
    assert float(told[1]) * 1e5 <= most * PSI_PA


def test_a_limit_that_costs_no_sag_does_not_name_one() -> None:
    """At each kilogram: what is expected is told only where it differs from the target as both are shown."""
    told = [shown({}, kg=kg, front={**FORK, "max_pressure_psi": 100}).ends[0].limit for kg in range(80, 110)]
    assert "100 psi is the maximum." in told
    for line in told:
        named = re.findall(r"([0-9.]+) mm", line)
        assert not named or named[0] != named[1], line
