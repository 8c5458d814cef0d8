"""Clicks and pressure, limits, cold and checks that do not agree: what is said besides the numbers."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules import RequestError, SagCheck, Setup, apply_sag_check, read_request, recommend, what_if
from setup_rules.types.units import PSI_PA

FRONT: dict[str, Any] = {"travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 60, "max_pressure_psi": 200}
REAR: dict[str, Any] = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "rebound_clicks": 14}


def setup_of(front: dict[str, Any] = FRONT, **parts: Any) -> Setup:
    """Return the setup of a rider on a bike with the fork given."""
    return recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front, **parts}))


def codes(setup: Setup) -> set[str]:
    """Return the codes of all cautions."""
    return {note.code for note in setup.cautions}


def test_a_far_move_of_pressure_carries_the_rebound_and_lists_both_numbers() -> None:
    # Rules 1 moved the clicks without a word.
    before = setup_of()
    after = what_if(before, {"rider_mass_kg": 100})
    assert "rebound_follows" in {note.code for note in after.advice}
    assert before.front
    assert after.front
    assert before.front.rebound
    assert after.front.rebound
    assert after.front.rebound.out != before.front.rebound.out
    assert (after.front.sag_target_mm, after.front.volume_spacers) == (
        before.front.sag_target_mm,
        before.front.volume_spacers,
    )


def test_a_small_move_of_pressure_leaves_the_clicks_where_they_stand() -> None:
    before = setup_of()
    after = what_if(before, {"rider_mass_kg": 82})
    assert before.front is not None
    assert after.front is not None
    assert 1.0 < after.front.pressure_pa / before.front.pressure_pa < 1.1
    assert after.front.rebound is not None
    assert before.front.rebound is not None
    assert after.front.rebound.out == before.front.rebound.out


def test_the_maximum_holds_on_a_warm_ride_with_a_caution() -> None:
    # Rules 1 said 297 psi at −10 °C, 350 on the ride, maximum 325, and no caution.
    rear = {**REAR, "max_pressure_psi": 325}
    data = {"rider_mass_kg": 140, "riding_style": "trail", "rear": rear}
    places = {"bench": {"temperature_c": -10}, "ride": {"temperature_c": 40}}
    setup = recommend(read_request({**data, **places}))
    assert setup.rear is not None
    assert setup.rear.ride_pressure_pa <= 325.001 * PSI_PA
    assert setup.rear.limited
    assert {"limited", "pressure_above_maximum"} <= codes(setup)


def test_an_assumed_maximum_that_limits_asks_for_the_printed_one() -> None:
    setup = setup_of({"travel_mm": 140, "stanchion_mm": 36}, rider_mass_kg=150)
    message = next(note.message for note in setup.cautions if note.code == "pressure_above_maximum")
    assert message.startswith("You need about")
    assert "Read the maximum" in message
    assert "limited" in codes(setup)


def test_more_spacers_than_the_end_of_the_stroke_can_hold_are_refused() -> None:
    with pytest.raises(RequestError, match="more than the end of the stroke") as error:
        setup_of({**FRONT, "volume_spacers": 12})
    assert [p.field for p in error.value.problems] == ["front.volume_spacers"]
    setup_of({**FRONT, "volume_spacers": 6})


def test_cold_and_another_height_carry_their_cautions() -> None:
    there = setup_of(ride={"temperature_c": -5, "altitude_m": 1500})
    assert {"cold_oil", "lower_legs"} <= codes(there)
    assert not {"cold_oil", "lower_legs"} & codes(setup_of(ride={"temperature_c": 0, "altitude_m": 800}))


def test_a_sticky_fork_and_a_contradiction_are_taken_with_cautions() -> None:
    setup = setup_of()
    assert setup.front is not None
    psi, sag = setup.front.pressure_pa, setup.front.sag_expected_mm
    sticky = apply_sag_check(setup, SagCheck(end="front", pressure_pa=psi, readings_mm=(sag - 8, sag + 8)))
    assert "sticky" in codes(sticky)
    for shift in (0.0, 0.0, 0.0, 25.0):
        readings = (round(sag + shift),) * 2
        setup = apply_sag_check(setup, SagCheck(end="front", pressure_pa=psi, readings_mm=readings, confirm=True))
    assert "something_changed" in codes(setup)
