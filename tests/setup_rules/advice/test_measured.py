"""A scale and pushes in an answer: narrower, carried to other masses, kept apart by rider, and said."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules import EndSetup, SagCheck, Setup, apply_sag_check, read_request, recommend, what_if
from setup_rules.advice.sag_check import learned_of
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.weighed_wheel import share_by_scale
from setup_rules.types.request import Stance
from setup_rules.types.result import TakenCheck

RIDER: dict[str, Any] = {"rider_mass_kg": 78, "kit_mass_kg": 4, "bike_mass_kg": 14, "riding_style": "trail"}
PUSHES: dict[str, Any] = {
    "pressure_psi": 80,
    "compression_mm": [20, 42, 70, 98],
    "force_down_n": [195, 345, 570, 890],
    "force_up_n": [150, 305, 530, 840],
}
FORK: dict[str, Any] = {"travel_mm": 140, "stanchion_mm": 34}
SHOCK: dict[str, Any] = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}


def setup_of(test: bool = False, **rider: Any) -> Setup:
    """Return the answer for a fork and a shock, the fork pushed or not."""
    front = {**FORK, "spring_test": PUSHES} if test else FORK
    return recommend(read_request({**RIDER, **rider, "front": front, "rear": SHOCK}))


def front_of(setup: Setup) -> EndSetup:
    assert setup.front is not None
    return setup.front


def width(end: EndSetup) -> float:
    return end.pressure_high_pa / end.pressure_low_pa


def test_each_thing_that_is_measured_narrows_the_range() -> None:
    nothing, scale = setup_of(), setup_of(front_axle_kg=38.5)
    pushes, both = setup_of(test=True), setup_of(test=True, front_axle_kg=38.5)
    widths = [width(front_of(one)) for one in (nothing, scale, pushes, both)]
    assert widths[0] > widths[1] > widths[3]
    assert widths[0] > widths[2] > widths[3]


def test_more_on_the_front_wheel_asks_for_more_in_the_fork_and_less_in_the_shock() -> None:
    forks, shocks = [], []
    for kg in (34.0, 38.0, 42.0):
        answer = setup_of(front_axle_kg=kg)
        assert answer.rear is not None
        forks.append(front_of(answer).pressure_pa)
        shocks.append(answer.rear.pressure_pa)
    assert forks == sorted(forks)
    assert shocks == sorted(shocks, reverse=True)


def test_the_share_is_carried_to_other_masses_and_the_kilograms_are_not() -> None:
    weighed = setup_of(front_axle_kg=42.0)
    heavier = what_if(weighed, {"rider_mass_kg": 88})
    # The same share of ten kilograms more: a scale would have shown that much more.
    share = EndModel("front", heavier.request.front, heavier.request).front_share(0.0)  # type: ignore[arg-type]
    again = setup_of(rider_mass_kg=88, front_axle_kg=42.0 + 10.0 * float(share))
    assert front_of(heavier).load_n == pytest.approx(front_of(again).load_n, rel=2e-3)
    assert share_by_scale(heavier.request) == share_by_scale(weighed.request)


@pytest.mark.parametrize("stance", ["standing", "seated"])
def test_a_scale_read_in_another_stance_says_nothing_of_this_one(stance: Stance) -> None:
    other: Stance = "seated" if stance == "standing" else "standing"
    weighed = setup_of(front_axle_kg=42.0, stance=other)
    changed = what_if(weighed, {"stance": stance})
    assert front_of(changed).pressure_pa == front_of(setup_of(stance=stance)).pressure_pa
    assert not [note for note in changed.reasons if note.code.endswith("_scale")]


def test_after_a_scale_readings_tell_more_of_the_spring_and_less_of_the_rider() -> None:
    moved = {}
    for name, rider in (("guessed", {}), ("weighed", {"front_axle_kg": 38.2})):
        setup = setup_of(**rider)
        check = SagCheck(end="front", pressure_pa=front_of(setup).pressure_pa, readings_mm=(38.0, 37.0, 38.0))
        assert setup.request.front is not None
        model = EndModel("front", setup.request.front, setup.request)
        learned = learned_of(model, (TakenCheck(check=check, request=setup.request),))
        moved[name] = abs(float(model.front_share(learned.posterior.centre[0]) - model.front_share(0.0)))
    assert moved["weighed"] < 0.5 * moved["guessed"]


def test_a_check_taken_before_the_pushes_counts_after_them() -> None:
    before = setup_of()
    pumped = front_of(before).pressure_pa
    checked = apply_sag_check(before, SagCheck(end="front", pressure_pa=pumped, readings_mm=(36.0, 35.0, 36.0)))
    pushed = what_if(checked, {"front": {"spring_test": PUSHES}})
    assert front_of(pushed).checks_used == 1
    assert width(front_of(pushed)) < width(front_of(what_if(before, {"front": {"spring_test": PUSHES}})))


def test_the_same_pushes_always_give_the_same_answer() -> None:
    from setup_rules.inference import measured, spring_test

    first = setup_of(test=True)
    measured._unknowns.cache_clear()
    spring_test._fit.cache_clear()
    assert setup_of(test=True) == first


def test_pushes_hold_when_spacers_go_in_and_the_travel_changes() -> None:
    pushed = setup_of(test=True)
    firmer = what_if(pushed, {"front": {"volume_spacers": 2}})
    assert front_of(firmer).pushed == front_of(pushed).pushed
    assert front_of(firmer).full_force_n > front_of(pushed).full_force_n


def test_the_answer_says_what_the_scale_and_the_pushes_showed() -> None:
    setup = setup_of(test=True, front_axle_kg=40.0, rear_axle_kg=57.0)
    said = {note.code: note.message for note in setup.reasons}
    assert "41 % of rider, kit and bike is on the front wheel" in said["front_scale"]
    assert "59 % of rider, kit and bike is on the rear wheel" in said["rear_scale"]
    assert "4 pushes at 80 psi" in said["front_pushes"]
    assert "front_spring" not in said
    pushed = front_of(setup).pushed
    assert pushed is not None
    assert front_of(setup).friction_n == pytest.approx(pushed.friction_n, abs=1.0)


def test_a_scale_that_makes_no_riding_position_carries_a_caution() -> None:
    assert not [note for note in setup_of(front_axle_kg=40.0).cautions if note.code == "scale_unlikely"]
    found = [note for note in setup_of(front_axle_kg=66.0).cautions if note.code == "scale_unlikely"]
    assert [note.end for note in found] == ["front"]
    assert "72 %" in found[0].message


def test_clicks_are_counted_from_a_rider_who_stands_as_most_do() -> None:
    # The reference of the clicks is another rider: a heavier front wheel needs more damping than that one.
    usual, forward = front_of(setup_of(front_axle_kg=38.6)), front_of(setup_of(front_axle_kg=46.0))
    assert usual.rebound is not None
    assert forward.rebound is not None
    assert forward.rebound.damping_n_s_per_m > usual.rebound.damping_n_s_per_m
    assert forward.rebound.out < usual.rebound.out


def test_a_chart_is_read_for_anybody_however_this_rider_stands() -> None:
    chart = {"chart": [[60, 60], [80, 80], [100, 100]]}
    request = read_request({**RIDER, "front_axle_kg": 48.0, "front": {**FORK, **chart}})
    plain = recommend(replace(request, front_axle_kg=None))
    weighed = recommend(request)
    assert front_of(weighed).pressure_pa > 1.1 * front_of(plain).pressure_pa


def test_pushes_on_one_side_of_any_air_spring_carry_a_caution_in_words() -> None:
    def said_of(stanchion: int, psi: float) -> list[str]:
        front = {**FORK, "stanchion_mm": stanchion, "spring_test": {**PUSHES, "pressure_psi": psi}}
        setup = recommend(read_request({**RIDER, "front": front}))
        return [str(note.said) for note in setup.cautions if note.code == "pushes_doubted"]

    (below,) = said_of(38, 80)
    assert "N below any air spring of this kind. Check the pressure" in below
    (above,) = said_of(34, 60)
    assert "N above any air spring of this kind. Check the pressure" in above
    (one,) = said_of(34, 80)
    assert "at 42 mm lies 20 N off the curve" in one
    shock = {"pressure_psi": 100, "compression_mm": [10, 25, 40], "force_down_n": [470, 970, 1500],
             "force_up_n": [440, 925, 1450]}  # fmt: skip
    good = recommend(read_request({**RIDER, "rear": {**SHOCK, "spring_test": shock}}))
    assert not [note for note in good.cautions if note.code == "pushes_doubted"]


def test_a_check_after_pushes_is_held_against_what_the_pushes_said() -> None:
    for name, end in (("front", FORK), ("rear", SHOCK)):
        test = PUSHES if name == "front" else {
            "pressure_psi": 100, "compression_mm": [10, 25, 40], "force_down_n": [470, 970, 1500],
            "force_up_n": [440, 925, 1450],
        }  # fmt: skip
        before = recommend(read_request({**RIDER, name: {**end, "max_pressure_psi": 350, "spring_test": test}}))
        (start,) = before.ends()
        check = SagCheck(end=start.end, pressure_pa=start.pressure_pa, readings_mm=(start.sag_target_mm,))
        (after,) = apply_sag_check(before, check).ends()
        assert after.force_factor == pytest.approx(after.pressure_pa / start.pressure_pa, rel=0.03)
        reason = next(str(note.said) for note in before.reasons if note.code == f"{name}_pressure")
        assert f"By your pushes, this {'fork' if name == 'front' else 'shock'} needs" in reason
        assert "like this" not in reason
