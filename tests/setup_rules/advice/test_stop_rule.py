"""When a measured sag is done: made-up readings against made-up offers, each bound at its number."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice.stop_rule import Offer, choose_offer, near_m, own_mm
from setup_rules.inference.end_model import EndModel
from setup_rules.types.request import FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import Curve, EndSetup, SagCheck

REQUEST: Any = {"rider_mass_kg": 78.0, "riding_style": "trail"}
FORK = FrontEnd(travel_mm=140.0)
FRONT = EndModel("front", FORK, SetupRequest(**REQUEST, front=FORK))
SHOCK = RearEnd(stroke_mm=55.0, leverage_start=2.8)
REAR = EndModel("rear", SHOCK, SetupRequest(**REQUEST, rear=SHOCK))


def end_with(**changed: Any) -> EndSetup:
    """Return a fork of 140 mm aimed at 30 mm (tolerance 2.8 mm); half its friction of 20 N is 1 mm at 10 N/mm."""
    usual: dict[str, Any] = {
        "end": "front",
        "travel_mm": 140.0,
        "pressure_pa": 500_000.0,
        "pressure_low_pa": 450_000.0,
        "pressure_high_pa": 550_000.0,
        "ride_pressure_pa": 500_000.0,
        "max_pressure_pa": 900_000.0,
        "max_pressure_assumed": False,
        "min_pressure_pa": 200_000.0,
        "min_pressure_assumed": False,
        "sag_target_mm": 30.0,
        "sag_target_percent": 21.4,
        "sag_expected_mm": 30.0,
        "sag_low_mm": 25.0,
        "sag_high_mm": 35.0,
        "wheel_travel_mm": 140.0,
        "wheel_sag_mm": 30.0,
        "load_n": 300.0,
        "rate_n_per_m": 10_000.0,
        "full_force_n": 2500.0,
        "volume_spacers": 0,
        "rebound": None,
        "compression": None,
        "curve": Curve(compression_mm=(), force_n=(), load_n=()),
        "friction_n": 20.0,
    }
    return EndSetup(**{**usual, **changed})


KEPT = end_with(sag_expected_mm=31.0)
MOVED = end_with(pressure_pa=520_000.0)


def read(*mm: float) -> SagCheck:
    """Return a check that read so."""
    return SagCheck(end="front", pressure_pa=500_000.0, readings_mm=mm)


def both(mm: float, model: str = "front") -> SagCheck:
    """Return a check whose readings from both sides have their middle here."""
    return SagCheck(
        end=model,  # type: ignore[arg-type]
        pressure_pa=500_000.0,
        readings_from_above_mm=(mm - 3.0,),
        readings_from_below_mm=(mm + 3.0,),
    )


def chosen(check: SagCheck, **changed: Any) -> tuple[str, bool]:
    """Return whether the spring is kept or moved, and whether the sag is done; moving would gain a lot."""
    usual: dict[str, Any] = {"kept": KEPT, "moved": MOVED, "kept_chance": 0.4, "moved_chance": 0.9}
    offer = Offer(**{**usual, "same": False, "firmer": True, "carried_mm": 0.0, **changed})
    after, done = choose_offer(FRONT, check, offer)
    return "kept" if after is offer.kept else "moved", done


@pytest.mark.parametrize(("travel", "near_mm"), [(140.0, 2.8), (80.0, 2.0), (60.0, 1.5), (200.0, 4.0)])
def test_near_is_the_tolerance_but_on_a_short_stroke_a_fortieth(travel: float, near_mm: float) -> None:
    # The tolerance is the larger of 2 mm and 2 %; 2.5 % of 60 mm are 1.5 mm.
    assert near_m(end_with(travel_mm=travel)) == pytest.approx(near_mm / 1000)


def test_one_row_of_readings_may_lie_off_by_half_the_friction() -> None:
    # 0.5·20 N over 10 N/mm are 1 mm.
    assert own_mm(FRONT, read(30.0), KEPT) == pytest.approx(1.0)
    assert own_mm(FRONT, read(30.0), replace(KEPT, friction_n=None)) == 0.0


def test_both_sides_may_lie_off_by_two_reading_errors() -> None:
    # 1 mm on a fork's leg and 0.6 mm on a shock's shaft, each one standard deviation.
    assert own_mm(FRONT, both(30.0), KEPT) == pytest.approx(2.0)
    assert own_mm(REAR, both(16.0, "rear"), KEPT) == pytest.approx(1.2)


def test_what_would_gain_a_lot_is_done() -> None:
    assert chosen(read(31.0)) == ("moved", False)


@pytest.mark.parametrize(("chance", "kept"), [(0.8, True), (0.79, False), (0.9, True)])
def test_a_chance_of_four_in_five_is_enough(chance: float, kept: bool) -> None:
    assert chosen(read(31.0), kept_chance=chance, moved_chance=1.5) == (("kept", True) if kept else ("moved", False))


@pytest.mark.parametrize(("moved", "kept"), [(0.28, True), (0.29, False), (0.1, True)])
def test_a_little_gain_is_not_worth_a_change(moved: float, kept: bool) -> None:
    assert chosen(read(31.0), kept_chance=0.0, moved_chance=moved) == (("kept", True) if kept else ("moved", False))


@pytest.mark.parametrize(("expected", "kept"), [(32.8, True), (32.9, False), (27.25, True), (27.1, False)])
def test_an_expected_sag_beyond_the_tolerance_is_never_good(expected: float, kept: bool) -> None:
    given = {"kept_chance": 0.9, "kept": replace(KEPT, sag_target_mm=30.0, sag_expected_mm=expected)}
    assert chosen(read(31.0), **given) == (("kept", True) if kept else ("moved", False))


@pytest.mark.parametrize(("reading", "kept"), [(33.5, True), (34.0, False), (26.5, True)])
def test_readings_off_by_more_than_tolerance_and_friction_are_not_done(reading: float, kept: bool) -> None:
    # 2.8 mm of tolerance and 1 mm of friction: near are 26.2 to 33.8 mm.
    assert chosen(read(reading), kept_chance=0.9) == (("kept", True) if kept else ("moved", False))


@pytest.mark.parametrize(("reading", "more", "kept"), [(36.0, 2.5, True), (33.5, -0.5, False), (27.0, -6.5, True)])
def test_a_reading_counts_as_it_is_on_the_ride(reading: float, more: float, kept: bool) -> None:
    # Read 36 mm where it reads 2.5 mm more than on the ride: 33.5 mm there.
    found = chosen(read(reading), kept_chance=0.9, carried_mm=more)
    assert found == (("kept", True) if kept else ("moved", False))
    assert found == chosen(read(reading - more), kept_chance=0.9)


@pytest.mark.parametrize(("reading", "firmer"), [(25.0, True), (36.0, False)])
def test_far_readings_that_ask_for_the_other_way_are_taken_again(reading: float, firmer: bool) -> None:
    assert chosen(read(reading), firmer=firmer) == ("kept", False)
    assert chosen(read(60.0 - reading), firmer=firmer) == ("moved", False)


def test_the_very_bounds_count_as_near_and_good() -> None:
    # 2 % of 150 mm are 3 mm, and half the friction over the rate is 1 mm.
    kept = end_with(travel_mm=150.0, sag_expected_mm=33.0)
    assert chosen(read(34.0), kept=kept, kept_chance=0.9) == ("kept", True)
    assert chosen(both(30.5), firmer=False) == chosen(both(29.5)) == ("kept", True)


def test_far_readings_with_no_step_to_show_are_taken_again() -> None:
    assert chosen(read(36.0), same=True) == ("kept", False)


def test_far_readings_at_a_limit_are_done_as_there_is_no_more_to_set() -> None:
    limited = replace(MOVED, limited=True)
    assert chosen(read(36.0), same=True, moved=limited) == ("kept", True)
    assert chosen(read(25.0), same=True, moved=limited) == ("kept", True)
    # A limit that still leaves a step ends nothing.
    assert chosen(read(25.0), moved=limited) == ("kept", False)
    assert chosen(read(36.0), moved=limited) == ("moved", False)


def test_near_readings_with_no_step_to_show_are_done() -> None:
    assert chosen(read(31.0), same=True) == ("kept", True)


@pytest.mark.parametrize(("middle", "firmer"), [(28.0, True), (32.0, False)])
def test_both_sides_near_the_target_end_it_where_the_step_goes_the_other_way(middle: float, firmer: bool) -> None:
    assert chosen(both(middle), firmer=firmer) == ("kept", True)
    assert chosen(both(60.0 - middle), firmer=firmer) == ("moved", False)
    assert chosen(read(middle), firmer=firmer) == ("moved", False)


def test_both_sides_on_the_target_are_against_no_step() -> None:
    assert chosen(both(30.0)) == ("moved", False)
    assert chosen(both(30.0), firmer=False) == ("moved", False)


def test_both_sides_far_from_the_target_that_ask_for_the_other_way_are_taken_again() -> None:
    # Near are 2.8 and 2 mm: 25.2 to 34.8 mm.
    assert chosen(both(25.0)) == ("kept", False)
    assert chosen(both(25.5)) == ("kept", True)
