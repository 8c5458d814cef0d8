"""Clicks follow what is damped: the mass of the bike, and a spring whose pressure moved far."""

from __future__ import annotations

import math

import pytest

from setup_rules import BounceCheck, apply_bounce_check, what_if
from setup_rules.types.constants import CLICK_RANGE
from tests.setup_rules.advice.trail_bike import FORK, SHOCK, START_PSI, bike, end_of, psi_of, read_at, told


def clicks(rider_kg: float, bike_kg: float, end: str) -> tuple[int, float]:
    """Return the rebound clicks out of an end, and the damping [N·s/m] that they are for."""
    rebound = end_of(bike(rear=SHOCK, rider_mass_kg=rider_kg, bike_mass_kg=bike_kg), end).rebound
    assert rebound is not None
    return rebound.out, rebound.damping_n_s_per_m


@pytest.mark.parametrize(("end", "total", "exact"), [("front", 16, 0.80), ("rear", 14, 0.64)])
def test_a_motor_bike_of_25_kg_gets_about_one_click_slower_than_one_of_14_kg(
    end: str, total: int, exact: float
) -> None:
    """78 kg. Rules 1: 8 and 8 of 16, 7 and 7 of 14. Now 7 for 8 and 6 for 7; unrounded 0.80 and 0.64 clicks slower."""
    (light, light_n), (heavy, heavy_n) = clicks(78, 14, end), clicks(78, 25, end)
    assert light - heavy == 1
    assert total * math.log(heavy_n / light_n) / math.log(CLICK_RANGE.value) == pytest.approx(exact, abs=0.05)


@pytest.mark.parametrize("rider_kg", [50, 65, 80, 95, 110])
@pytest.mark.parametrize("end", ["front", "rear"])
def test_a_heavier_bike_never_gets_quicker_rebound(rider_kg: float, end: str) -> None:
    """Rules 1 gave 110 kg on 25 kg one click quicker behind (5 for 4). Now the same or slower, 0.5 to 1.2 unrounded."""
    steps = [clicks(rider_kg, bike_kg, end) for bike_kg in (10, 14, 18, 25, 30)]
    outs = [out for out, _ in steps]
    assert outs == sorted(outs, reverse=True)
    total = 16 if end == "front" else 14
    slower = total * math.log(steps[3][1] / steps[1][1]) / math.log(CLICK_RANGE.value)
    assert 0.4 < slower < 1.3


@pytest.mark.parametrize(("mm", "way"), [(45.0, "in"), (27.0, ""), (18.0, "out")])
def test_a_sag_check_that_moves_the_pressure_by_more_than_a_tenth_says_what_it_does_to_rebound(
    mm: float, way: str
) -> None:
    """Rules 1 moved 8 clicks to 6 at 45 mm without a word. Now said, with both numbers in what is to be set."""
    before = bike()
    after = read_at(before, START_PSI, mm, mm, mm)
    assert abs(psi_of(after) / psi_of(before) - 1) > 0.10
    note = next(note for note in after.advice if note.code in ("rebound_follows", "rebound_stays"))
    assert note.way == way
    assert before.front
    assert before.front.rebound
    assert after.front
    assert after.front.rebound
    assert (after.front.rebound.out != before.front.rebound.out) is bool(way)


@pytest.mark.parametrize("mm", [29.0, 31.0, 34.0])
def test_a_sag_check_that_moves_the_pressure_by_less_leaves_the_clicks(mm: float) -> None:
    """Rules 1 moved a click at 7 %. Now up to 10 % the clicks stand, and stay where a bounce check put them."""
    turned = apply_bounce_check(bike(), BounceCheck(end="front", clicks_out=8, seen="less"))
    after = read_at(turned, START_PSI, mm, mm)
    assert abs(psi_of(after) / psi_of(turned) - 1) < 0.10
    assert end_of(after).rebound.out == end_of(turned).rebound.out == 12  # type: ignore[union-attr]
    assert not set(told(after)) & {"rebound_follows", "rebound_stays"}


def test_a_click_that_a_bounce_check_taught_is_carried_along_with_the_pressure() -> None:
    """Four clicks quicker than computed stay four clicks quicker. Rules 1 did so too, without a word."""
    plain, turned = bike(), apply_bounce_check(bike(), BounceCheck(end="front", clicks_out=8, seen="less"))
    computed, taught = (read_at(one, START_PSI, 45.0, 45.0) for one in (plain, turned))
    assert end_of(taught).rebound.out == end_of(computed).rebound.out + 4  # type: ignore[union-attr]
    assert "rebound_follows" in told(taught)


def test_rebound_that_follows_a_pressure_to_its_stop_says_so() -> None:
    """60 kg to 160 kg, three clicks in. Rules 1: from 10 to 0 clicks in silence. Now both steps are said."""
    turned = apply_bounce_check(bike(rider_mass_kg=60), BounceCheck(end="front", clicks_out=10, seen="more"))
    after = what_if(turned, {"rider_mass_kg": 160, "front": {**FORK, "rebound_offset_clicks": -4}})
    assert end_of(after).rebound.out == 0  # type: ignore[union-attr]
    assert told(after)[:2] == ["rebound_follows", "last_click"]
