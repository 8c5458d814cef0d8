"""Corrections together: checks in other circumstances add up, what-ifs touch what they say.

The hidden springs here are drawn from the rules' own spread: this is about translation, not about whether the model
is right, which the population benchmark judges with springs that share nothing with the rules.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setup_rules import (
    Conditions,
    EndSetup,
    RequestError,
    RideReport,
    SagCheck,
    Setup,
    apply_bounce_check,
    apply_ride,
    apply_sag_check,
    read_request,
    recommend,
    what_if,
)
from setup_rules.advice.sag_check import MOST_KEPT, PLAUSIBLE_FACTOR
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import low_discrepancy_sample
from setup_rules.inference.start_setting import held_of
from setup_rules.messages.message import Message
from setup_rules.physics.atmosphere import ambient_pressure_pa
from setup_rules.types.result import BounceCheck
from setup_rules.types.units import PSI_PA
from tests.examples import examples

BASE: dict[str, Any] = {
    "rider_mass_kg": 78,
    "riding_style": "trail",
    "front": {"travel_mm": 140, "stanchion_mm": 34, "max_pressure_psi": 300, "rebound_clicks": 16},
    "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "max_pressure_psi": 400},
}
ENDS = ("front", "rear")
#: How far two ways to the same knowledge may differ: readings are rounded to 0.1 mm, and the spread of what is not
#: known (friction, internals) is weighted a little differently by each. The largest difference seen was 2.2 %, on
#: springs at the edge of the spread, which few draws resemble.
SAME = 0.03
#: Another travel or chamber says a little less of this one: as much as reading 1 mm of 30 wrongly would.
SAME_ELSEWHERE = 0.035
#: Warm and high up the air that was closed in at the bench takes a part of the load, and springs at the edge of the
#: spread are weighted more differently: of all 512 at the corners of what is drawn here 3 differ by more than 3 %, at
#: most 4.9 % (at 40 °C and 3,000 m 10 %, measured).
SAME_THERE = 0.05


@dataclass(frozen=True)
class Hidden:
    """One spring and rider as they really are, without friction."""

    name: str
    row: int

    def sag_mm(self, setup: Setup, pressure_pa: float, place: Conditions | None = None) -> float:
        """Return the sag at a gauge pressure read at a place, in the circumstances of a setup."""
        request = setup.request
        end = request.front if self.name == "front" else request.rear
        assert end is not None
        model = EndModel("front" if self.name == "front" else "rear", end, request)
        z = low_discrepancy_sample()[self.row]
        where = place or request.bench
        set_abs = pressure_pa + ambient_pressure_pa(where.altitude_m)
        sag = held_of(model, z).gap_m(set_abs, model.setting.site(where), 0.2 * model.travel_m)
        return round(1000 * float(sag), 1)

    def check(self, setup: Setup, place: Conditions | None = None) -> Setup:
        """Return the setup after a check at its own pressure, as read at a place."""
        pressure = end_of(setup, self.name).pressure_pa
        where = {} if place is None else {"temperature_c": place.temperature_c, "altitude_m": place.altitude_m}
        readings = (self.sag_mm(setup, pressure, place),) * 3
        return apply_sag_check(setup, SagCheck(end=self.name, pressure_pa=pressure, readings_mm=readings, **where))  # type: ignore[arg-type]


hidden = st.builds(Hidden, st.sampled_from(ENDS), st.integers(0, len(low_discrepancy_sample()) - 1))


def plain() -> Setup:
    """Return a setup of both ends that nothing has corrected."""
    return recommend(read_request(BASE))


def end_of(setup: Setup, name: str) -> EndSetup:
    """Return one end that is known to be there."""
    end = setup.front if name == "front" else setup.rear
    assert end is not None
    return end


def learned(setup: Setup, name: str) -> EndSetup:
    """Return one end worked out from the checks alone, not kept where it is good enough."""
    return end_of(recommend(plain().request, setup.checks), name)


def alike(one: EndSetup, other: EndSetup, noise: float = SAME) -> bool:
    """Return whether two ends ask for the same pressure within a share of noise, one inside the other's band."""
    near = one.pressure_pa == pytest.approx(other.pressure_pa, rel=noise)
    return near and other.pressure_low_pa <= one.pressure_pa <= other.pressure_high_pa


@settings(max_examples=examples(60, 10))
@given(hidden, st.floats(-10, 30), st.floats(0, 1500))
def test_a_check_in_the_cold_and_high_up_teaches_what_one_at_the_bench_does(
    spring: Hidden, temperature_c: float, altitude_m: float
) -> None:
    there = Conditions(temperature_c=temperature_c, altitude_m=altitude_m)
    one, other = learned(spring.check(plain(), there), spring.name), learned(spring.check(plain()), spring.name)
    assert alike(one, other, SAME_THERE)


@settings(max_examples=examples(60, 10))
@given(hidden, st.sampled_from([{"rider_mass_kg": 76}, {"rider_mass_kg": 80.5}, {"kit_mass_kg": 14}]))
def test_a_check_under_another_load_teaches_what_one_under_this_load_does(
    spring: Hidden, changes: dict[str, Any]
) -> None:
    other = what_if(plain(), changes)
    assert alike(learned(spring.check(other), spring.name), learned(spring.check(plain()), spring.name))


@settings(max_examples=examples(60, 10))
@given(
    st.integers(0, len(low_discrepancy_sample()) - 1),
    st.sampled_from(
        [
            {"front": {"travel_mm": 120, "longest_travel_mm": 140}},
            {"front": {"volume_spacers": 3}},
        ]
    ),
)
def test_a_check_at_another_travel_or_with_spacers_teaches_the_same(row: int, changes: dict[str, Any]) -> None:
    spring, other = Hidden("front", row), what_if(plain(), changes)
    assert alike(learned(spring.check(other), "front"), learned(spring.check(plain()), "front"), SAME_ELSEWHERE)


@settings(max_examples=examples(60, 10))
@given(hidden)
def test_checks_in_different_circumstances_add_up_to_the_spring_that_is_there(spring: Hidden) -> None:
    setup = spring.check(plain(), Conditions(temperature_c=-5))
    setup = spring.check(what_if(setup, {"kit_mass_kg": 12}), Conditions(temperature_c=15, altitude_m=1500))
    setup = spring.check(what_if(setup, {"kit_mass_kg": 4}))
    found = end_of(recommend(plain().request, setup.checks), spring.name)
    assert found.checks_used == 3
    miss = spring.sag_mm(plain(), found.pressure_pa) - found.sag_target_mm
    assert abs(miss) <= found.tolerance_mm
    # A spring at the far end of the spread has so few like it that the answer says so and stays wide.
    assert found.answers_disagree or found.pressure_high_pa - found.pressure_low_pa < 0.5 * (
        end_of(plain(), spring.name).pressure_high_pa - end_of(plain(), spring.name).pressure_low_pa
    )


def test_newer_checks_count_more_than_older_ones() -> None:
    pressure = end_of(plain(), "front").pressure_pa
    older, newer = (SagCheck(end="front", pressure_pa=pressure, readings_mm=(mm,) * 3) for mm in (28.0, 35.0))
    rising = apply_sag_check(apply_sag_check(plain(), older), newer)
    falling = apply_sag_check(apply_sag_check(plain(), newer), older)
    after_rise, after_fall = learned(rising, "front"), learned(falling, "front")
    assert after_rise.pressure_pa > 1.02 * after_fall.pressure_pa


def test_another_riders_checks_teach_the_spring_but_not_this_riders_stance() -> None:
    other = what_if(plain(), {"rider_mass_kg": 95})
    lighter = end_of(recommend(plain().request, Hidden("front", 40).check(other).checks), "front")
    own = end_of(recommend(plain().request, Hidden("front", 40).check(plain()).checks), "front")
    wide, narrow = (end.pressure_high_pa - end.pressure_low_pa for end in (lighter, own))
    assert narrow < wide < end_of(plain(), "front").pressure_high_pa - end_of(plain(), "front").pressure_low_pa


def test_what_was_learned_is_kept_under_a_changed_circumstance() -> None:
    setup = Hidden("front", 3).check(plain())
    changed = what_if(setup, {"kit_mass_kg": 12})
    assert changed.checks == setup.checks
    assert end_of(changed, "front").checks_used == 1
    naive = end_of(what_if(plain(), {"kit_mass_kg": 12}), "front")
    assert end_of(changed, "front").pressure_pa != pytest.approx(naive.pressure_pa, rel=0.01)


def test_a_what_if_that_changes_nothing_changes_nothing() -> None:
    setup = Hidden("front", 3).check(Hidden("rear", 5).check(plain()))
    same = what_if(setup, {"kit_mass_kg": setup.request.kit_mass_kg, "front": {}})
    assert (same.front, same.rear, same.request, same.checks) == (
        setup.front,
        setup.rear,
        setup.request,
        setup.checks,
    )


def test_a_what_if_about_one_end_leaves_the_other_to_the_last_digit() -> None:
    setup = Hidden("rear", 5).check(plain())
    changed = what_if(setup, {"front": {"volume_spacers": 2}})
    assert changed.rear == setup.rear
    assert [n for n in changed.reasons if n.end == "rear"] == [n for n in setup.reasons if n.end == "rear"]
    assert changed.front != setup.front


def test_another_count_of_clicks_moves_no_pressure() -> None:
    setup = Hidden("front", 7).check(plain())
    changed = what_if(setup, {"front": {"rebound_clicks": 24, "compression_clicks": 10}})
    before, after = end_of(setup, "front"), end_of(changed, "front")
    assert after.pressure_pa == before.pressure_pa
    assert after.rebound is not None
    assert after.rebound.total == 24
    assert after.compression is not None
    assert {n.code for n in changed.reasons} >= {"front_rebound", "front_compression"}


def test_what_a_rider_felt_is_forgotten_with_the_rider_and_kept_in_the_cold() -> None:
    ridden = apply_ride(plain(), RideReport(end="front", felt=("packs_down",)))
    assert what_if(ridden, {"rider_mass_kg": 60}).rides == ()
    assert what_if(ridden, {"ride": {"temperature_c": -3}}).rides == ridden.rides
    assert what_if(ridden, {"front": {"volume_spacers": 2}}).rides == ridden.rides
    assert what_if(ridden, {"rear": {"stroke_mm": 60}}).rides == ridden.rides


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"rider_mass_kg": 500}, "rider_mass_kg"),
        ({"rider_mass_kg": None}, "rider_mass_kg"),
        ({"colour": "red"}, "colour"),
        ({"front": {"travel_mm": 0}}, "front.travel_mm"),
        ({"front": 7}, "front"),
        ({"front": None, "rear": None}, "front"),
    ],
)
def test_a_what_if_outside_the_limits_is_refused_with_its_field(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(RequestError) as refused:
        what_if(plain(), changes)
    assert field in [p.field for p in refused.value.problems]


def test_a_target_can_be_set_back_to_the_styles_own() -> None:
    own = what_if(plain(), {"front": {"sag_target_percent": 30}})
    assert end_of(what_if(own, {"front": {"sag_target_percent": None}}), "front") == end_of(plain(), "front")


def test_a_sag_check_keeps_rides_and_forgets_no_bounce() -> None:
    setup = apply_bounce_check(plain(), BounceCheck(end="front", clicks_out=8, seen="several_swings"))
    setup = apply_ride(setup, RideReport(end="rear", felt=("feels_right",)))
    checked = Hidden("front", 9).check(setup)
    assert checked.rides == setup.rides
    assert checked.request == setup.request
    assert checked.request.front is not None
    assert checked.request.front.rebound_offset_clicks < 0


def pressure_refusal(setup: Setup, psi: float) -> Message:
    """Return what a pressure is questioned with."""
    with pytest.raises(RequestError) as refused:
        apply_sag_check(setup, SagCheck(end="front", pressure_pa=psi * PSI_PA, readings_mm=(30.0, 31.0)))
    (problem,) = refused.value.problems
    assert problem.field == "pressure_psi"
    assert isinstance(problem.said, Message)
    return problem.said


def test_bar_typed_as_psi_is_questioned_with_the_figure_that_was_meant() -> None:
    said, front = pressure_refusal(plain(), 5.8), end_of(plain(), "front")
    assert said.key == "sag_check.pressure_other_unit.fork"
    assert (said.values["typed"], said.values["unit"], said.values["psi"]) == (5.8, "bar", 84)
    assert said.values["low"] == round(front.pressure_low_pa / PSI_PA)
    assert said.values["high"] == round(front.pressure_high_pa / PSI_PA)


def test_kilopascal_typed_as_psi_is_questioned_too() -> None:
    values = pressure_refusal(plain(), 580).values
    assert (values["unit"], values["psi"]) == ("kPa", 84)


@pytest.mark.parametrize("psi", [0.001, 20_000.0, 1e9])
def test_a_pressure_that_no_unit_explains_says_only_to_read_again(psi: float) -> None:
    assert pressure_refusal(plain(), psi).key == "sag_check.pressure_unlikely.fork"


@pytest.mark.parametrize(("of", "factor"), [("low", 1 / PLAUSIBLE_FACTOR), ("high", PLAUSIBLE_FACTOR)])
def test_a_pressure_is_questioned_from_three_times_or_a_third_of_the_band_on(of: str, factor: float) -> None:
    front = end_of(plain(), "front")
    edge = (front.pressure_low_pa if of == "low" else front.pressure_high_pa) * factor
    inside, outside = (0.999, 1.001) if of == "high" else (1.001, 0.999)
    reading = 12.0 if of == "high" else 90.0
    apply_sag_check(plain(), SagCheck(end="front", pressure_pa=edge * inside, readings_mm=(reading,)))
    pressure_refusal(plain(), edge * outside / PSI_PA)


@given(st.sampled_from([22, 30, 50, 100, 150]), st.sampled_from([0.0, 4000.0]), st.sampled_from(ENDS))
def test_the_pressure_that_a_setup_itself_advises_is_never_questioned(mass: int, altitude: float, name: str) -> None:
    places = {"bench": {"altitude_m": altitude, "temperature_c": -20}, "ride": {"temperature_c": 35}}
    setup = recommend(read_request({**BASE, "rider_mass_kg": mass, **places}))
    end = end_of(setup, name)
    reading = 0.2 * end.travel_mm
    after = apply_sag_check(setup, SagCheck(end=name, pressure_pa=end.pressure_pa, readings_mm=(reading,)))  # type: ignore[arg-type]
    assert end_of(after, name).checks_used == 1


def test_only_so_many_checks_of_an_end_are_carried_along_and_the_newest_count() -> None:
    setup = Hidden("rear", 2).check(plain())
    for number in range(MOST_KEPT + 3):
        setup = Hidden("front", 4).check(setup, Conditions(temperature_c=float(number)))
    days = [taken.check.temperature_c for taken in setup.checks if taken.check.end == "front"]
    assert days == [float(number) for number in range(3, MOST_KEPT + 3)]
    ends = [taken.check.end for taken in setup.checks]
    assert ends.count("front") == MOST_KEPT
    assert ends.count("rear") == 1
    assert end_of(setup, "front").checks_used == MOST_KEPT
