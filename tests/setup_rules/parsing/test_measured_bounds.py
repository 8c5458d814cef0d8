"""A scale and pushes at their bounds: the last figure taken, the first refused, and what is said of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules import RequestError, SetupRequest, read_request
from setup_rules.messages.message import Message
from setup_rules.parsing.measured_parsing import (
    _force_problems,
    _list_problems,
    _place_problems,
    _pressure_problems,
    keep_the_day,
)
from setup_rules.types.errors import Problem
from setup_rules.types.request import FrontEnd, RearEnd, SpringTest

#: 78 + 4 + 14 = 96 kg, of which the rider with kit is 82 kg.
RIDER: dict[str, Any] = {"rider_mass_kg": 78, "kit_mass_kg": 4, "bike_mass_kg": 14, "riding_style": "trail"}
FORK: dict[str, Any] = {"travel_mm": 140, "stanchion_mm": 34}
SHOCK: dict[str, Any] = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}
TEST = SpringTest(
    pressure_psi=80.0,
    compression_mm=(20.0, 42.0, 70.0, 98.0),
    force_down_n=(195.0, 345.0, 570.0, 890.0),
    force_up_n=(150.0, 305.0, 530.0, 840.0),
)
Said = tuple[str, Message]


def scaled(**given: Any) -> Said | None:
    """Return (field, message) of what a request with scale readings is refused for, None where it is taken."""
    try:
        read_request({**RIDER, "front": FORK, **given})
    except RequestError as refused:
        (problem,) = refused.problems
        return only([problem])
    return None


def only(problems: list[Problem]) -> Said | None:
    """Return (field, message) of the one problem there is, None without one."""
    if not problems:
        return None
    (problem,) = problems
    assert isinstance(problem.said, Message)
    return problem.field, problem.said


@pytest.mark.parametrize(
    ("wheel", "taken", "refused", "low", "high"),
    [
        # On the front at least a tenth of 82 kg and 0.475 of the bike's 14 kg, 14.85 kg; at most three quarters, 68.15.
        ("front", 14.9, 14.8, 15, 68),
        ("front", 68.1, 68.2, 15, 68),
        # On the rear what is left of 96 kg: 27.85 to 81.15 kg.
        ("rear", 27.9, 27.8, 28, 81),
        ("rear", 81.1, 81.2, 28, 81),
    ],
)
def test_a_wheel_carries_what_somebody_can_stand_on(
    wheel: str, taken: float, refused: float, low: int, high: int
) -> None:
    field = f"{wheel}_axle_kg"
    assert scaled(**{field: taken}) is None
    found = scaled(**{field: refused})
    assert found is not None
    assert found[0] == field
    assert found[1].key == f"scale.no_stance.{wheel}"
    assert found[1].values == {"reading": refused, "total": 96, "low": low, "high": high}


def test_two_wheels_that_nobody_stands_on_are_one_problem() -> None:
    found = scaled(front_axle_kg=10, rear_axle_kg=86)
    assert found is not None
    assert found[0] == "front_axle_kg"


@pytest.mark.parametrize(("field", "reading"), [("front_axle_kg", 96), ("rear_axle_kg", 96), ("rear_axle_kg", 97)])
def test_one_wheel_never_carries_it_all(field: str, reading: float) -> None:
    found = scaled(**{field: reading})
    assert found is not None
    assert (found[0], found[1].key) == (field, "scale.all_of_it")
    assert found[1].values == {"reading": reading, "total": 96}


def test_weights_that_were_kept_may_be_a_kilogram_off_and_are_held_to_no_stance() -> None:
    # Of a day with 90 kg: up to below 91 kg on one wheel, though nobody could stand so.
    assert scaled(front_axle_kg=90.9, weighed_kg=90) is None
    found = scaled(front_axle_kg=91, weighed_kg=90)
    assert found is not None
    assert found[1].key == "scale.all_of_it"


@pytest.mark.parametrize(("rear", "taken"), [(41.7, True), (41.9, False)])
def test_the_sum_of_kept_weights_has_a_kilogram_more(rear: float, taken: bool) -> None:
    # 96 kg, 5 % of them 4.8 kg, and 1 kg: up to 101.8 kg.
    assert (scaled(front_axle_kg=60, rear_axle_kg=rear, weighed_kg=96) is None) is taken


def test_a_sum_that_is_exactly_as_far_off_as_allowed_is_taken() -> None:
    # 30 + 1 + 9 = 40 kg: 5 % are 2 kg, so 4 kg are allowed, 44 kg and 36 kg together.
    light = {"rider_mass_kg": 30, "kit_mass_kg": 1, "bike_mass_kg": 9}
    for rear, taken in ((28, True), (28.5, False), (20, True), (19.5, False)):
        found = scaled(**light, front_axle_kg=16, rear_axle_kg=rear)
        assert (found is None) is taken
        if found:
            assert found[1].values == {"front": 16, "rear": rear, "sum": 16 + rear, "total": 40, "allowed": 4}


def test_weights_that_do_not_add_up_are_told_to_a_tenth_of_a_kilogram() -> None:
    # 78 + 4 + 14.5 = 96.5 kg, 5 % of them 4.825 kg.
    found = scaled(bike_mass_kg=14.5, front_axle_kg=40.26, rear_axle_kg=41.26)
    assert found is not None
    assert found[1].values == {"front": 40.3, "rear": 41.3, "sum": 81.5, "total": 96.5, "allowed": 4.8}


@pytest.mark.parametrize("reading", [15.6, 67.6])
def test_a_share_that_can_just_be_stood_in_is_taken(reading: float) -> None:
    # A tenth and three quarters of 80 kg, and 0.475 of the bike's 16 kg: 8 + 7.6 and 60 + 7.6 kg.
    assert scaled(kit_mass_kg=2, bike_mass_kg=16, front_axle_kg=reading) is None


@pytest.mark.parametrize("field", ["front_axle_kg", "rear_axle_kg"])
def test_a_share_beside_a_scale_is_refused_at_the_reading(field: str) -> None:
    found = scaled(**{field: 45}, rider_front_share_percent=40)
    assert found is not None
    assert (found[0], found[1].key) == (field, "scale.share_too")


@pytest.mark.parametrize(("count", "taken"), [(2, False), (3, True), (8, True), (9, False)])
def test_a_test_has_3_to_8_pushes(count: int, taken: bool) -> None:
    row = tuple(10.0 + n for n in range(count))
    test = replace(TEST, compression_mm=row, force_down_n=row, force_up_n=row)
    found = only(_list_problems("it", test))
    if taken:
        assert found is None
    else:
        assert found == ("it.compression_mm", Message.of("pushes.count", count=count, least=3, most=8))
        assert found[1].values == {"count": count, "least": 3, "most": 8}


@pytest.mark.parametrize("field", ["force_down_n", "force_up_n"])
@pytest.mark.parametrize("count", [3, 5])
def test_there_is_a_force_for_each_push(field: str, count: int) -> None:
    forces: dict[str, Any] = {field: (1.0, 2.0, 3.0, 4.0, 5.0)[:count]}
    found = only(_list_problems("it", replace(TEST, **forces)))
    assert found is not None
    assert (found[0], found[1].values) == (f"it.{field}", {"count": count, "pushes": 4})


@pytest.mark.parametrize(
    ("change", "field", "key"),
    [
        ({"compression_mm": (20.0, 42.0, 42.0, 98.0)}, "compression_mm", "pushes.order"),
        ({"force_down_n": (195.0, 345.0, 345.0, 890.0)}, "force_down_n", "pushes.falling"),
        ({"force_up_n": (150.0, 305.0, 305.0, 840.0)}, "force_up_n", "pushes.falling_up"),
        ({"force_up_n": (150.0, 305.0, 250.0, 840.0)}, "force_up_n", "pushes.falling_up"),
    ],
)
def test_every_push_is_further_and_harder_than_the_one_before(change: dict[str, Any], field: str, key: str) -> None:
    assert _force_problems("it", TEST) == []
    found = only(_force_problems("it", replace(TEST, **change)))
    assert found is not None
    assert (found[0], found[1].key) == (f"it.{field}", key)
    if field == "compression_mm":
        assert found[1].values == {"before": 42, "after": 42}
        return
    assert (found[1].values["first"], found[1].values["second"]) == (42, 70)
    before, after = (found[1].values[name] for name in ("before", "after"))
    assert isinstance(before, Message)
    assert isinstance(after, Message)
    forces = change[field]
    assert (before.values["n"], after.values["n"]) == (forces[1], forces[2])


def crossed(down: tuple[float, ...], up: tuple[float, ...]) -> float | None:
    """Return at which compression [mm] up is said to lie above down, None where it may."""
    found = only(_force_problems("it", replace(TEST, force_down_n=down, force_up_n=up)))
    if found is None:
        return None
    assert found[1].key == "pushes.crossed"
    mm = found[1].values["x"]
    assert isinstance(mm, int | float)
    return mm


@pytest.mark.parametrize(
    ("down", "up", "where"),
    [
        # Up to twice the reading error: 10 N, or 3 % of the force where that is more (of 1000 N: 30 N).
        ((200.0, 400.0, 600.0, 1000.0), (220.0, 390.0, 590.0, 990.0), None),
        ((200.0, 400.0, 600.0, 1000.0), (220.5, 390.0, 590.0, 990.0), 20),
        ((200.0, 400.0, 600.0, 1000.0), (190.0, 390.0, 590.0, 1060.0), None),
        ((200.0, 400.0, 600.0, 1000.0), (190.0, 390.0, 590.0, 1060.5), 98),
        # Over all of them by no more than the errors together, 4 · 10 N: then the two were not swapped.
        ((100.0, 150.0, 200.0, 250.0), (110.0, 160.0, 210.0, 260.0), None),
        ((100.0, 150.0, 200.0, 250.0), (111.0, 160.0, 210.0, 260.0), 20),
        ((100.0, 150.0, 200.0, 250.0), (100.0, 165.0, 215.0, 265.0), 42),  # at 20 mm up is not above down
        ((100.0, 150.0, 200.0, 250.0), (100.5, 165.0, 215.0, 265.0), 20),
        ((100.0, 150.0, 200.0, 250.0), (95.0, 170.0, 220.0, 270.0), 42),  # nor where it lies below
    ],
)
def test_coming_up_may_take_more_than_going_down_by_reading_error_alone(
    down: tuple[float, ...], up: tuple[float, ...], where: float | None
) -> None:
    assert crossed(down, up) == where


def placed(end: FrontEnd | RearEnd, *mm: float, **given: Any) -> Said | None:
    """Return what pushes at these compressions [mm] of an end are refused for."""
    return only(_place_problems("it", end, replace(TEST, compression_mm=mm, **given)))


@pytest.mark.parametrize(
    ("mm", "key"),
    [
        ((20.0, 50.0, 99.9), None),
        ((20.0, 50.0, 100.0), "pushes.beyond"),
        ((20.0, 24.0, 60.0), None),  # 4 mm apart are 4 % of 100 mm
        ((20.0, 23.9, 60.0), "pushes.close"),
        ((20.0, 30.0, 50.0), None),  # 30 mm in all are 30 % of it
        ((20.0, 30.0, 49.9), "pushes.close"),
        ((50.0, 60.0, 79.0), "pushes.close"),
    ],
)
def test_pushes_lie_inside_the_travel_apart_and_over_enough_of_it(mm: tuple[float, ...], key: str | None) -> None:
    found = placed(FrontEnd(travel_mm=100.0), *mm)
    assert (found and found[1].key) == key
    if found:
        assert found[0] == "it.compression_mm"
        assert found[1].values["travel"] == 100


def test_pushes_are_held_against_the_travel_of_their_day() -> None:
    assert placed(FrontEnd(travel_mm=80.0), 20.0, 50.0, 99.9, tested_travel_mm=100.0) is None
    assert placed(FrontEnd(travel_mm=120.0), 20.0, 50.0, 101.0, tested_travel_mm=100.0) is not None


def test_a_shock_pushed_at_its_wheel_has_the_wheels_travel() -> None:
    # Leverage of 2.5 all along: 50 mm of stroke are 125 mm at the wheel.
    shock = RearEnd(stroke_mm=50.0, leverage_start=2.5, leverage_end=2.5)
    assert placed(shock, 30.0, 80.0, 124.9, at="wheel") is None
    found = placed(shock, 30.0, 80.0, 125.1, at="wheel")
    assert found is not None
    assert found[1].values == {"x": 125.1, "travel": 125}
    assert placed(shock, 10.0, 30.0, 49.9) is None
    assert placed(shock, 10.0, 30.0, 50.1) is not None


def test_a_fork_is_not_pushed_at_its_wheel() -> None:
    found = placed(FrontEnd(travel_mm=100.0), 20.0, 50.0, 99.0, at="wheel")
    assert found == ("it.at", Message.of("pushes.fork_at_wheel"))


@pytest.mark.parametrize(
    ("name", "end", "most", "unit"),
    [("front", FORK, 75, "fork"), ("rear", SHOCK, 75, "shock")],
)
def test_a_test_above_the_maximum_is_refused_in_the_words_of_its_end(
    name: str, end: dict[str, Any], most: float, unit: str
) -> None:
    test = {"pressure_psi": 80, "compression_mm": [5, 20, 40], "force_down_n": [9, 99, 199], "force_up_n": [8, 98, 198]}
    with pytest.raises(RequestError) as refused:
        read_request({**RIDER, name: {**end, "max_pressure_psi": most, "spring_test": test}})
    found = only(list(refused.value.problems))
    assert found is not None
    assert (found[0], found[1].key) == (f"{name}.spring_test.pressure_psi", f"pushes.above_maximum.{unit}")
    assert found[1].values == {"psi": 80, "limit": 75}


def day_of(test: SpringTest, **given: Any) -> SpringTest:
    """Return a test after the day of a request with two spacers, at 5 °C and 900 m, was kept with it."""
    front = FrontEnd(travel_mm=140.0, volume_spacers=2, spring_test=test)
    bench = read_request({**RIDER, "bench": {"temperature_c": 5, "altitude_m": 900}, "front": FORK}).bench
    kept = keep_the_day(SetupRequest(rider_mass_kg=78.0, riding_style="trail", bench=bench, front=front, **given))
    assert kept.front is not None
    assert kept.front.spring_test is not None
    return kept.front.spring_test


def test_what_a_test_says_of_its_day_stays_also_where_it_is_nothing() -> None:
    said = replace(TEST, tested_travel_mm=120.0, tested_spacers=0, temperature_c=0.0, altitude_m=0.0)
    assert day_of(said) == said


def test_what_a_test_leaves_out_is_that_of_the_request() -> None:
    assert day_of(TEST) == replace(TEST, tested_travel_mm=140.0, tested_spacers=2, temperature_c=5.0, altitude_m=900.0)


def test_the_stance_of_a_scales_day_stays() -> None:
    request = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=FrontEnd(travel_mm=140.0))
    weighed = replace(request, rear_axle_kg=50.0, stance="seated")
    assert (keep_the_day(weighed).weighed_kg, keep_the_day(weighed).weighed_stance) == (96.0, "seated")
    assert keep_the_day(replace(weighed, weighed_stance="standing")).weighed_stance == "standing"
    assert keep_the_day(request) is request


def pushed(down: tuple[float, ...], up: tuple[float, ...]) -> Message | None:
    """Return what a fork's forces going down and coming up are refused with, None where they are taken."""
    test = {"pressure_psi": 80, "compression_mm": TEST.compression_mm, "force_down_n": down, "force_up_n": up}
    found = scaled(front={**FORK, "spring_test": test})
    return found and found[1]


def times(factor: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the forces of a fork in order, each with a factor."""
    return tuple(factor * n for n in TEST.force_down_n), tuple(factor * n for n in TEST.force_up_n)


@pytest.mark.parametrize(("factor", "way"), [(1 / 2.2046, "less"), (2.2046, "more")])
def test_pounds_taken_for_kilograms_are_told_by_what_the_forces_would_be_otherwise(factor: float, way: str) -> None:
    # A scale shows 2.2046 lb for 1 kg (NIST SP 811).
    assert pushed(*times(1.0)) is None
    said = pushed(*times(factor))
    assert said is not None
    assert said.key == f"pushes.wrong_unit.{way}.fork"


@pytest.mark.parametrize(("third", "way"), [(800.0, "more"), (400.0, "less")])
def test_one_push_far_off_any_spring_is_named_with_the_way_it_lies_off(third: float, way: str) -> None:
    said = pushed((195.0, 345.0, third, 890.0), (150.0, 305.0, third - 40.0, 850.0))
    assert said is not None
    assert (said.key, said.values["x"]) == (f"pushes.no_spring.{way}.fork", 70)


@pytest.mark.parametrize(("friction", "too_much"), [(90.0, False), (91.0, True)])
def test_a_fork_that_rubs_with_more_than_90_newtons_is_stuck(friction: float, too_much: bool) -> None:
    middle = (200.0, 340.0, 560.0, 870.0)
    said = pushed(tuple(n + friction for n in middle), tuple(n - friction for n in middle))
    assert (said is not None and said.key == "pushes.friction") is too_much


def test_a_test_below_the_maximum_is_taken() -> None:
    assert _pressure_problems("it", FrontEnd(travel_mm=140.0, max_pressure_psi=90.0), TEST) == []
