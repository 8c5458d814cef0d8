"""The air spring: both ways between pressure and sag, directions, ends of the stroke."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.physics.air_spring import AirSpring
from setup_rules.physics.spring import Site

SEA = Site(101_325.0, 101_325.0)


@st.composite
def springs(draw: st.DrawFn) -> AirSpring:
    """Draw a spring with an air negative, a coil negative or neither, with or without lower-leg air."""
    travel, area = draw(st.floats(0.04, 0.22)), draw(st.floats(3e-4, 1.5e-3))
    plain = AirSpring(travel, area, draw(st.floats(0.3, 1.2)) * area * travel)
    if draw(st.booleans()):
        leg_area = 1.1 * area
        plain = dataclasses.replace(plain, leg_area_m2=leg_area, leg_volume_m3=2.0 * leg_area * travel)
    kind = draw(st.sampled_from(["air", "coil", "none"]))
    if kind == "air":
        return dataclasses.replace(
            plain,
            negative_area_m2=draw(st.floats(0.75, 0.96)) * area,
            negative_volume_m3=draw(st.floats(0.08, 0.26)) * area * travel,
            port_m=draw(st.floats(0.03, 0.08)) * travel,
        )
    if kind == "coil":
        rate, length = draw(st.floats(2000, 5000)), draw(st.floats(0.02, 0.035))
        return dataclasses.replace(plain, coil_rate_n_per_m=rate, coil_length_m=length)
    return plain


def holding(spring: AirSpring, x_m: float, force_n: float) -> float:
    """Return the absolute set pressure [Pa] that holds a force at a compression: the force is linear in it."""
    gain, _, offset, _ = spring.settled_parts(x_m, SEA)
    return float((force_n - offset) / gain)


@given(springs(), st.floats(0, 1), st.floats(3e5, 2e6))
def test_the_parts_of_the_force_make_the_force_and_its_rate(spring: AirSpring, share: float, pressure: float) -> None:
    x = share * spring.travel_m
    gain, gain_slope, offset, offset_slope = spring.settled_parts(x, SEA)
    assert pressure * gain + offset == pytest.approx(float(spring.force_n(x, pressure, SEA)), abs=1e-6)
    assert pressure * gain_slope + offset_slope == pytest.approx(float(spring.rate_n_per_m(x, pressure, SEA)), rel=1e-9)


@given(springs(), st.floats(0.1, 0.45), st.floats(150, 1500))
def test_the_sag_at_the_pressure_solved_for_a_sag_is_that_sag(spring: AirSpring, share: float, force: float) -> None:
    sag_m = share * spring.travel_m
    absolute = holding(spring, sag_m, force)
    assert float(spring.sag_m(absolute, force, SEA)) == pytest.approx(sag_m, abs=1e-7)


@given(springs(), st.floats(0.1, 0.45), st.floats(150, 1500), st.floats(1.001, 1.5))
def test_pressure_rises_with_load_and_falls_with_wanted_sag(
    spring: AirSpring, share: float, force: float, more: float
) -> None:
    sag_m = share * spring.travel_m
    here = holding(spring, sag_m, force)
    assert holding(spring, sag_m, more * force) > here
    assert holding(spring, min(more, 2.0) * sag_m, force) < here


@given(springs(), st.floats(3e5, 2e6), st.floats(0, 1), st.floats(0, 1))
def test_force_never_falls_over_the_stroke(spring: AirSpring, pressure: float, one: float, other: float) -> None:
    low, high = sorted((one * spring.travel_m, other * spring.travel_m))
    assert spring.force_n(high, pressure, SEA) >= spring.force_n(low, pressure, SEA) - 1e-9


@given(springs(), st.floats(3e5, 2e6), st.floats(0.05, 0.95))
def test_moving_fast_is_stiffer_than_moving_slowly(spring: AirSpring, pressure: float, share: float) -> None:
    x = share * spring.travel_m
    assert spring.rate_n_per_m(x, pressure, SEA, 1.35) > spring.rate_n_per_m(x, pressure, SEA)


def test_many_springs_at_once_give_what_each_gives_alone() -> None:
    areas = np.array([5e-4, 7e-4, 9e-4])
    together = AirSpring(0.14, areas, 0.65 * areas * 0.14).sag_m(8e5, 420.0, SEA)
    alone = [float(AirSpring(0.14, a, 0.65 * a * 0.14).sag_m(8e5, 420.0, SEA)) for a in areas]
    assert together == pytest.approx(alone, abs=1e-7)


def test_a_spring_that_carries_the_load_extended_does_not_sag() -> None:
    spring = AirSpring(0.14, 8e-4, 7.5e-5)
    assert float(spring.sag_m(2e6, 100.0, SEA)) == pytest.approx(0.0, abs=1e-6)


def test_a_spring_that_cannot_carry_the_load_uses_its_whole_travel() -> None:
    spring = AirSpring(0.14, 8e-4, 7.5e-5)
    assert float(spring.sag_m(1.2e5, 5000.0, SEA)) == pytest.approx(0.14, abs=1e-6)


def test_a_volume_spacer_raises_the_end_of_the_stroke_most() -> None:
    without, with_spacer = AirSpring(0.14, 8e-4, 7.5e-5), AirSpring(0.14, 8e-4, 6.5e-5)
    at_sag = [holding(s, 0.03, 420.0) for s in (without, with_spacer)]
    gained = [with_spacer.force_n(x, at_sag[1], SEA) - without.force_n(x, at_sag[0], SEA) for x in (0.03, 0.07, 0.14)]
    assert gained[0] == pytest.approx(0.0, abs=1e-9)
    assert gained[0] < gained[1] < gained[2]


def test_a_force_that_no_pressure_holds_asks_for_less_than_a_vacuum() -> None:
    spring = AirSpring(0.14, 8e-4, 7.5e-5)
    assert holding(spring, 0.03, -5000.0) < 0.0


@given(springs(), st.floats(0.1, 0.9), st.floats(3e5, 2e6))
def test_air_is_settled_unless_an_exponent_is_given(spring: AirSpring, share: float, pressure: float) -> None:
    x = share * spring.travel_m
    assert float(spring.gain_m2(x)) == float(spring.gain_m2(x, 1.0))
    assert float(spring.offset_n(x, SEA)) == float(spring.offset_n(x, SEA, 1.0))
    for law in (spring.force_n, spring.rate_n_per_m, spring.work_j):
        assert float(law(x, pressure, SEA)) == float(law(x, pressure, SEA, 1.0))
