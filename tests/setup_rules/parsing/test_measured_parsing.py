"""A scale and pushes in a request: what is refused and how it is said, and what of the day stays with them."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules import RequestError, SetupRequest, read_request, recommend, request_data, what_if

RIDER: dict[str, Any] = {"rider_mass_kg": 78, "kit_mass_kg": 4, "bike_mass_kg": 14, "riding_style": "trail"}
PUSHES: dict[str, Any] = {
    "pressure_psi": 80,
    "compression_mm": [20, 42, 70, 98],
    "force_down_n": [195, 345, 570, 890],
    "force_up_n": [150, 305, 530, 840],
}
FORK: dict[str, Any] = {"travel_mm": 140, "stanchion_mm": 34}
SHOCK: dict[str, Any] = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}


def asked(test: dict[str, Any] | None = None, **rider: Any) -> SetupRequest:
    """Return a request with a fork, a spring test of it and more about the rider."""
    front = FORK if test is None else {**FORK, "spring_test": test}
    return read_request({**RIDER, **rider, "front": front})


def refusal(test: dict[str, Any] | None = None, **rider: Any) -> tuple[str, str]:
    """Return (field, message) of the one problem that such a request is refused for."""
    with pytest.raises(RequestError) as refused:
        asked(test, **rider)
    (problem,) = refused.value.problems
    return problem.field, problem.message


def test_wheels_that_do_not_add_up_are_refused_with_both_numbers_the_sum_and_what_to_do() -> None:
    field, message = refusal(front_axle_kg=40, rear_axle_kg=49.5)
    assert field == "front_axle_kg"
    for word in ("40 kg", "49.5 kg", "89.5 kg", "96 kg", "4.8 kg", "Weigh both wheels again"):
        assert word in message


@pytest.mark.parametrize(("rear", "taken"), [(51.3, True), (51.1, False), (60.7, True), (60.9, False)])
def test_wheels_add_up_within_the_larger_of_four_kilograms_and_five_per_cent(rear: float, taken: bool) -> None:
    # 78 + 4 + 14 = 96 kg, 5 % of it 4.8 kg: 51.2 to 60.8 kg beside 40.
    try:
        assert asked(front_axle_kg=40, rear_axle_kg=rear).rear_axle_kg == rear
    except RequestError:
        assert not taken
    else:
        assert taken


def test_a_light_rider_has_four_kilograms() -> None:
    light = {"rider_mass_kg": 30, "kit_mass_kg": 1, "bike_mass_kg": 9}
    assert asked(**light, front_axle_kg=16, rear_axle_kg=27.9).rear_axle_kg == 27.9
    assert "4 kg" in refusal(**light, front_axle_kg=16, rear_axle_kg=28.1)[1]


def test_a_scale_with_everything_on_it_is_refused() -> None:
    field, message = refusal(rear_axle_kg=96)
    assert (field, "only one wheel" in message) == ("rear_axle_kg", True)


def test_a_share_and_a_scale_are_one_too_many() -> None:
    assert refusal(front_axle_kg=40, rider_front_share_percent=40)[0] == "front_axle_kg"


WRONG = {
    "too few": ({"compression_mm": [20], "force_down_n": [1], "force_up_n": [1]}, "compression_mm", "One push"),
    "a force short": ({"force_up_n": [150, 305, 530]}, "force_up_n", "3 forces for 4"),
    "out of order": ({"compression_mm": [20, 70, 42, 98]}, "compression_mm", "42 mm of compression comes after 70"),
    "falling down": ({"force_down_n": [195, 345, 340, 890]}, "force_down_n", "falls from 345 N at 42 mm to 340 N"),
    "falling up": ({"force_up_n": [150, 305, 300, 840]}, "force_up_n", "300 N at 70 mm and 305 N at 42 mm"),
    "up above down": ({"force_up_n": [150, 305, 620, 840]}, "force_up_n", "At 70 mm, coming up takes 620 N"),
    "swapped": (
        {"force_down_n": [150, 305, 530, 840], "force_up_n": [195, 345, 570, 890]}, "force_up_n", "Swap the two"
    ),
    "beyond travel": ({"compression_mm": [20, 42, 70, 140]}, "compression_mm", "140 mm is as far as the travel"),
    "close together": ({"compression_mm": [60, 63, 70, 80]}, "compression_mm", "too close together"),
    "stuck": ({"force_up_n": [10, 105, 330, 640]}, "force_up_n", "114 N, more than 90 N"),
    "no spring": (
        {"force_down_n": [495, 545, 570, 590], "force_up_n": [450, 505, 530, 540]}, "force_down_n", "No air fork"
    ),
    "at the wheel": ({"at": "wheel"}, "at", "Push a fork along its legs"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_points_that_no_spring_gives_are_refused_with_a_clear_sentence(case: str) -> None:
    change, field, words = WRONG[case]
    found, message = refusal({**PUSHES, **change})
    assert found == f"front.spring_test.{field}"
    assert words in message
    assert message.endswith((".", "%."))


def test_up_may_lie_over_down_by_reading_error_alone() -> None:
    assert asked({**PUSHES, "force_up_n": [150, 305, 575, 840]}).front is not None


def test_lists_that_are_none_or_hold_no_numbers_are_refused() -> None:
    for raw, words in (("x", "not a list"), ([1] * 9, "more than 8"), ([1, 2, "x"], "not a number"), (4, "not a list")):
        with pytest.raises(RequestError) as refused:
            asked({**PUSHES, "compression_mm": raw})
        assert any(words in p.message for p in refused.value.problems)


def test_a_test_keeps_the_travel_spacers_and_air_of_its_day() -> None:
    request = read_request(
        {**RIDER, "bench": {"temperature_c": 5, "altitude_m": 900}, "front": {**FORK, "volume_spacers": 2}
         | {"spring_test": PUSHES}}
    )  # fmt: skip
    assert request.front is not None
    kept = request.front.spring_test
    assert kept is not None
    assert (kept.tested_travel_mm, kept.tested_spacers, kept.temperature_c, kept.altitude_m) == (140.0, 2, 5.0, 900.0)
    assert read_request(request_data(request)) == request
    later = what_if(recommend(request), {"front": {"volume_spacers": 0, "travel_mm": 130}}).request
    assert later.front is not None
    assert later.front.spring_test == kept


def test_a_scale_keeps_the_masses_and_the_stance_of_its_day() -> None:
    request = asked(front_axle_kg=40)
    assert (request.weighed_kg, request.weighed_stance) == (96.0, "standing")
    heavier = what_if(recommend(request), {"kit_mass_kg": 12}).request
    assert (heavier.front_axle_kg, heavier.weighed_kg) == (40.0, 96.0)
    again = what_if(recommend(heavier), {"front_axle_kg": 44}).request
    assert (again.front_axle_kg, again.weighed_kg) == (44.0, 104.0)


def test_a_new_spring_test_takes_nothing_from_an_old_one() -> None:
    old = recommend(asked({**PUSHES, "altitude_m": 1200}))
    new = what_if(old, {"front": {"spring_test": {**PUSHES, "pressure_psi": 82}}}).request
    assert new.front is not None
    assert new.front.spring_test is not None
    assert (new.front.spring_test.pressure_psi, new.front.spring_test.altitude_m) == (82.0, 0.0)


def test_a_request_with_nothing_measured_is_what_it_was() -> None:
    data = request_data(asked())
    assert not {"weighed_kg", "weighed_stance", "front_axle_kg", "rear_axle_kg"} & data.keys()
    assert "spring_test" not in data["front"]


def test_a_sum_that_was_taken_is_taken_again_after_its_weights_were_rounded_to_be_kept() -> None:
    kept = request_data(asked(front_axle_kg=40.2, rear_axle_kg=51.05))
    rounded = {**kept, "front_axle_kg": 40.0, "rear_axle_kg": 51.0}
    assert read_request(rounded).rear_axle_kg == 51.0
    with pytest.raises(RequestError):
        read_request({**rounded, "rear_axle_kg": 49.0})


def test_pushes_above_the_maximum_that_was_entered_are_refused_with_what_to_do() -> None:
    for front in ({**FORK, "max_pressure_psi": 75}, {**FORK, "max_pressure_psi": 79.9}):
        with pytest.raises(RequestError) as refused:
            read_request({**RIDER, "front": {**front, "spring_test": PUSHES}})
        (problem,) = refused.value.problems
        assert problem.field == "front.spring_test.pressure_psi"
        for words in ("80 psi", f"{front['max_pressure_psi']} psi", "fork", "Never pump above", "Let air out"):
            assert words in problem.message
    assert read_request({**RIDER, "front": {**FORK, "max_pressure_psi": 80, "spring_test": PUSHES}}).front is not None


def test_pushes_above_a_maximum_that_is_only_assumed_get_a_caution() -> None:
    hard = {key: [1.6 * n for n in PUSHES[key]] for key in ("force_down_n", "force_up_n")}
    setup = recommend(asked({**PUSHES, **hard, "pressure_psi": 130}))
    (said,) = [str(note.said) for note in setup.cautions if note.code == "pushed_above_assumed"]
    assert "130 psi" in said
    assert "120 psi" in said
    assert not [n for n in recommend(asked(PUSHES)).cautions if n.code == "pushed_above_assumed"]


@pytest.mark.parametrize(
    ("wheel", "reading"),
    [("front_axle_kg", 95.9), ("front_axle_kg", 4), ("front_axle_kg", 75), ("rear_axle_kg", 95), ("rear_axle_kg", 5)],
)
def test_a_share_that_nobody_can_stand_in_is_refused_with_value_limits_and_what_to_do(
    wheel: str, reading: float
) -> None:
    field, message = refusal(**{wheel: reading})
    assert field == wheel
    low, high = ("15", "68") if wheel == "front_axle_kg" else ("28", "81")
    for words in (f"shows {reading} kg", f"{low} to {high} kg", "96 kg", "Put only the", "weigh again"):
        assert words in message


@pytest.mark.parametrize("reading", [15, 68])
def test_at_the_limits_of_what_can_be_stood_in_there_is_one_caution_and_every_number_can_be(reading: float) -> None:
    shock = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}
    for ends in ({"front": FORK, "rear": shock}, {"rear": {**shock, "spring": "coil"}, "front": FORK}):
        setup = recommend(read_request({**RIDER, **ends, "front_axle_kg": reading}))
        assert [note.code for note in setup.cautions].count("scale_unlikely") == 1
        for said in (str(note.said) for note in (*setup.cautions, *setup.reasons)):
            assert not any(wrong in said for wrong in ("−", " -", " 0 psi", " 0 N/mm")), said
