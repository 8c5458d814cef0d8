"""Coil main springs: which spring and preload, when a sag check is done, and what stays when something changes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

import setup_rules as rules
from setup_rules.advice.coil_choice import preload_steps_mm
from setup_rules.messages import rounding

FRONT: dict[str, Any] = {
    "travel_mm": 150,
    "spring": "coil",
    "rebound_clicks": 16,
    "stocked_rates_n_per_mm": [7, 8, 9, 10, 11, 12],
    "preload_mm_max": 8,
    "coil_stroke_mm": 170,
}
REAR: dict[str, Any] = {
    "stroke_mm": 55,
    "leverage_start": 2.9,
    "leverage_end": 2.4,
    "spring": "coil",
    "rebound_clicks": 14,
    "stocked_rates_n_per_mm": [61.3, 70.05, 78.81, 87.56, 96.32],
    "preload_mm_max": 4,
    "preload_pitch_mm": 1.25,
    "coil_stroke_mm": 60,
}


def setup_of(**changes: Any) -> rules.Setup:
    """Return the setup of a bike with coils at both ends."""
    data = {"rider_mass_kg": 78, "riding_style": "trail", "front": FRONT, "rear": REAR}
    return rules.recommend(rules.read_request({**data, **changes}))


def coil_of(setup: rules.Setup, name: str) -> Any:
    """Return the coil of one end."""
    end = setup.front if name == "front" else setup.rear
    assert end is not None
    assert end.coil is not None
    return end.coil


def measured(setup: rules.Setup, name: Any, share: float, count: int = 2, **given: Any) -> rules.SagCheck:
    """Return a check with the spring as it was advised, the sag a share of what was expected."""
    end, coil = setup.front if name == "front" else setup.rear, coil_of(setup, name)
    assert end is not None
    sag = round(2 * share * end.sag_expected_mm) / 2
    spring = {"spring_rate_n_per_mm": coil.rate_n_per_m / 1000, "preload_mm": coil.preload_mm}
    return rules.SagCheck(end=name, **{**spring, "readings_mm": (sag,) * count, "confirm": True, **given})


@pytest.mark.parametrize("name", ["front", "rear"])
def test_a_heavier_rider_gets_a_firmer_spring(name: str) -> None:
    rates = [coil_of(setup_of(rider_mass_kg=mass), name).rate_wanted_n_per_m for mass in (50, 70, 90, 110)]
    assert rates == sorted(rates)
    assert rates[-1] > 1.5 * rates[0]


@pytest.mark.parametrize("name", ["front", "rear"])
def test_weather_and_altitude_change_nothing(name: str) -> None:
    there = {"bench": {"temperature_c": 30, "altitude_m": 0}, "ride": {"temperature_c": -10, "altitude_m": 3000}}
    assert coil_of(setup_of(**there), name) == coil_of(setup_of(), name)


@pytest.mark.parametrize("name", ["front", "rear"])
def test_a_sag_on_target_is_done_and_keeps_the_spring(name: Any) -> None:
    setup = setup_of()
    after = rules.apply_sag_check(setup, measured(setup, name, 1.0))
    assert after.settled
    assert coil_of(after, name).origin == "fitted"
    assert coil_of(after, name).rate_n_per_m == pytest.approx(coil_of(setup, name).rate_n_per_m)
    assert after.advice[0].code == "sag_settled"


@pytest.mark.parametrize("name", ["front", "rear"])
@pytest.mark.parametrize(("share", "firmer"), [(1.25, True), (0.8, False)])
def test_a_sag_off_target_asks_for_another_spring_or_preload(name: Any, share: float, firmer: bool) -> None:
    setup = setup_of()
    before, after = coil_of(setup, name), rules.apply_sag_check(setup, measured(setup, name, share))
    moved = coil_of(after, name)
    assert not after.settled
    assert (moved.rate_n_per_m, moved.preload_mm) != (before.rate_n_per_m, before.preload_mm)
    assert ((moved.rate_n_per_m, moved.preload_mm) > (before.rate_n_per_m, before.preload_mm)) == firmer
    end = after.front if name == "front" else after.rear
    assert end is not None
    assert end.reaches_target


def test_the_other_end_stays_as_it_was() -> None:
    setup = setup_of()
    assert rules.apply_sag_check(setup, measured(setup, "front", 1.3)).rear == setup.rear


def test_a_fitted_spring_stays_where_preload_is_enough() -> None:
    setup = setup_of(rear={**REAR, "fitted_rate_n_per_mm": 75.0})
    coil = coil_of(setup, "rear")
    assert (coil.origin, coil.rate_n_per_m) == ("fitted", 75_000.0)
    assert coil.preload_mm > coil.preload_min_mm
    far = coil_of(setup_of(rear={**REAR, "fitted_rate_n_per_mm": 45.0}), "rear")
    assert far.origin == "stocked"


def test_more_preload_than_the_limit_is_never_kept() -> None:
    setup = setup_of()
    check = measured(setup, "rear", 1.0, preload_mm=9.0)
    after = rules.apply_sag_check(setup, check)
    assert coil_of(after, "rear").preload_mm <= 4.0
    assert "preload_above_limit" in {note.code for note in after.cautions}


@pytest.mark.parametrize(
    ("end", "steps"),
    [
        ({"preload_mm_max": 3.0}, (1.0, 1.5, 2.0, 2.5, 3.0)),
        ({"preload_mm_max": 3.0, "preload_pitch_mm": 1.2}, (1.2, 1.5, 1.8, 2.1, 2.4, 2.7, 3.0)),
        ({"preload_mm_max": 0.2}, (0.2,)),
        ({"coil_stroke_mm": 54.0}, (0.0,)),
        ({"preload_mm_max": 4.0, "coil_stroke_mm": 56.2}, (1.0,)),
    ],
)
def test_preload_is_told_in_whole_steps_inside_its_limits(end: dict[str, Any], steps: tuple[float, ...]) -> None:
    data = {k: v for k, v in REAR.items() if k not in ("preload_mm_max", "preload_pitch_mm", "coil_stroke_mm")} | end
    request = rules.read_request({"rider_mass_kg": 78, "riding_style": "trail", "rear": data})
    assert request.rear is not None
    assert preload_steps_mm(request.rear) == pytest.approx(steps)


def test_a_spring_that_is_too_short_is_never_to_be_fitted() -> None:
    setup = setup_of(rear={**REAR, "coil_stroke_mm": 50})
    assert "coil_too_short" in {note.code for note in setup.cautions}
    assert coil_of(setup, "rear").preload_mm == 0.0


def test_springs_that_cannot_reach_the_target_say_which_would() -> None:
    setup = setup_of(front={**FRONT, "stocked_rates_n_per_mm": [4]})
    assert setup.front is not None
    assert setup.front.limited
    (note,) = [note for note in setup.cautions if note.code == "coil_out_of_reach"]
    assert note.said.values["rate"] == round(coil_of(setup, "front").rate_wanted_n_per_m / 1000, 1)


def test_a_heavier_rider_needs_a_stiffer_spring() -> None:
    light, heavy = setup_of(rider_mass_kg=60), setup_of(rider_mass_kg=100)
    for end in ("front", "rear"):
        assert coil_of(heavy, end).rate_n_per_m > 1.2 * coil_of(light, end).rate_n_per_m


def test_what_if_keeps_what_the_checks_taught() -> None:
    setup = setup_of()
    after = rules.apply_sag_check(setup, measured(setup, "rear", 1.25))
    lighter = rules.what_if(after, {"rider_mass_kg": 60})
    assert lighter.checks == after.checks
    assert coil_of(lighter, "rear").rate_wanted_n_per_m < coil_of(after, "rear").rate_wanted_n_per_m
    struck = rules.strike_check(after, 0)
    assert struck.rear is not None
    assert struck.rear.checks_used == 0


def test_an_air_spring_becomes_a_coil_in_a_what_if() -> None:
    data = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 150, "rebound_clicks": 16}}
    setup = rules.recommend(rules.read_request(data))
    after = rules.what_if(setup, {"front": {"spring": "coil"}})
    assert after.front is not None
    assert after.front.coil is not None
    assert coil_of(after, "front").origin == "exact"
    back = rules.what_if(after, {"front": {"spring": "air"}})
    assert back.front == setup.front


def test_rebound_follows_a_rate_that_moves_far() -> None:
    setup = setup_of(rider_mass_kg=60)
    after = rules.what_if(setup, {"rider_mass_kg": 100})
    assert setup.rear is not None
    assert after.rear is not None
    assert setup.rear.rebound is not None
    assert after.rear.rebound is not None
    assert after.rear.rebound.out < setup.rear.rebound.out
    assert {"rebound_follows", "rebound_stays"} & {note.code for note in after.advice}


def test_a_ride_that_bottoms_out_takes_the_next_spring_and_none_twice() -> None:
    setup = setup_of()
    setup = rules.apply_sag_check(setup, measured(setup, "rear", 1.0))
    rates = [coil_of(setup, "rear").rate_n_per_m]
    for _ in range(4):
        setup = rules.apply_ride(setup, rules.RideReport(end="rear", felt=("hits_the_end",)))
        rates.append(coil_of(setup, "rear").rate_n_per_m)
    assert rates[1] > rates[0]
    assert rates == sorted(rates)
    assert setup.rides[-1].change.kind in ("spring_rate", "sag_target", "workshop")


def test_readings_from_both_sides_bracket_the_friction_of_a_coil_too() -> None:
    setup = setup_of()
    assert setup.front is not None
    sag = setup.front.sag_expected_mm
    sides = {"readings_mm": (), "readings_from_above_mm": (sag - 4.0,), "readings_from_below_mm": (sag + 4.0,)}
    one_way = rules.apply_sag_check(setup, measured(setup, "front", 1.0, 1))
    both = rules.apply_sag_check(setup, replace(measured(setup, "front", 1.0), **sides))
    assert one_way.front is not None
    assert both.front is not None
    assert (both.front.friction_n or 0) > (one_way.front.friction_n or 0)


@pytest.mark.parametrize(("stroke", "coil_stroke", "needed"), [(55, 50, 56.0), (65, 40, 66.0), (55, 55.5, 56.0)])
def test_a_spring_that_is_too_short_is_refused_with_the_stroke_it_needs(
    stroke: float, coil_stroke: float, needed: float
) -> None:
    setup = setup_of(rear={**REAR, "stroke_mm": stroke, "coil_stroke_mm": coil_stroke})
    coil = coil_of(setup, "rear")
    assert setup.rear is not None
    assert setup.rear.limited
    assert (coil.fits, coil.stroke_needed_mm) == (False, needed)
    (note,) = [note for note in setup.cautions if note.code == "coil_too_short"]
    assert note.said.values["needed"] == needed
    assert not any(note.code == "rear_preload" for note in setup.reasons)
    after = rules.apply_sag_check(setup, measured(setup, "rear", 1.0, preload_mm=0.0))
    assert not after.settled
    assert after.advice[0].code == "sag_no_spring"


@pytest.mark.parametrize(("preload", "kept"), [(1.5, True), (1.65, False), (1.75, False)])
def test_preload_beyond_coil_bind_is_never_done(preload: float, kept: bool) -> None:
    rear = {**REAR, "stroke_mm": 65, "coil_stroke_mm": 66.5, "preload_pitch_mm": 1.5}
    setup = setup_of(rear={**rear, "stocked_rates_n_per_mm": [70]})
    check = rules.SagCheck(end="rear", spring_rate_n_per_mm=70.0, preload_mm=preload, readings_mm=(18.0,), confirm=True)
    after = rules.apply_sag_check(setup, check)
    assert coil_of(after, "rear").preload_mm <= 1.5
    assert coil_of(after, "rear").preload_turns == pytest.approx(coil_of(after, "rear").preload_mm / 1.5)
    codes = {note.code for note in after.cautions}
    assert ("preload_above_limit" in codes) != kept
    if not kept:
        assert not after.settled
        assert after.advice[0].code != "sag_settled"


def test_preload_above_the_limit_is_forgotten_with_another_spring() -> None:
    setup = setup_of()
    after = rules.apply_sag_check(setup, measured(setup, "rear", 1.0, preload_mm=9.0))
    assert "preload_above_limit" in {note.code for note in after.cautions}
    other = coil_of(after, "rear").choices[-1].rate_n_per_m / 1000
    moved = rules.what_if(after, {"rear": {"fitted_rate_n_per_mm": other, "stocked_rates_n_per_mm": [other]}})
    assert coil_of(moved, "rear").rate_n_per_m / 1000 == pytest.approx(other)
    assert "preload_above_limit" not in {note.code for note in moved.cautions}


@pytest.mark.parametrize(("stroke", "assumed", "bind"), [(56.5, False, True), (60.0, True, False)])
def test_the_limit_names_what_sets_it(stroke: float, assumed: bool, bind: bool) -> None:
    setup = setup_of(rear={**REAR, "coil_stroke_mm": stroke, "preload_mm_max": None})
    coil = coil_of(setup, "rear")
    assert (coil.preload_max_assumed, coil.preload_max_bind) == (assumed, bind)
    codes = {note.code for note in setup.cautions}
    assert ("preload_assumed" in codes) == assumed
    assert ("coil_bind" in codes) == bind


def test_a_limit_told_in_tenths_is_never_passed() -> None:
    coil = coil_of(setup_of(rear={**REAR, "coil_stroke_mm": 56.58}), "rear")
    assert coil.preload_max_mm == 1.5
    assert coil.preload_mm <= 1.5


def test_an_air_check_says_nothing_against_a_coil() -> None:
    air = {"travel_mm": 150, "rebound_clicks": 16}
    setup = rules.recommend(rules.read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": air}))
    check = rules.SagCheck(end="front", pressure_pa=74 * 6894.757, readings_mm=(30.0,), confirm=True)
    coil = rules.what_if(rules.apply_sag_check(setup, check), {"front": {"spring": "coil"}})
    assert coil_of(coil, "front").rate_n_per_m > 0
    assert "pumped_above_maximum" not in {note.code for note in coil.cautions}


def reported(setup: rules.Setup) -> rules.Setup:
    """Return the setup after the check that was reported: 450 lb/in at 1 mm, sag 21, 20.5 and 21 mm."""
    check = rules.SagCheck(
        end="rear", spring_rate_n_per_mm=78.807, preload_mm=1.0, readings_mm=(21.0, 20.5, 21.0), confirm=True
    )
    return rules.apply_sag_check(setup, check)


def test_the_next_spring_comes_before_all_of_an_estimated_preload() -> None:
    rear = {key: value for key, value in REAR.items() if key not in ("preload_mm_max", "preload_pitch_mm")}
    rear |= {"stocked_rates_n_per_mm": [70.051, 78.807, 87.563], "coil_stroke_mm": 62}
    setup = setup_of(rider_mass_kg=80, riding_style="enduro", rear=rear)
    first = reported(setup)
    coil = coil_of(first, "rear")
    assert coil.rate_n_per_m == 87_563.0
    assert coil.preload_mm < coil.preload_max_mm
    assert first.advice[0].code == "sag_spring"
    (why,) = [note for note in first.advice if note.code == "sag_in_part"]
    assert 18 <= why.said.values["expected"] < why.said.values["read"] == 21
    # The same reading again counts again: what is likely for that spring comes nearer to it.
    second = reported(first)
    assert not [note for note in second.advice if note.code == "sag_in_part"]
    assert coil_of(second, "rear").rate_wanted_n_per_m > coil.rate_wanted_n_per_m
    # Where the manual's figure was entered, preload on the spring that is in it comes first.
    entered = reported(setup_of(rider_mass_kg=80, riding_style="enduro", rear={**rear, "preload_mm_max": 3}))
    assert entered.advice[0].code == "sag_preload_more"


def test_two_rates_that_show_alike_are_one_spring() -> None:
    setup = setup_of(rear={**REAR, "stocked_rates_n_per_mm": [78.80, 78.81, 87.56]})
    shown = [round(one.rate_n_per_m / 1000, 1) for one in coil_of(setup, "rear").choices]
    assert sorted(shown) == sorted(set(shown))


def test_turns_go_with_the_preload_that_is_kept() -> None:
    assert rounding.turns(1.65 / 1.5) == pytest.approx(1.1)
    assert [rounding.turns(n / 4) for n in range(9)] == [n / 4 for n in range(9)]


def test_a_ride_with_a_spring_that_is_too_short_is_refused() -> None:
    setup = setup_of(rear={**REAR, "coil_stroke_mm": 50})
    with pytest.raises(rules.RequestError) as refused:
        rules.apply_ride(setup, rules.RideReport(end="rear", felt=("hits_the_end",)))
    assert [problem.said.key for problem in refused.value.problems] == ["sag_no_spring"]
    assert coil_of(setup, "rear").choices == ()


@pytest.mark.parametrize("stroke_mm", [45, 65])
def test_the_rider_that_the_middle_click_is_for_gets_it(stroke_mm: float) -> None:
    """As rules 2 reckoned, 31 of 60: the reference's spring had no preload, this rider's has the least."""
    shock = {"stroke_mm": stroke_mm, "leverage_start": 3, "leverage_end": 2.6, "spring": "coil", "rebound_clicks": 60}
    asked = {"rider_mass_kg": 79, "kit_mass_kg": 0, "bike_mass_kg": 14, "riding_style": "trail", "rear": shock}
    setup = rules.recommend(rules.read_request(asked))
    assert setup.rear is not None
    assert setup.rear.rebound is not None
    assert setup.rear.rebound.out == 30
