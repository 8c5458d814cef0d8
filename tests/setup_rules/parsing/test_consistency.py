"""What the parts of a request have to agree on: each bound at its literal value, and what is said beyond it."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules import RequestError, read_request
from setup_rules.messages.message import Message

RIDER: dict[str, Any] = {"rider_mass_kg": 78, "riding_style": "trail"}
#: 30 mm of bore over 100 mm of travel sweep π/4 · 30² · 100 / 1000 = 70.69 cm³.
BORED: dict[str, Any] = {"travel_mm": 100, "bore_mm": 30}
SHOCK: dict[str, Any] = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}
TABLED: dict[str, Any] = {"stroke_mm": 55, "leverage_table": [[0, 2.9], [55, 2.4]]}


def problems(**ends: Any) -> dict[str, Message]:
    """Return what a request with these ends is refused with, by field; empty where it is taken."""
    try:
        read_request({**RIDER, **ends})
    except RequestError as refused:
        return {one.field: one.said for one in refused.problems if isinstance(one.said, Message)}
    return {}


def keys(**ends: Any) -> dict[str, str]:
    """Return the keys of what a request is refused with, by field."""
    return {field: said.key for field, said in problems(**ends).items()}


def test_a_request_without_any_end_asks_for_one_and_a_wrong_end_does_not() -> None:
    assert keys() == {"front": "problem.no_end"}
    assert keys(front={"travel_mm": 1}) == {"front.travel_mm": "problem.outside_with_unit"}
    assert keys(rear={**SHOCK, "stroke_mm": 1}) == {"rear.stroke_mm": "problem.outside_with_unit"}


def test_a_longest_travel_below_the_travel_is_refused_and_the_same_is_taken() -> None:
    for longest in (140, 150):
        assert keys(front={"travel_mm": 140, "longest_travel_mm": longest}) == {}
    (said,) = problems(front={"travel_mm": 140, "longest_travel_mm": 139.5}).values()
    assert (said.key, said.values) == ("problem.longest_travel", {"travel": 140, "longest": 139.5})


@pytest.mark.parametrize(
    ("first", "last", "taken"),
    [(0.5, 55, True), (0.6, 55, False), (0, 54.5, True), (0, 54.4, False), (0, 55.5, True), (0, 55.6, False)],
)
def test_a_leverage_table_covers_the_stroke_to_half_a_millimetre(first: float, last: float, taken: bool) -> None:
    found = problems(rear={"stroke_mm": 55, "leverage_table": [[first, 2.9], [last, 2.4]]})
    if taken:
        assert found == {}
        return
    said = found["rear.leverage_table"]
    assert (said.key, said.values) == ("problem.leverage_stroke", {"first": first, "last": last, "stroke": 55})
    assert len(found) == 1


def test_a_leverage_that_is_missing_is_asked_for_one_by_one_and_a_table_stands_for_both() -> None:
    assert keys(rear={"stroke_mm": 55}) == {"rear.leverage_start": "problem.leverage_needed"}
    assert keys(rear={"stroke_mm": 55, "leverage_start": 2.9}) == {"rear.leverage_end": "problem.leverage_needed"}
    assert keys(rear=TABLED) == {}


@pytest.mark.parametrize(("stroke", "ratio", "wheel"), [(100, 3.0, 300), (20, 1.5, 30)])
def test_a_wheel_travel_that_no_bicycle_has_is_refused_with_it(stroke: float, ratio: float, wheel: int) -> None:
    (said,) = problems(rear={"stroke_mm": stroke, "leverage_start": ratio, "leverage_end": ratio}).values()
    assert said.key == "problem.wheel_travel"
    assert said.values == {"stroke": stroke, "travel": wheel, "low": 40, "high": 260}


@pytest.mark.parametrize(("stroke", "ratio"), [(20, 2.001), (100, 2.599)])
def test_a_wheel_travel_just_inside_40_and_260_mm_is_taken(stroke: float, ratio: float) -> None:
    assert keys(rear={"stroke_mm": stroke, "leverage_start": ratio, "leverage_end": ratio}) == {}


def test_a_minimum_lies_below_its_maximum() -> None:
    assert keys(front={"travel_mm": 140, "min_pressure_psi": 99, "max_pressure_psi": 100}) == {}
    for low in (100, 110):
        (said,) = problems(front={"travel_mm": 140, "min_pressure_psi": low, "max_pressure_psi": 100}).values()
        assert (said.key, said.values) == ("problem.pressure_limits", {"low": low, "high": 100})


def test_a_damper_point_lies_on_the_adjuster() -> None:
    def front(furthest: int, **more: Any) -> dict[str, Any]:
        return {"travel_mm": 140, "rebound_points": [[0, 3000], [furthest, 800]], **more}

    for furthest in (10, 16):
        assert keys(front=front(furthest, rebound_clicks=16)) == {}
    assert keys(front=front(40)) == {}
    found = problems(front=front(17, rebound_clicks=16))
    said = found["front.rebound_points"]
    assert (said.key, said.values) == ("problem.damper_point_beyond", {"clicks": 17, "total": 16})


@pytest.mark.parametrize(
    ("given", "key"),
    [
        ({"rod_mm": 26.9, "bore_mm": 30}, None),  # nine tenths of 30 mm are 27 mm
        ({"rod_mm": 27, "bore_mm": 30}, "problem.rod"),
        ({"rod_mm": 22.1}, None),  # the narrowest bore assumed is 0.93 · 26.5 = 24.65 mm, nine tenths of it 22.18 mm
        ({"rod_mm": 22.3}, "problem.rod_without_bore"),
    ],
)
def test_a_rod_is_thinner_than_nine_tenths_of_its_bore(given: dict[str, Any], key: str | None) -> None:
    found = keys(front={"travel_mm": 140, **given})
    assert found == ({} if key is None else {"front.rod_mm": key})


def test_a_port_lies_in_the_first_half_of_the_travel() -> None:
    assert keys(front={"travel_mm": 80, "port_position_mm": 39.9}) == {}
    for travel in (80, 70):
        (said,) = problems(front={"travel_mm": travel, "port_position_mm": 40}).values()
        assert (said.key, said.values) == ("problem.port", {"port": 40, "travel": travel})


def test_a_volume_needs_its_bore() -> None:
    found = keys(front={"travel_mm": 100, "positive_volume_cm3": 200})
    assert found == {"front.bore_mm": "problem.bore_needed"}


@pytest.mark.parametrize(
    ("given", "full"),
    [
        # Three hundredths of the swept 70.69 cm³ have to be left: 72.81 cm³, with two spacers of 5 cm³ 82.81 cm³.
        ({"positive_volume_cm3": 72.78}, True),
        ({"positive_volume_cm3": 72.9}, False),
        ({"positive_volume_cm3": 82.78, "volume_spacers": 2, "volume_spacer_cm3": 5}, True),
        ({"positive_volume_cm3": 82.9, "volume_spacers": 2, "volume_spacer_cm3": 5}, False),
        ({"positive_volume_cm3": 73, "volume_spacers": 1}, False),  # a spacer of unknown size takes nothing here
    ],
)
def test_a_chamber_is_larger_than_what_the_piston_sweeps_and_the_spacers_take(
    given: dict[str, Any], full: bool
) -> None:
    found = keys(front={**BORED, **given})
    assert (found.get("front.positive_volume_cm3") == "problem.chamber_full") is full


def test_a_full_chamber_is_said_once_with_its_figures_and_nothing_more() -> None:
    more = {"volume_spacers": 2, "volume_spacer_cm3": 5, "air_lubricant_cm3": 40}
    found = problems(front={**BORED, "positive_volume_cm3": 82.7, **more})
    assert list(found) == ["front.positive_volume_cm3"]
    assert found["front.positive_volume_cm3"].values == {"volume": 82.7, "spacers": 10, "swept": 71}


def test_lubricant_that_fills_a_short_chamber_is_refused_before_its_spacers_are_counted() -> None:
    # 40 mm of travel leave about 15 cm³ at full compression: 40 cm³ of oil do not go in, with spacers or without.
    short = {"travel_mm": 40, "stanchion_mm": 30}
    for spacers in (0, 12):
        found = problems(front={**short, "air_lubricant_cm3": 40, "volume_spacers": spacers})
        assert list(found) == ["front.air_lubricant_cm3"]
        assert found["front.air_lubricant_cm3"].values == {"lubricant": 40}


def test_more_spacers_than_go_in_are_refused_with_how_many_do() -> None:
    (said,) = problems(front={"travel_mm": 40, "stanchion_mm": 30, "volume_spacers": 12}).values()
    assert (said.key, said.values["count"]) == ("problem.too_many_spacers", 12)
    most = said.values["most"]
    assert isinstance(most, int)
    assert keys(front={"travel_mm": 40, "stanchion_mm": 30, "volume_spacers": most}) == {}


SECOND = {"second_volume_cm3": 30, "second_pressure_ratio": 2}
FIRST = {"bore_mm": 30, "positive_volume_cm3": 200}


@pytest.mark.parametrize(
    ("given", "found"),
    [
        ({**FIRST, **SECOND}, {}),
        ({**FIRST, "second_volume_cm3": 30}, {"second_pressure_ratio": "problem.second_half"}),
        ({**FIRST, "second_pressure_ratio": 2}, {"second_volume_cm3": "problem.second_half"}),
        (
            {**FIRST, "second_max_pressure_psi": 200},
            {"second_volume_cm3": "problem.second_half", "second_pressure_ratio": "problem.second_half"},
        ),
        (SECOND, {"second_volume_cm3": "problem.second_needs_first"}),
        ({"bore_mm": 30, **SECOND}, {"second_volume_cm3": "problem.second_needs_first"}),
    ],
)
def test_a_second_chamber_is_given_whole_and_beside_a_known_first(given: dict[str, Any], found: dict[str, str]) -> None:
    assert keys(front={"travel_mm": 140, **given}) == {f"front.{field}": key for field, key in found.items()}


def test_a_coil_has_no_air_figures_and_air_no_coil_figures() -> None:
    coil = {"travel_mm": 140, "spring": "coil"}
    assert keys(front={**coil, "volume_spacers": 0, "fitted_rate_n_per_mm": 9}) == {}
    assert keys(front={**coil, "bore_mm": 30}) == {"front.bore_mm": "problem.air_only"}
    assert keys(front={**coil, **SECOND}) == {f"front.{field}": "problem.air_only" for field in SECOND}
    assert keys(rear={**SHOCK, "preload_mm_max": 5}) == {"rear.preload_mm_max": "problem.coil_only"}
