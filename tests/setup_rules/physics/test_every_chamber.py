"""An air spring with every part at once, at places before and after its port and its coil, against paper.

Paper is `tests.published.on_paper`: N, mm and MPa, each chamber by its own law, rates as differences of forces, work as
strips. The spring: bore 32 mm, 140 mm, 190 cm³ extended; negative chamber of 700 mm² and 25 cm³, cut off at 6 mm; a
negative coil of 1.8 N/mm over the first 25 mm; lower legs of 1500 mm² and 420 cm³; 15 N of gas.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from setup_rules.physics.air_spring import AirSpring
from setup_rules.physics.spring import Site
from tests.published.on_paper import Chambers, Places, force, moved, pushed_through, stored

PAPER = Chambers(
    travel=140.0,
    bore=32.0,
    volume=190_000.0,
    negative_area=700.0,
    negative_volume=25_000.0,
    port=6.0,
    coil_rate=1.8,
    coil_length=25.0,
    leg_area=1500.0,
    leg_volume=420_000.0,
    gas=15.0,
)
#: Pumped at 20 °C at the sea, ridden at 30 °C and 1500 m: 75 psi, and air of unlike pressure outside and in the legs.
AT = Places(ride_air=0.084_555_99, ride_k=303.15)
SITE, SET_PA = Site(84_555.99, AT.leg_air * 1e6), AT.acting(75.0) * 1e6
AREA = math.pi / 4 * 0.032**2
SPRING = AirSpring(
    travel_m=0.14,
    area_m2=AREA,
    compressed_volume_m3=190e-6 - AREA * 0.14,
    negative_area_m2=700e-6,
    negative_volume_m3=25e-6,
    port_m=0.006,
    coil_rate_n_per_m=1800.0,
    coil_length_m=0.025,
    leg_area_m2=1500e-6,
    leg_volume_m3=420e-6,
    gas_force_n=15.0,
)
PLACES = pytest.mark.parametrize("x_mm", [0.0, 3.0, 20.0, 30.0, 70.0, 140.0])


@PLACES
def test_force_settled_and_in_one_move_is_that_of_all_chambers(x_mm: float) -> None:
    x = x_mm / 1000
    assert float(SPRING.force_n(x, SET_PA, SITE)) == pytest.approx(force(PAPER, AT, 75.0, x_mm), abs=1e-6)
    quick = pushed_through(PAPER, AT, 75.0, x_mm, 1.35)
    assert float(SPRING.force_n(x, SET_PA, SITE, 1.35)) == pytest.approx(quick, abs=1e-6)


@PLACES
def test_rate_is_the_slope_of_the_force_slowly_and_about_a_settled_place(x_mm: float) -> None:
    x, step = x_mm / 1000, 1e-3
    quick = moved(PAPER, AT, 75.0, x_mm)
    slow = (force(PAPER, AT, 75.0, x_mm + step) - force(PAPER, AT, 75.0, x_mm - step)) / (2 * step) * 1000
    fast = (quick(step) - quick(-step)) / (2 * step) * 1000
    assert float(SPRING.rate_n_per_m(x, SET_PA, SITE)) == pytest.approx(slow, rel=1e-6)
    assert float(SPRING.rate_n_per_m(x, SET_PA, SITE, 1.35)) == pytest.approx(fast, rel=1e-6)


@pytest.mark.parametrize("exponent", [1.0, 1.35])
def test_work_is_the_sum_of_force_times_travel(exponent: float) -> None:
    whole = stored(PAPER, AT, 75.0, exponent, steps=2000) / 1000
    assert float(SPRING.work_j(0.14, SET_PA, SITE, exponent)) == pytest.approx(whole, rel=1e-6)
    # To 20 mm, before the coil's end.
    part = sum(pushed_through(PAPER, AT, 75.0, (i + 0.5) * 0.02, exponent) * 0.02 for i in range(1000)) / 1000
    assert float(SPRING.work_j(0.02, SET_PA, SITE, exponent)) == pytest.approx(part, rel=1e-6)
    assert float(SPRING.work_j(0.0, SET_PA, SITE, exponent)) == pytest.approx(0.0, abs=1e-9)


@PLACES
def test_the_parts_and_the_prepared_search_say_the_same_as_force_and_rate(x_mm: float) -> None:
    x = x_mm / 1000
    wanted = float(SPRING.force_n(x, SET_PA, SITE)), float(SPRING.rate_n_per_m(x, SET_PA, SITE))
    gain, gain_slope, offset, offset_slope = SPRING.settled_parts(x, SITE)
    assert (SET_PA * gain + offset, SET_PA * gain_slope + offset_slope) == pytest.approx(wanted, rel=1e-9)
    assert tuple(map(float, SPRING._prepare_settled(SET_PA, SITE)(x))) == pytest.approx(wanted, rel=1e-9)


def test_many_springs_with_legs_or_a_coil_are_prepared_like_each_alone() -> None:
    legs, rates = np.array([0.0, 1500e-6]), np.array([1800.0, 0.0])
    many = AirSpring(
        0.14, AREA, 75e-6, coil_rate_n_per_m=rates, coil_length_m=0.025, leg_area_m2=legs, leg_volume_m3=420e-6
    )
    forces, slopes = many._prepare_settled(SET_PA, SITE)(0.02)
    for place in range(2):
        one = AirSpring(
            0.14,
            AREA,
            75e-6,
            coil_rate_n_per_m=float(rates[place]),
            coil_length_m=0.025,
            leg_area_m2=float(legs[place]),
            leg_volume_m3=420e-6,
        )
        assert forces[place] == pytest.approx(float(one.force_n(0.02, SET_PA, SITE)), rel=1e-9)
        assert slopes[place] == pytest.approx(float(one.rate_n_per_m(0.02, SET_PA, SITE)), rel=1e-9)


def test_at_the_end_of_its_length_a_coil_has_no_rate_left() -> None:
    coil = AirSpring(0.14, AREA, 75e-6, coil_rate_n_per_m=1800.0, coil_length_m=0.025)
    bare = AirSpring(0.14, AREA, 75e-6)
    for x, left in ((0.0249, 1800.0), (0.025, 0.0), (0.026, 0.0)):
        more = coil.rate_n_per_m(x, SET_PA, SITE) - bare.rate_n_per_m(x, SET_PA, SITE)
        assert float(more) == pytest.approx(left, abs=1e-6)
        assert float(coil.settled_parts(x, SITE)[3]) == pytest.approx(left)


@pytest.mark.parametrize("exponent", [1.0, 1.35])
def test_a_bare_spring_is_one_chamber_and_the_air_around(exponent: float) -> None:
    # 8 cm² and 187 cm³, of which 75 are left: 500 kPa absolute on one side, 100 kPa on the other.
    bare, here = AirSpring(0.14, 8e-4, 75e-6), Site(100_000.0, 120_000.0)
    assert bare.extended_volume_m3 == pytest.approx(187e-6)
    for x in (0.0, 0.07, 0.14):
        wanted = 8e-4 * (5e5 * (187e-6 / (187e-6 - 8e-4 * x)) ** exponent - 1e5)
        assert float(bare.force_n(x, 5e5, here, exponent)) == pytest.approx(wanted, rel=1e-12)
    fine = (np.arange(20_000) + 0.5) * 0.14 / 20_000
    forces = 8e-4 * (5e5 * (187e-6 / (187e-6 - 8e-4 * fine)) ** exponent - 1e5)
    assert float(bare.work_j(0.14, 5e5, here, exponent)) == pytest.approx(float(forces.mean()) * 0.14, rel=1e-6)


def test_the_sag_holds_the_load_and_starts_anywhere() -> None:
    load = force(PAPER, AT, 75.0, 31.0)
    for start in (None, 0.0, 0.12):
        assert 1000 * float(SPRING.sag_m(SET_PA, load, SITE, start_m=start)) == pytest.approx(31.0, abs=1e-4)
