"""The sag check: what it refuses, which way it moves, and how it is translated to another bike, rider or place."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from setup_rules import EndSetup, RequestError, SagCheck, Setup, apply_sag_check, read_request, recommend
from setup_rules.inference.likelihood import GAUGE_SIGMA
from setup_rules.types.errors import Problem
from tests.setup_rules.drawn_requests import requests

BASE: dict[str, Any] = {
    "rider_mass_kg": 78,
    "riding_style": "trail",
    "front": {"travel_mm": 140, "stanchion_mm": 34, "max_pressure_psi": 300},
    "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "max_pressure_psi": 400},
}


def plain() -> Setup:
    """Return a setup of both ends that no sag check has touched."""
    return recommend(read_request(BASE))


def end_of(setup: Setup, name: str) -> EndSetup:
    """Return one end that is known to be there."""
    end = setup.front if name == "front" else setup.rear
    assert end is not None
    return end


def checked(setup: Setup, shift_mm: float = 0.0, end: str = "front", **given: Any) -> Setup:
    """Return the setup after a check at its own pressure whose readings miss the target by a shift [mm]."""
    now = end_of(setup, end)
    reading = round(now.sag_target_mm + shift_mm, 1)
    values = {"readings_mm": (reading,) * 3, **given}
    return apply_sag_check(setup, SagCheck(end=end, pressure_pa=now.pressure_pa, **values))  # type: ignore[arg-type]


def refusals(**given: Any) -> tuple[Problem, ...]:
    """Return the problems that a front check is refused for."""
    values: dict[str, Any] = {"end": "front", "pressure_pa": 6e5, "readings_mm": (31.0, 32.0), **given}
    with pytest.raises(RequestError) as refused:
        apply_sag_check(plain(), SagCheck(**values))
    return refused.value.problems


@pytest.mark.parametrize("end", ["front", "rear"])
def test_too_much_sag_is_answered_with_more_pressure_and_too_little_with_less(end: str) -> None:
    before = end_of(plain(), end).pressure_pa
    assert end_of(checked(plain(), 8.0, end), end).pressure_pa > before
    assert end_of(checked(plain(), -6.0, end), end).pressure_pa < before


@given(st.floats(-10, 14), st.floats(0.6, 6))
def test_the_more_sag_was_measured_the_more_pressure_follows(shift: float, more: float) -> None:
    less, further = checked(plain(), shift), checked(plain(), shift + more)
    assume(not less.settled and not further.settled)
    assert end_of(further, "front").pressure_pa > end_of(less, "front").pressure_pa


def test_a_sag_on_target_is_settled_and_keeps_the_pressure() -> None:
    after = checked(plain(), 0.0)
    assert after.settled is True
    assert end_of(after, "front").pressure_pa == pytest.approx(end_of(plain(), "front").pressure_pa)


def test_a_check_of_one_end_leaves_the_other_alone() -> None:
    before, after = plain(), checked(plain(), 8.0)
    assert after.rear == before.rear
    assert after.front != before.front


def test_a_check_narrows_the_band_and_says_what_it_learned() -> None:
    before, after = end_of(plain(), "front"), end_of(checked(plain(), 6.0), "front")
    assert after.pressure_high_pa - after.pressure_low_pa < 0.5 * (before.pressure_high_pa - before.pressure_low_pa)
    assert (after.checks_used, before.checks_used) == (1, 0)
    assert after.force_factor is not None
    assert after.force_factor > 1
    assert after.friction_n is not None


def test_readings_from_both_sides_narrow_the_band_more_than_the_same_number_from_neither() -> None:
    middle = round(end_of(plain(), "front").sag_target_mm) + 6.0
    loose = checked(plain(), readings_mm=(middle, middle))
    both_sides = checked(
        plain(), readings_mm=(), readings_from_above_mm=(middle - 3,), readings_from_below_mm=(middle + 3,)
    )
    width = [e.sag_high_mm - e.sag_low_mm for e in (end_of(loose, "front"), end_of(both_sides, "front"))]
    assert width[1] < width[0]


def test_two_checks_that_agree_tell_more_than_one() -> None:
    once = checked(plain(), 6.0)
    twice = checked(once, 0.0)
    first, second = end_of(once, "front"), end_of(twice, "front")
    assert second.checks_used == 2
    assert second.pressure_high_pa - second.pressure_low_pa < first.pressure_high_pa - first.pressure_low_pa


def test_what_was_learned_of_a_stiff_spring_still_holds_for_a_heavier_rider() -> None:
    learned = checked(plain(), 8.0)
    heavier = dataclasses.replace(learned.request, rider_mass_kg=90.0)
    naive, told = recommend(heavier), recommend(heavier, learned.checks)
    assert end_of(told, "front").pressure_pa > end_of(naive, "front").pressure_pa
    grown = end_of(told, "front").pressure_pa / end_of(learned, "front").pressure_pa
    assert 1.05 < grown < 1.25


def test_what_was_learned_still_holds_at_another_travel_place_and_temperature() -> None:
    learned = checked(plain(), 8.0)
    assert learned.request.front is not None
    moved = {
        "travel": dataclasses.replace(
            learned.request,
            front=dataclasses.replace(learned.request.front, travel_mm=130.0, longest_travel_mm=140.0),
        ),
        "altitude": dataclasses.replace(
            learned.request, ride=dataclasses.replace(learned.request.ride, altitude_m=2500.0)
        ),
        "temperature": dataclasses.replace(
            learned.request, bench=dataclasses.replace(learned.request.bench, temperature_c=2.0)
        ),
    }
    for request in moved.values():
        naive, told = end_of(recommend(request), "front"), end_of(recommend(request, learned.checks), "front")
        assert told.pressure_pa > 1.05 * naive.pressure_pa
        assert told.pressure_high_pa - told.pressure_low_pa < naive.pressure_high_pa - naive.pressure_low_pa


def test_pressure_and_sag_taken_together_in_the_cold_tell_the_same_of_the_load() -> None:
    # A shock has no lower legs, so at the same gauge pressure and sag its temperature does not matter...
    warm, cold = checked(plain(), 4.0, "rear"), checked(plain(), 4.0, "rear", temperature_c=-10.0)
    factors = [end_of(one, "rear").force_factor for one in (warm, cold)]
    assert factors[0] == pytest.approx(factors[1], rel=1e-6)
    # ... but what was pumped in the cold reads more at the bench, so less is left to add.
    bench_pa = (end_of(plain(), "rear").pressure_pa + 101_325) * 293.15 / 263.15 - 101_325
    settled = checked(plain(), 0.0, "rear", temperature_c=-10.0)
    assert end_of(settled, "rear").pressure_pa <= bench_pa * (1 + 1e-9)


def test_repeating_the_recommended_pressure_with_its_own_sag_settles() -> None:
    after = checked(plain(), 9.0)
    assert after.settled is False
    again = end_of(after, "front")
    final = apply_sag_check(
        after,
        SagCheck(end="front", pressure_pa=again.pressure_pa, readings_mm=(round(again.sag_expected_mm),) * 3),
    )
    assert final.settled is True


def test_a_spring_whose_every_internal_was_entered_can_be_checked() -> None:
    rear = {
        **BASE["rear"],
        "negative_spring": "coil",
        "bore_mm": 38,
        "positive_volume_cm3": 110,
        "negative_rate_n_per_mm": 4,
        "negative_length_mm": 20,
    }
    after = checked(recommend(read_request({**BASE, "rear": rear})), 3.0, "rear")
    assert end_of(after, "rear").pressure_pa > 0


@given(requests(), st.data())
def test_a_check_of_any_legal_setup_gives_finite_numbers_inside_the_limits(
    data: dict[str, Any], drawn: st.DataObject
) -> None:
    try:
        setup = recommend(read_request(data))
    except RequestError:
        assume(False)
        raise
    end = drawn.draw(st.sampled_from(setup.ends()))
    assume(end.pressure_pa > 0)
    middle = drawn.draw(st.floats(0.02, 0.9)) * end.travel_mm
    readings = tuple(middle + drawn.draw(st.floats(-0.01, 0.07)) * end.travel_mm for _ in range(3))
    which = drawn.draw(st.sampled_from(["readings_mm", "readings_from_above_mm", "readings_from_below_mm"]))
    check = SagCheck(end=end.end, pressure_pa=end.pressure_pa, confirm=True, **{which: readings})  # type: ignore[arg-type]
    after = end_of(apply_sag_check(setup, check), end.end)
    # A pressure that was already pumped counts as the limit when a gauge cannot tell the two apart.
    slack = 1 + GAUGE_SIGMA
    assert after.pressure_pa <= after.max_pressure_pa * slack
    # Pumped in the cold for a warm ride, the maximum on the ride can stand against the minimum at the pump: it wins.
    limited_on_ride = after.ride_pressure_pa >= after.max_pressure_pa / slack
    assert after.pressure_pa >= after.min_pressure_pa / slack or limited_on_ride
    assert after.pressure_low_pa <= after.pressure_high_pa
    assert 0 <= after.sag_low_mm <= after.sag_high_mm <= after.travel_mm + 1e-6
    assert after.friction_n is not None
    assert after.friction_n > 0


@pytest.mark.parametrize("reading", [0.0, -3.0, float("nan")])
def test_a_sag_of_nothing_is_refused_with_what_to_look_at(reading: float) -> None:
    (problem,) = refusals(readings_mm=(reading,))
    assert problem.field == "readings_mm"
    assert "lockout" in problem.message


@pytest.mark.parametrize("reading", [140.0, 141.0, float("inf")])
def test_a_sag_of_the_whole_travel_or_more_is_refused(reading: float) -> None:
    (problem,) = refusals(readings_mm=(reading,))
    assert "140 mm" in problem.message


def test_no_reading_at_all_is_refused() -> None:
    (problem,) = refusals(readings_mm=())
    assert "at least one" in problem.message


def test_more_than_six_readings_are_refused() -> None:
    (problem,) = refusals(readings_mm=(31.0,) * 7)
    assert "7 readings" in problem.message


@pytest.mark.parametrize(("readings", "refused"), [((14.0, 48.0), False), ((14.0, 49.5), True)])
def test_readings_further_apart_than_a_quarter_of_the_travel_are_refused(
    readings: tuple[float, ...], refused: bool
) -> None:
    if refused:
        (problem,) = refusals(readings_mm=readings)
        assert "apart" in problem.message
    else:
        checked(plain(), readings_mm=readings)


def test_rows_that_were_swapped_are_refused() -> None:
    (problem,) = refusals(readings_mm=(), readings_from_above_mm=(36.0,), readings_from_below_mm=(30.0,))
    assert "swapped" in problem.message


def test_far_more_friction_than_a_healthy_spring_has_is_refused_towards_a_mechanic() -> None:
    (problem,) = refusals(readings_mm=(), readings_from_above_mm=(10.0,), readings_from_below_mm=(85.0,))
    assert "mechanic" in problem.message


@pytest.mark.parametrize("pressure", [0.0, -1.0, 5e6, float("nan"), float("inf")])
def test_a_pressure_that_no_pump_reads_is_refused(pressure: float) -> None:
    (problem,) = refusals(pressure_pa=pressure)
    assert problem.field == "pressure_psi"


def test_an_end_that_the_setup_lacks_is_refused() -> None:
    front_only = recommend(read_request({k: v for k, v in BASE.items() if k != "rear"}))
    with pytest.raises(RequestError, match="no shock"):
        apply_sag_check(front_only, SagCheck(end="rear", pressure_pa=9e5, readings_mm=(15.0,)))


def test_every_refusal_is_named_at_once() -> None:
    fields = [p.field for p in refusals(pressure_pa=0.0, readings_mm=(0.0, 200.0))]
    assert fields == ["readings_mm", "readings_mm", "pressure_psi"]


def test_a_pressure_that_stays_lies_in_the_range_that_is_said_to_be_right() -> None:
    front = {"travel_mm": 140, "stanchion_mm": 34}
    setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front}))
    for _check in range(8):
        assert setup.front is not None
        low = setup.front.sag_target_mm - 2.7
        check = SagCheck(end="front", pressure_pa=setup.front.pressure_pa, readings_mm=(low, low, low), confirm=True)
        setup = apply_sag_check(setup, check)
        assert setup.front is not None
        assert setup.front.pressure_low_pa <= setup.front.pressure_pa <= setup.front.pressure_high_pa
