"""A second positive chamber on numbers that can be followed: where it joins, what it spares, and what a default means.

A piston of 10 cm² over 140 mm before 60 cm³: V(0) = 200 cm³. The second chamber of 50 cm³ stands at twice the first
one's absolute pressure, so it joins where V is halved, after 100 mm.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from setup_rules.physics.air_spring import AirSpring
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.spring import Site
from setup_rules.physics.twin_air_spring import TwinAirSpring

ALONE = AirSpring(0.14, 1e-3, 6e-5)
TWIN = TwinAirSpring(ALONE, 5e-5, 2.0)
BEHIND = AirSpring(0.14, 1e-3, 6e-5, negative_area_m2=9e-4, negative_volume_m3=3e-5, port_m=0.01)
SITE = Site(100_000.0, 100_000.0)
SET = 600_000.0
JOINED = float(TWIN.joins_at_m())


def test_it_joins_where_the_first_chamber_has_its_pressure() -> None:
    assert pytest.approx(0.1, abs=1e-12) == JOINED
    # In motion sooner: V falls to 2^(−1/1.4) of itself, 0.6095: 0.2·(1 − 0.6095) m.
    assert float(TWIN.joins_at_m(1.4)) == pytest.approx(0.2 * (1 - 2 ** (-1 / 1.4)), abs=1e-12)
    assert TWIN.travel_m == 0.14


@pytest.mark.parametrize(("x_mm", "absolute_kpa"), [(0.0, 600.0), (50.0, 800.0), (100.0, 1200.0), (120.0, 1384.6154)])
def test_the_force_is_the_pressure_of_what_has_joined(x_mm: float, absolute_kpa: float) -> None:
    # Up to 100 mm 600·200/V; beyond it (600·200 + 1200·50)/(V + 50) kPa with V in cm³: 180,000/130 after 120 mm.
    force = 1e-3 * (1e3 * absolute_kpa - 100_000.0)
    assert float(TWIN.force_n(x_mm / 1000, SET, SITE)) == pytest.approx(force, abs=1e-3)
    gain, _, offset, _ = TWIN.settled_parts(x_mm / 1000, SITE)
    assert SET * float(gain) + float(offset) == pytest.approx(force, abs=1e-3)


def test_the_rate_is_the_first_ones_up_to_the_threshold_itself_and_that_of_both_beyond() -> None:
    # p·A²/V: 1200 kPa and 100 cm³ make 12 N/mm, with 50 cm³ more 8.
    rates = [float(TWIN.rate_n_per_m(x, SET, SITE)) for x in (JOINED, JOINED + 1e-9)]
    assert rates == pytest.approx([12_000.0, 8000.0], rel=1e-6)
    slopes = [float(TWIN.settled_parts(x, SITE)[1]) * SET for x in (JOINED, JOINED + 1e-9)]
    assert slopes == pytest.approx([12_000.0, 8000.0], rel=1e-6)


def test_without_an_exponent_everything_has_settled() -> None:
    for spring in (TWIN, TwinAirSpring(BEHIND, 5e-5, 2.0), ALONE, BEHIND):
        for answer in (spring.force_n, spring.rate_n_per_m, spring.work_j):
            for x in (0.06, 0.12):
                assert float(answer(x, SET, SITE)) == float(answer(x, SET, SITE, 1.0))
                assert float(answer(x, SET, SITE)) != pytest.approx(float(answer(x, SET, SITE, 1.3)), rel=1e-3)


@pytest.mark.parametrize("spring", [TWIN, TwinAirSpring(BEHIND, 5e-5, 2.0), TwinAirSpring(BEHIND, 5e-5, 1.02)])
@pytest.mark.parametrize("exponent", [1.0, 1.35])
def test_the_work_is_the_area_under_the_force(spring: TwinAirSpring, exponent: float) -> None:
    for end in (0.05, 0.13):
        x = np.linspace(0.0, end, 40_001)
        area = float(np.trapezoid(spring.force_n(x, SET, SITE, exponent), x))
        assert float(spring.work_j(end, SET, SITE, exponent)) == pytest.approx(area, rel=1e-6)


def test_a_chamber_that_has_joined_before_the_port_leaves_the_negative_one_less() -> None:
    # Joined at 1 % more than the set pressure, after 1.98 mm; at the port, 10 mm in, both share (120 + 30.3)/(240) kJ.
    spring = TwinAirSpring(BEHIND, 5e-5, 1.01)
    at_port = (SET * 200.0 + 1.01 * SET * 50.0) / 240.0
    negative = at_port * (30.0 + 9.0) / (30.0 + 9.0 * 5.0)
    positive = (SET * 200.0 + 1.01 * SET * 50.0) / (250.0 - 50.0)
    force = 1e-3 * (positive - 1e5) - 9e-4 * (negative - 1e5)
    assert float(spring.force_n(0.05, SET, SITE)) == pytest.approx(force, rel=1e-9)


@pytest.mark.parametrize("x", [0.03, 0.12])
def test_it_rests_where_the_force_is_the_load_on_either_side(x: float) -> None:
    load = float(TWIN.force_n(x, SET, SITE))
    assert float(TWIN.sag_m(SET, load, SITE)) == pytest.approx(x, abs=1e-9)
    assert float(TWIN.sag_m(SET, load / 2.5, SITE, Leverage((0.0, 1.0), (2.5, 2.5)), 0.0)) == pytest.approx(x, abs=1e-9)
    both = TWIN.sag_m(np.array([SET, 1.2 * SET]), load, SITE)
    assert both[0] == pytest.approx(x, abs=1e-9)
    assert both[1] < x


def test_a_search_may_ask_for_its_parts_again_and_again() -> None:
    assert [float(one) for one in TWIN.prepare_parts(SITE)(0.12)] == [
        float(one) for one in TWIN.settled_parts(0.12, SITE)
    ]


@pytest.mark.parametrize("x", [0.03, 0.05, 0.12])
def test_with_both_chambers_joined_at_the_port_force_rate_and_parts_belong_together(x: float) -> None:
    legs = replace(BEHIND, leg_area_m2=2e-3, leg_volume_m3=6e-4)
    spring, step = TwinAirSpring(legs, 5e-5, 1.01), 1e-6
    force = float(spring.force_n(x, SET, SITE))
    slope = float(spring.force_n(x + step, SET, SITE) - spring.force_n(x - step, SET, SITE)) / (2 * step)
    gain, gain_slope, offset, offset_slope = (float(one) for one in spring.settled_parts(x, SITE))
    assert SET * gain + offset == pytest.approx(force, rel=1e-9)
    assert SET * gain_slope + offset_slope == pytest.approx(slope, rel=1e-6)
    assert float(spring.rate_n_per_m(x, SET, SITE)) == pytest.approx(slope, rel=1e-6)
    # What the search is told.
    assert [float(one) for one in spring._settled(SET, SITE, x)] == pytest.approx([force, slope], rel=1e-6)
