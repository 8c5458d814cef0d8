"""Reading a request: what is refused, how it is said, and that nothing but a refusal ever comes out."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules import Conditions, FrontEnd, RearEnd, RequestError, SetupRequest, read_request, request_data
from setup_rules.messages.message import Message
from setup_rules.types.limits import LIMITS
from tests.setup_rules.drawn_requests import requests

LEAST: dict[str, Any] = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}
REAR: dict[str, Any] = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}
#: Where each limit's input stands in a request; a value next to it that other checks ask for.
PLACES: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("rider_mass_kg", "kit_mass_kg", "bike_mass_kg", "rider_front_share_percent"), ()),
    **dict.fromkeys(("front_axle_kg", "rear_axle_kg", "weighed_kg", "luggage_front_kg", "luggage_rear_kg"), ()),
    **dict.fromkeys(("temperature_c", "altitude_m"), ("bench", "ride")),
    **dict.fromkeys(("travel_mm", "longest_travel_mm", "stanchion_mm", "head_angle_deg"), ("front",)),
    **dict.fromkeys(("stroke_mm", "leverage_start", "leverage_end"), ("rear",)),
}
#: Every limit of a number that a request holds; the form and the bench have limits of their own beside these.
NAMES = {f.name for kind in (SetupRequest, Conditions, FrontEnd, RearEnd) for f in dataclasses.fields(kind)}
FIELDS = sorted(NAMES & set(LIMITS))
JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30) | st.just(10**400),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=12), inner, max_size=4),
    max_leaves=12,
)
KEYS = st.sampled_from(sorted(NAMES))


def problems_of(data: Any) -> dict[str, str]:
    """Return field → message of every problem that the data is refused for."""
    with pytest.raises(RequestError) as refused:
        read_request(data)
    return {p.field: p.message for p in refused.value.problems}


def problems_if_any(data: Any) -> dict[str, str]:
    """Return field → message of every problem; empty where the data is read, which is then a whole request."""
    try:
        assert isinstance(read_request(data), SetupRequest)
    except RequestError as refused:
        found = {p.field: p.message for p in refused.problems}
    else:
        return {}
    if not found:
        pytest.fail("refused without saying why")
    return found


def placed(name: str, value: float) -> tuple[str, dict[str, Any]]:
    """Return (dotted field, request data) with one input set to a value."""
    place = next(iter(PLACES.get(name, ("front",))), None)
    data: dict[str, Any] = {**LEAST, "rear": dict(REAR), "front": dict(LEAST["front"])}
    if place is None:
        return name, {**data, name: value}
    listed = [value] if name == "stocked_rates_n_per_mm" else value
    data[place] = {**data.get(place, {}), name: listed}
    return f"{place}.{name}", data


@given(JUNK)
def test_any_json_at_all_is_read_or_refused_and_nothing_else(data: Any) -> None:
    problems = problems_if_any(data)
    assert all(field and message.endswith(".") for field, message in problems.items())


@given(
    st.dictionaries(KEYS, JUNK, max_size=6), st.sampled_from(["front", "rear", "bench"]), st.dictionaries(KEYS, JUNK)
)
def test_known_keys_with_any_json_behind_them_are_read_or_refused(
    top: dict[str, Any], place: str, inner: dict[str, Any]
) -> None:
    problems = problems_if_any({**LEAST, **top, place: inner})
    assert all(message.endswith(".") for message in problems.values())
    assert all(field.split(".")[0] in {*LEAST, *top, place, "rear"} for field in problems)


@given(requests())
def test_a_request_written_down_and_read_again_is_itself(data: dict[str, Any]) -> None:
    try:
        request = read_request(data)
    except RequestError:
        return
    assert read_request(request_data(request)) == request


@pytest.mark.parametrize("name", FIELDS)
@pytest.mark.parametrize("end", ["low", "high"])
def test_both_ends_of_every_limit_may_be_entered(name: str, end: str) -> None:
    field, data = placed(name, getattr(LIMITS[name], end))
    # Another field may have to agree with it (a bore beside its volume), but the value itself is inside.
    assert all("is outside" not in message for message in problems_if_any(data).values()), field


@pytest.mark.parametrize("name", FIELDS)
@pytest.mark.parametrize("end", ["low", "high"])
def test_one_step_beyond_every_limit_is_refused_with_range_and_reason(name: str, end: str) -> None:
    limit = LIMITS[name]
    bound = getattr(limit, end)
    beyond = bound - 1 if end == "low" else bound + 1
    if not limit.whole:
        beyond = math.nextafter(bound, -math.inf if end == "low" else math.inf)
    field, data = placed(name, beyond)
    message = problems_of(data)[field]
    assert f"{limit.low:g} to {limit.high:g}" in message
    assert str(limit.reason) in message


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 10**400, -(10**400)])
@pytest.mark.parametrize("name", ["rider_mass_kg", "travel_mm", "volume_spacers", "rebound_clicks", "altitude_m"])
def test_a_number_that_is_none_or_endless_is_refused(name: str, value: float) -> None:
    field, data = placed(name, value)
    assert "is outside" in problems_of(data)[field]


@pytest.mark.parametrize("value", ["78", True, [78], {"kg": 78}, "9**9**9", "seventy"])
def test_a_value_of_another_kind_than_a_number_is_refused(value: Any) -> None:
    assert "is not a number" in problems_of({**LEAST, "rider_mass_kg": value})["rider_mass_kg"]


def test_half_a_click_is_refused() -> None:
    field, data = placed("rebound_clicks", 7.5)
    assert "whole number" in problems_of(data)[field]


def test_every_problem_is_named_at_once_not_just_the_first() -> None:
    found = problems_of(
        {
            "rider_mass_kg": 500,
            "riding_style": "couch",
            "colour": "red",
            "bench": {"temperature_c": 900},
            "front": {"travel_mm": "long", "rebound_clicks": 0},
            "rear": {"stroke_mm": 55},
        }
    )
    assert set(found) >= {
        "rider_mass_kg",
        "riding_style",
        "colour",
        "bench.temperature_c",
        "front.travel_mm",
        "front.rebound_clicks",
    }


def test_a_missing_needed_value_is_named() -> None:
    assert set(problems_of({"front": {}})) == {"rider_mass_kg", "riding_style", "front.travel_mm"}


def test_a_request_without_a_spring_end_is_refused() -> None:
    assert "fork, shock or both" in problems_of({"rider_mass_kg": 78, "riding_style": "trail"})["front"]


@pytest.mark.parametrize("data", [None, [], "text", 3, [["front", {}]]])
def test_something_that_is_no_object_is_refused(data: Any) -> None:
    assert "Send an object" in problems_of(data)["body"]


def test_a_nested_list_in_place_of_a_choice_is_refused_however_deep() -> None:
    nested: Any = []
    for _ in range(50_000):
        nested = [nested]
    found = problems_of({**LEAST, "riding_style": nested, "kit_mass_kg": nested})
    assert "[…] is not known" in found["riding_style"]
    assert "[…] is not a number" in found["kit_mass_kg"]


def test_a_number_of_thousands_of_digits_is_refused_without_being_written_out() -> None:
    found = problems_of({**LEAST, "riding_style": 10**5000, 10**5000: 1})
    assert len(found["riding_style"]) < 200
    assert max(len(field) for field in found) <= 120


def test_the_least_request_takes_the_stated_defaults() -> None:
    request = read_request(LEAST)
    assert (request.kit_mass_kg, request.bike_mass_kg, request.stance) == (4.0, 14.0, "standing")
    assert request.bench == request.ride
    assert (request.bench.temperature_c, request.bench.altitude_m) == (20.0, 0.0)


def test_the_ride_is_where_the_bench_is_unless_said_otherwise() -> None:
    bench = {"temperature_c": 12, "altitude_m": 800}
    assert read_request({**LEAST, "bench": bench}).ride.altitude_m == 800
    assert read_request({**LEAST, "bench": bench, "ride": {}}).ride.altitude_m == 0


def test_a_null_is_read_as_not_given() -> None:
    assert read_request({**LEAST, "kit_mass_kg": None, "rear": None}) == read_request(LEAST)


@pytest.mark.parametrize(
    ("end", "values", "field"),
    [
        ("front", {"travel_mm": 140, "longest_travel_mm": 120}, "front.longest_travel_mm"),
        ("front", {"travel_mm": 140, "min_pressure_psi": 90, "max_pressure_psi": 90}, "front.min_pressure_psi"),
        ("front", {"travel_mm": 140, "bore_mm": 20, "rod_mm": 18}, "front.rod_mm"),
        ("front", {"travel_mm": 140, "rod_mm": 29}, "front.rod_mm"),
        ("front", {"travel_mm": 60, "port_position_mm": 30}, "front.port_position_mm"),
        ("front", {"travel_mm": 140, "positive_volume_cm3": 160}, "front.bore_mm"),
        ("front", {"travel_mm": 140, "bore_mm": 40, "positive_volume_cm3": 160}, "front.positive_volume_cm3"),
        ("rear", {"stroke_mm": 55}, "rear.leverage_start"),
        ("rear", {"stroke_mm": 55, "leverage_start": 2.8}, "rear.leverage_end"),
        ("rear", {"stroke_mm": 55, "leverage_table": [[0, 2.9], [40, 2.4]]}, "rear.leverage_table"),
        ("rear", {"stroke_mm": 55, "leverage_table": [[0, 2.9]]}, "rear.leverage_table"),
        ("rear", {"stroke_mm": 55, "leverage_table": [[0, 2.9], [0, 2.8], [55, 2.4]]}, "rear.leverage_table"),
        ("rear", {"stroke_mm": 55, "leverage_table": [["0", "2.9"], ["55", "2.4"]]}, "rear.leverage_table"),
        ("rear", {"stroke_mm": 55, "leverage_table": ["02", "55"]}, "rear.leverage_table"),
        ("rear", {"stroke_mm": 55, "leverage_table": [[0, 2.9], [55, 9]]}, "rear.leverage_table"),
        ("rear", {"stroke_mm": 55, "leverage_table": [[0, 2.9], [math.nan, 2.4]]}, "rear.leverage_table"),
        ("rear", {"stroke_mm": 55, "leverage_table": [[0, 2.9], [55, 10**400]]}, "rear.leverage_table"),
        ("rear", {"stroke_mm": 55, "leverage_table": 7}, "rear.leverage_table"),
    ],
)
def test_an_end_that_does_not_agree_with_itself_is_refused(end: str, values: dict[str, Any], field: str) -> None:
    assert field in problems_of({"rider_mass_kg": 78, "riding_style": "trail", end: values})


def test_a_leverage_table_stands_in_for_start_and_end() -> None:
    table = [[0, 2.9], [30, 2.7], [55, 2.4]]
    data = {"rider_mass_kg": 78, "riding_style": "trail", "rear": {"stroke_mm": 55, "leverage_table": table}}
    rear = read_request(data).rear
    assert rear is not None
    assert rear.leverage_points == ((0.0, 2.9), (30.0, 2.7), (55.0, 2.4))


@pytest.mark.parametrize(
    ("chart", "rows"),
    [
        ([[60, 70], [70, 65]], [2]),
        ([[60, 70], [60, 80]], [2]),
        ([[60, 70], [70, 70]], [2]),
        ([[60, 70], [70, 80], [65, 90]], [3]),
        ([[60, 70], [55, 65], [50, 60]], [2, 3]),
    ],
)
def test_a_chart_whose_weights_or_pressures_do_not_rise_is_refused_by_its_rows(
    chart: list[list[float]], rows: list[int]
) -> None:
    body = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140, "chart": chart}}
    with pytest.raises(RequestError) as refused:
        read_request(body)
    expected = [Message.of("problem.chart_order", row=row) for row in rows]
    assert [problem.said for problem in refused.value.problems] == expected


def test_a_chart_may_reach_a_quarter_beyond_what_riders_weigh_and_units_hold_and_no_further() -> None:
    """Weights to 200 kg and pressures to 500 psi: a chart's last row may lie beyond every rider."""
    body = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}
    for last in ([200, 300], [150, 500]):
        body["front"] = {"travel_mm": 140, "chart": [[60, 70], last]}
        assert read_request(body).front
    for last in ([200.5, 300], [150, 500.5]):
        body["front"] = {"travel_mm": 140, "chart": [[60, 70], last]}
        with pytest.raises(RequestError):
            read_request(body)
