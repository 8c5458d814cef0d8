"""Plain data to a request: every kind of value at its bounds, and what is said of a wrong one."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules import RequestError, SetupRequest, read_request, request_data
from setup_rules.messages.message import Message
from setup_rules.parsing.request_parsing import read_number, shown, unknown_key
from setup_rules.types.errors import Problem
from setup_rules.types.limits import LIMITS

RIDER: dict[str, Any] = {"rider_mass_kg": 78, "riding_style": "trail"}
FORK: dict[str, Any] = {"travel_mm": 140}


def asked(**front: Any) -> SetupRequest:
    """Return a request with a fork that has these figures too."""
    return read_request({**RIDER, "front": {**FORK, **front}})


def refused(data: Any) -> list[tuple[str, str]]:
    """Return (field, key) of everything that data is refused for."""
    with pytest.raises(RequestError) as error:
        read_request(data)
    return [(one.field, one.said.key) for one in error.value.problems if isinstance(one.said, Message)]


def said_of(field: str, **front: Any) -> Message:
    """Return the one thing that a figure of a fork is refused with."""
    with pytest.raises(RequestError) as error:
        asked(**front)
    (problem,) = error.value.problems
    assert problem.field == f"front.{field}"
    assert isinstance(problem.said, Message)
    return problem.said


def number(name: str, raw: Any) -> tuple[Any, str]:
    """Return what a number is read as and what is said of it."""
    problems: list[Problem] = []
    value = read_number(LIMITS[name], raw, "it", problems)
    return value, "".join(one.said.key for one in problems if isinstance(one.said, Message))


def test_where_no_ride_is_given_one_rides_where_one_pumps() -> None:
    bench = {"temperature_c": 5, "altitude_m": 900}
    request = read_request({**RIDER, "bench": bench, "front": FORK})
    assert request.ride == request.bench
    assert read_request({**RIDER, "bench": bench, "ride": {}, "front": FORK}).ride.temperature_c == 20.0


def test_what_is_no_object_is_refused_where_it_stands() -> None:
    assert ("body", "problem.no_object") in refused([])
    assert refused({**RIDER, "front": 7}) == [("front", "problem.no_object")]
    assert refused({**RIDER, "front": {**FORK, "spring_test": 7}}) == [("front.spring_test", "problem.no_object")]


def test_what_is_missing_is_named_with_its_label_and_null_is_missing() -> None:
    for data in ({"riding_style": "trail", "front": FORK}, {**RIDER, "rider_mass_kg": None, "front": FORK}):
        assert refused(data) == [("rider_mass_kg", "problem.needed")]
    assert refused({**RIDER, "front": {}}) == [("front.travel_mm", "problem.needed")]


def test_what_only_a_bike_brings_is_an_unknown_key() -> None:
    for key in ("memory", "unit_memory", "colour"):
        assert refused({**RIDER, "front": {**FORK, key: {}}}) == [(f"front.{key}", "problem.unknown_key")]


def test_every_problem_comes_at_once() -> None:
    data = {"rider_mass_kg": 500, "riding_style": "slow", "front": {"travel_mm": 0, "x": 1}}
    assert {field for field, _ in refused(data)} == {"rider_mass_kg", "riding_style", "front.travel_mm", "front.x"}


@pytest.mark.parametrize("raw", ["fast", 7, ["trail"], None])
def test_a_choice_is_one_of_its_words(raw: Any) -> None:
    key = "problem.needed" if raw is None else "problem.unknown_choice"
    assert refused({**RIDER, "riding_style": raw, "front": FORK}) == [("riding_style", key)]


@pytest.mark.parametrize(
    ("name", "raw", "value", "key"),
    [
        ("rider_mass_kg", 20, 20.0, ""),
        ("rider_mass_kg", 160, 160.0, ""),
        ("rider_mass_kg", 160.5, None, "problem.outside_with_unit"),
        ("rider_mass_kg", True, None, "problem.no_number"),
        ("rider_mass_kg", "78", None, "problem.no_number"),
        ("rider_mass_kg", float("nan"), None, "problem.outside_with_unit"),
        ("rider_mass_kg", 10**400, None, "problem.outside_with_unit"),
        ("rebound_clicks", 12.0, 12, ""),
        ("rebound_clicks", 12.5, None, "problem.not_whole"),
        ("rebound_offset_clicks", -1.5, None, "problem.not_whole"),
    ],
)
def test_a_number_is_inside_its_limit_and_whole_where_it_counts(name: str, raw: Any, value: Any, key: str) -> None:
    found, said = number(name, raw)
    assert (found, said) == (value, key)
    assert type(found) is type(value)


def table(*rows: Any) -> Message | None:
    """Return what a leverage table is refused with."""
    try:
        read_request({**RIDER, "rear": {"stroke_mm": 55, "leverage_table": list(rows)}})
    except RequestError as error:
        (problem,) = error.problems
        assert isinstance(problem.said, Message)
        return problem.said
    return None


@pytest.mark.parametrize(("rows", "taken"), [(1, False), (2, True), (200, True), (201, False)])
def test_a_leverage_table_has_2_to_200_rows(rows: int, taken: bool) -> None:
    found = table(*([55 * row / max(1, rows - 1), 2.5] for row in range(rows)))
    assert found is None if taken else found is not None and found.key == "problem.leverage_rows"


@pytest.mark.parametrize("row", [[55], [0, 2.4, 1], ["0", 2.4], [0, True], 7, None])
def test_a_row_is_a_pair_of_numbers(row: Any) -> None:
    found = table([0, 2.9], row)
    assert found is not None
    assert found.key == "problem.leverage_pairs"
    assert said_of("chart", chart=[[60, 60], row]).key == "problem.chart_pairs"
    assert said_of("rebound_points", rebound_points=[[0, 3000], row]).key == "problem.damper_points"


def test_leverage_rows_rise_and_their_ratios_lie_inside_their_limit() -> None:
    same, beyond = table([0, 2.9], [0, 2.5], [55, 2.4]), table([0, 5.1], [55, 2.4])
    falling = table([0, 2.9], [30, 2.5], [20, 2.4])
    for found in (same, falling):
        assert found is not None
        assert found.key == "problem.leverage_rows"
    assert beyond is not None
    assert beyond.key == "problem.outside"


@pytest.mark.parametrize(("count", "taken"), [(1, False), (2, True), (60, True), (61, False)])
def test_a_chart_has_2_to_60_rows(count: int, taken: bool) -> None:
    chart = [[40 + row, 40 + row] for row in range(count)]
    if taken:
        request = asked(chart=chart)
        assert request.front is not None
        assert request.front.chart is not None
        assert request.front.chart[-1] == (39.0 + count, 39.0 + count)
    else:
        said = said_of("chart", chart=chart)
        assert (said.key, said.values) == ("problem.chart_rows", {"count": count})


@pytest.mark.parametrize(
    ("row", "taken"),
    [
        ([5, 5], True),  # a chart may begin below any rider
        ([4.9, 5], False),
        ([5, 4.9], False),
        ([200, 500], True),  # and end a quarter beyond the heaviest rider, 160 kg, and the highest pressure, 400 psi
        ([200.5, 500], False),
        ([200, 500.5], False),
    ],
)
def test_a_chart_may_begin_and_end_beyond_what_a_request_may_have(row: list[float], taken: bool) -> None:
    rows: list[list[float]] = [row, [60.0, 60.0]]
    chart = sorted(rows)
    if taken:
        assert asked(chart=chart)
    else:
        said = said_of("chart", chart=chart)
        assert (said.key, said.values["row"]) == ("problem.chart_row", chart.index(row) + 1)


@pytest.mark.parametrize("last", [[80, 90], [90, 80], [90, 70], [80, 80], [79, 95]])
def test_a_chart_rises_in_mass_and_in_pressure(last: list[float]) -> None:
    said = said_of("chart", chart=[[60, 60], [80, 80], last])
    assert (said.key, said.values) == ("problem.chart_order", {"row": 3})


def test_a_chart_may_hold_more_psi_than_kilograms() -> None:
    assert asked(chart=[[60, 100], [80, 110]])


@pytest.mark.parametrize(
    ("points", "key"),
    [
        ([[0, 3000]], "problem.damper_points"),
        ([[0, 3000], [4, 2000], [9, 800]], "problem.damper_points"),
        (7, "problem.damper_points"),
        ([[0, 3000], [61, 800]], "problem.outside"),
        ([[0, 60_001], [9, 800]], "problem.outside_with_unit"),
        ([[9, 3000], [9, 800]], "problem.damper_points_order"),
        ([[0, 800], [9, 800]], "problem.damper_points_order"),
        ([[0, 800], [9, 3000]], "problem.damper_points_order"),
        ([[9, 3000], [0, 800]], "problem.damper_points_order"),
    ],
)
def test_two_damper_points_fall_while_they_go_out(points: Any, key: str) -> None:
    assert said_of("rebound_points", rebound_points=points).key == key


def rates(raw: Any) -> Any:
    """Return the stocked rates of a coil fork as they are read."""
    request = asked(spring="coil", stocked_rates_n_per_mm=raw)
    assert request.front is not None
    return request.front.stocked_rates_n_per_mm


def test_stocked_rates_are_kept_rising_and_once_and_none_for_an_empty_list() -> None:
    assert rates([9, 7.5, 9]) == (7.5, 9.0)
    assert rates([]) is None
    assert len(rates(list(range(1, 41)))) == 40


def test_a_list_of_rates_is_a_list_of_at_most_40() -> None:
    assert said_of("stocked_rates_n_per_mm", spring="coil", stocked_rates_n_per_mm="9").key == "problem.no_list"
    said = said_of("stocked_rates_n_per_mm", spring="coil", stocked_rates_n_per_mm=list(range(1, 42)))
    assert (said.key, said.values) == ("problem.list_too_long", {"count": 41, "most": 40})


def test_a_list_of_pushes_may_have_8() -> None:
    forces = [100 * push for push in range(1, 9)]
    test = {"pressure_psi": 80, "compression_mm": list(range(8, 128, 15)), "force_down_n": forces, "force_up_n": forces}
    with pytest.raises(RequestError) as error:
        asked(spring_test=test | {"at": "wheel"})
    assert [one.field for one in error.value.problems] == ["front.spring_test.at"]


def test_a_list_of_pushes_has_at_most_8() -> None:
    said = said_of(
        "spring_test.compression_mm",
        spring_test={"pressure_psi": 80, "compression_mm": list(range(1, 10)), "force_down_n": [1], "force_up_n": [1]},
    )
    assert (said.key, said.values) == ("problem.list_too_long", {"count": 9, "most": 8})


def test_a_request_goes_out_and_comes_back_the_same() -> None:
    request = asked(chart=[[60, 60], [80, 80]], rebound_points=[[0, 3000], [9, 800]])
    assert read_request(request_data(request)) == request
    assert "longest_travel_mm" not in request_data(request)["front"]


@pytest.mark.parametrize(
    ("key", "field"),
    [("colour", "p.colour"), ("", "p.''"), (7, "p.7"), ("x" * 200, "p." + "x" * 118)],
)
def test_an_unknown_key_is_named_in_at_most_120_signs(key: Any, field: str) -> None:
    assert unknown_key(key, "p.").field == field


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        ("x" * 40, repr("x" * 40)),
        ("x" * 41, repr("x" * 37 + "...")),
        (True, "true"),
        (False, "false"),
        (1.5, "1.5"),
        (10**15 - 1, "999999999999999"),
        (10**15, "10^15"),
        (10**15 + 1, "10^15"),
        (-(10**15), "−10^15"),
        (-(10**15) + 1, "-999999999999999"),
        ({"a": 1}, "{…}"),
        ([1], "[…]"),
        ((1,), "[…]"),
        (None, "<NoneType>"),
    ],
)
def test_what_was_found_is_shown_in_few_signs(raw: Any, text: str) -> None:
    assert shown(raw) == text
