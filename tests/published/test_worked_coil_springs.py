"""Coil main springs worked on paper: force, rate, preload, coil bind, and two whole bikes from rider to rate.

Source: Hooke's law, F = k·x (any handbook), force balance with leverage, geometry for coil bind, and c = 2ζ√(k·m).

Confirmed: every figure was worked by hand, its steps stand above it, and is worked again here in plain arithmetic that
uses none of the product's functions. Pound, inch and standard gravity come from SciPy's constants (NIST SP 811).
Shares of the bike, unsprung masses and gas forces are our central estimates, typed here.

Tolerance: the worked digits.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import constants
from scipy.integrate import quad
from scipy.optimize import brentq

import setup_rules as rules
from setup_rules.inference.coil_class import draw_coil, preload_limits_mm
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import central_row
from setup_rules.physics.coil_spring import CoilRate, CoilSpring
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.settling import settle
from setup_rules.physics.spring import Site
from setup_rules.types.request import Conditions, EndName, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import SagCheck

HERE = Site(101_325.0, 101_325.0)
FORK = Leverage()
#: One pound-force an inch in N/m.
POUNDS = constants.lbf / constants.inch


def test_a_spring_of_450_pounds_an_inch_pushes_450_pounds_after_an_inch() -> None:
    force_n = CoilSpring(travel_m=0.055).force_n(constants.inch, 450 * POUNDS, HERE)
    assert force_n / constants.lbf == pytest.approx(450.0, rel=1e-12)


@pytest.mark.parametrize(
    ("x_mm", "preload_mm", "gas_n", "newtons"),
    # 80 N/mm: 80·(16.5 + 2) = 1480; 80·(0 + 2) + 90 = 250; 80·(55 + 2) + 90 = 4650; −5 mm of slack: 80·11.5 = 920.
    [
        (16.5, 2.0, 0.0, 1480.0),
        (0.0, 2.0, 90.0, 250.0),
        (55.0, 2.0, 90.0, 4650.0),
        (16.5, -5.0, 0.0, 920.0),
        (10.0, 1.0, 40.0, 920.0),
    ],
)
def test_the_force_is_rate_times_compression_and_preload(
    x_mm: float, preload_mm: float, gas_n: float, newtons: float
) -> None:
    spring = CoilSpring(0.055, preload_mm / 1000, gas_n)
    assert spring.force_n(x_mm / 1000, 80_000.0, HERE) == pytest.approx(newtons)
    gain, gain_slope, offset, offset_slope = spring.settled_parts(x_mm / 1000, HERE)
    assert 80_000.0 * gain + offset == pytest.approx(newtons)
    step = 1e-6
    further = spring.settled_parts(x_mm / 1000 + step, HERE)
    assert gain_slope == pytest.approx((further[0] - gain) / step)
    assert offset_slope == pytest.approx((further[2] - offset) / step)
    assert float(spring.rate_n_per_m(x_mm / 1000, 80_000.0, HERE)) == pytest.approx(80_000.0)


@pytest.mark.parametrize("x_mm", [5.0, 30.0, 55.0])
def test_the_work_is_the_area_below_the_force(x_mm: float) -> None:
    spring = CoilSpring(0.055, 0.003, 90.0)
    area, _ = quad(lambda x: 82_000.0 * (x + 0.003) + 90.0, 0.0, x_mm / 1000)
    assert spring.work_j(x_mm / 1000, 82_000.0, HERE) == pytest.approx(area, rel=1e-9)


def test_the_sag_is_the_load_over_the_rate_less_the_preload() -> None:
    # (324 − 12)/9 = 34.667 mm, less 5 of preload.
    assert float(CoilSpring(0.15, 0.005, 12.0).sag_m(9000.0, 324.0, HERE, FORK)) == pytest.approx(0.0296667, abs=5e-8)
    # Topped out: 9·5 + 12 = 57 N hold 50. Bottomed out: 9·155 + 12 = 1407 N do not hold 1500.
    assert float(CoilSpring(0.15, 0.005, 12.0).sag_m(9000.0, 50.0, HERE, FORK)) == 0.0
    assert float(CoilSpring(0.15, 0.005, 12.0).sag_m(9000.0, 1500.0, HERE, FORK)) == pytest.approx(0.15, abs=1e-6)


@pytest.mark.parametrize("start_m", [None, 0.0, 0.05])
def test_the_sag_behind_a_bent_leverage_is_the_root_that_scipy_finds(start_m: float | None) -> None:
    points = ((0.0, 3.1), (20.0, 2.7), (40.0, 2.5), (55.0, 2.6))
    at, ratio = np.array([p for p, _ in points]) / 1000, np.array([r for _, r in points])
    spring, lever = CoilSpring(0.055, 0.0015, 80.0), Leverage.from_points(points)
    for rate in (60_000.0, 85_000.0):
        root = brentq(lambda x, k=rate: k * (x + 0.0015) + 80.0 - 520.0 * np.interp(x, at, ratio), 0.0, 0.055)
        assert float(spring.sag_m(rate, 520.0, HERE, lever, start_m)) == pytest.approx(root, abs=1e-8)
    both = settle(lambda x: (np.array([1.0, 2.0]) * 1e4 * x, np.array([1e4, 2e4])), 200.0, FORK, np.full(2, 0.1), None)
    assert both == pytest.approx([0.02, 0.01])


def test_steel_is_the_same_in_the_cold_and_on_a_mountain() -> None:
    there = Conditions(temperature_c=-10.0, altitude_m=2000.0)
    setting = CoilRate()
    assert setting.acting(82_000.0, there) == setting.bench_value(82_000.0, there) == setting.shown(82_000.0, there)
    assert setting.least(there) == CoilSpring.least_acting == 1.0
    assert setting.site(there).ambient_pa == setting.site(there).leg_pa == pytest.approx(79_495.2, abs=0.05)


@pytest.mark.parametrize(
    ("spring", "given", "value"),
    [("coil", {"spring_rate_n_per_mm": 78.8}, 78_800.0), ("air", {"pressure_pa": 5.5e5}, 5.5e5)],
)
def test_a_check_says_what_was_set_in_the_units_of_force_and_length(spring: Any, given: Any, value: float) -> None:
    fork = FrontEnd(travel_mm=150.0, spring=spring)
    model = EndModel("front", fork, SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=fork))
    assert model.checked_value(SagCheck(end="front", readings_mm=(30.0,), **given)) == pytest.approx(value)


# Coil bind: a wire of 9 mm, eight coils in all, is 72 mm long with its coils touching. Free 134 mm long, it can be
# squeezed by 62; a shock that strokes 57.5 leaves 4.5 mm of preload.
FREE_MM, WIRE_MM, COILS = 134.0, 9.0, 8


@pytest.mark.parametrize(
    ("stroke_mm", "allowed_mm", "least_mm", "most_mm"),
    [(57.5, 10.0, 1.0, 4.5), (57.5, 3.0, 1.0, 3.0), (61.5, 3.0, 0.5, 0.5), (65.0, 3.0, 0.0, 0.0)],
)
def test_coil_bind_limits_the_preload(stroke_mm: float, allowed_mm: float, least_mm: float, most_mm: float) -> None:
    squeezed = FREE_MM - WIRE_MM * COILS
    shock = RearEnd(
        stroke_mm=stroke_mm, leverage_start=2.8, spring="coil", preload_mm_max=allowed_mm, coil_stroke_mm=squeezed
    )
    assert preload_limits_mm(shock) == pytest.approx((least_mm, most_mm))
    solid = FREE_MM - stroke_mm - preload_limits_mm(shock)[1]
    assert solid >= WIRE_MM * COILS or most_mm == 0.0


def test_what_nobody_entered_is_what_practice_and_our_estimate_say() -> None:
    assert preload_limits_mm(RearEnd(stroke_mm=55.0, leverage_start=2.8, spring="coil")) == (1.0, 3.0)
    assert preload_limits_mm(FrontEnd(travel_mm=150.0, spring="coil")) == (0.0, 5.0)


@pytest.mark.parametrize(
    ("end", "gas_n", "travel_m"),
    [
        (FrontEnd(travel_mm=150.0, spring="coil"), 15.0, 0.15),
        (RearEnd(stroke_mm=55.0, leverage_start=2.8), 90.0, 0.055),
    ],
)
def test_a_drawn_coil_has_the_gas_of_its_end_and_the_preload_given(end: Any, gas_n: float, travel_m: float) -> None:
    spring = draw_coil(end, central_row(), 0.004)
    assert (spring.travel_m, spring.preload_m, spring.gas_force_n) == pytest.approx((travel_m, 0.004, gas_n))
    row = central_row().copy()
    row[-2] = 1.0  # the gas, at its high end
    assert draw_coil(end, row, 0.004).gas_force_n == pytest.approx(30.0 if gas_n == 15.0 else 130.0)


# Whole example, shock with a falling leverage ratio. Rear mass 0.60·(78 + 4) + 0.525·14 − 4.0 = 52.55 kg, at the wheel
# 52.55·9.80665 = 515.34 N. Target 30 % of 55 mm = 16.5 mm, there LR = 2.9 − 0.5·0.3 = 2.75, the shock carries
# 1417.18 N, 90 of them by gas. Without the rider 3.35 kg, 32.85 N·2.9 = 95.3 N: less than gas and 1 mm of preload, so
# the shock stands fully extended and the gap is the compression. k = 1327.18/(16.5 + 1.0) = 75.839 N/mm, 433.1 lb/in.
# Damping at the wheel: k/LR² − F/LR³·dLR/dx = 10028.2 + 619.5 = 10647.8 N/m; c = 2·0.42·√(10647.8·52.55)·2.75² =
# 4751.8 N·s/m.
REAR = {
    "stroke_mm": 55,
    "leverage_start": 2.9,
    "leverage_end": 2.4,
    "spring": "coil",
    "sag_target_percent": 30,
    "rebound_clicks": 14,
    "preload_mm_max": 4,
    "coil_stroke_mm": 60,
}
# Whole example, fork. Front mass 0.40·82 + 0.475·14 − 3.2 = 36.25 kg, along the leg 36.25·9.80665·sin 66° = 324.757 N;
# without the rider 3.45 kg, 30.908 N. Gas 15 N. Target 20 % of 150 mm = 30 mm. Both places are off the straight line
# by the same preload and gas: k·30 = 324.757 − 30.908 = 293.849, k = 9.7950 N/mm, 55.9 lb/in, at rest 15.908/9.7950 =
# 1.624 mm. c = 2·0.42·√(9795.0·36.25)·sin 66° = 457.3 N·s/m.
FRONT = {
    "travel_mm": 150,
    "head_angle_deg": 66,
    "spring": "coil",
    "sag_target_percent": 20,
    "rebound_clicks": 16,
    "preload_mm_max": 8,
    "coil_stroke_mm": 170,
}
RIDER = {
    "rider_mass_kg": 78,
    "kit_mass_kg": 4,
    "bike_mass_kg": 14,
    "riding_style": "trail",
    "rider_front_share_percent": 40,
}


def answer_of(name: EndName, **changes: Any) -> rules.EndSetup:
    """Return the answer for one end of the worked bike."""
    end = REAR if name == "rear" else FRONT
    setup = rules.recommend(rules.read_request({**RIDER, name: {**end, **changes}}))
    found = setup.front if name == "front" else setup.rear
    assert found is not None
    return found


@pytest.mark.usefixtures("central_values")
@pytest.mark.parametrize(
    ("name", "n_per_mm", "pounds", "rest_mm", "load_n", "damping"),
    [("rear", 75.839, 433.05, 0.0, 1417.18, 4751.83), ("front", 9.7950, 55.93, 1.624, 324.757, 457.3)],
)
def test_the_exact_rate_is_the_worked_one(
    name: EndName, n_per_mm: float, pounds: float, rest_mm: float, load_n: float, damping: float
) -> None:
    end = answer_of(name)
    assert end.coil is not None
    assert end.coil.rate_n_per_m / 1000 == pytest.approx(n_per_mm, abs=6e-4 if name == "rear" else 6e-5)
    assert end.coil.rate_n_per_m / POUNDS == pytest.approx(pounds, abs=6e-3)
    assert end.coil.rate_wanted_n_per_m == end.coil.rate_n_per_m
    assert end.coil.preload_mm == (1.0 if name == "rear" else 0.0)
    assert end.rest_mm == pytest.approx(rest_mm, abs=6e-4)
    assert end.sag_expected_mm == pytest.approx(end.sag_target_mm, abs=1e-3)
    assert end.load_n == pytest.approx(load_n, abs=6e-3)
    assert end.rebound is not None
    assert end.rebound.damping_n_s_per_m == pytest.approx(damping, abs=0.06)


@pytest.mark.usefixtures("central_values")
def test_preload_brings_a_softer_shock_spring_to_the_target() -> None:
    # 70 N/mm: p = 1327.18/70 − 16.5 = 2.460 mm, told in halves: 2.5. Then 70·(x + 2.5) + 90 = 515.34·(2.9 − x/110):
    # x = (1494.49 − 265)/(70 + 4.68491) = 16.462 mm. With 1 mm: (1494.49 − 160)/74.68491 = 17.868 mm.
    end = answer_of("rear", stocked_rates_n_per_mm=[70])
    assert end.coil is not None
    (choice,) = end.coil.choices
    assert (end.coil.rate_n_per_m, end.coil.preload_mm) == (70_000.0, 2.5)
    assert end.sag_expected_mm == pytest.approx(16.462, abs=1e-3)
    assert choice.least_preload_sag_mm == pytest.approx(17.868, abs=1e-3)
    # A pitch of 1.25 mm: quarter turns of 0.3125 mm, the nearest to 2.460 is 8 of them, 2.5 mm, two turns.
    turned = answer_of("rear", stocked_rates_n_per_mm=[70], preload_pitch_mm=1.25)
    assert turned.coil is not None
    assert (turned.coil.preload_mm, turned.coil.preload_turns) == (2.5, 2.0)


@pytest.mark.usefixtures("central_values")
def test_preload_of_a_fork_does_nothing_until_the_bike_alone_no_longer_sags() -> None:
    # 9 N/mm: at rest 15.908/9 = 1.7676 mm, gap 293.849/9 = 32.650 mm up to that preload, and 1 mm less a mm from there.
    # p = 309.757/9 − 30 = 4.4175 mm, told in halves: 4.5, then 309.757/9 − 4.5 = 29.917 mm.
    end = answer_of("front", stocked_rates_n_per_mm=[9])
    assert end.coil is not None
    assert end.coil.choices[0].least_preload_sag_mm == pytest.approx(32.650, abs=1e-3)
    assert (end.coil.preload_mm, end.rest_mm) == (4.5, 0.0)
    assert end.sag_expected_mm == pytest.approx(29.917, abs=1e-3)
    short = answer_of("front", stocked_rates_n_per_mm=[9], preload_mm_max=1.5)
    assert short.coil is not None
    assert short.coil.preload_mm == 0.0
    assert short.sag_expected_mm == pytest.approx(32.650, abs=1e-3)


@pytest.mark.usefixtures("central_values")
def test_the_nearest_springs_lie_on_either_side_of_the_exact_one() -> None:
    stocked = [60, 65, 70, 74, 78, 82, 90]
    end = answer_of("rear", stocked_rates_n_per_mm=stocked)
    assert end.coil is not None
    assert [choice.rate_n_per_m / 1000 for choice in end.coil.choices] == [70, 74, 78, 82]
    # 74 with 1.5 mm: (1494.49 − 201)/78.68491 = 16.439; 78 with 1 mm: (1494.49 − 168)/82.68491 = 16.043, off by more
    # than half a per cent of the stroke.
    assert (end.coil.rate_n_per_m, end.coil.preload_mm) == (74_000.0, 1.5)
    assert end.sag_expected_mm == pytest.approx(16.439, abs=1e-3)
    assert all(choice.reaches for choice in end.coil.choices[:3])
