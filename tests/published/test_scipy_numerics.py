"""Closed forms of the spring and the linkage against numerical differentiation, integration and root finding.

Source: `scipy` (derivative, quad, brentq): general numerical methods that share no line with the closed forms.

Confirmed: recomputed with scipy in this file.

Tolerance: what the numerical method itself promises.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.differentiate import derivative
from scipy.integrate import cumulative_simpson, quad
from scipy.optimize import brentq

from setup_rules.inference.start_setting import Held
from setup_rules.physics.air_spring import AirSpring
from setup_rules.physics.linkage import Leverage, wheel_rate_n_per_m
from setup_rules.physics.spring import Site

AMBIENT_PA = 101_325.0
SITE = Site(AMBIENT_PA, AMBIENT_PA)
FORK = AirSpring(
    travel_m=0.14,
    area_m2=7.45e-4,
    compressed_volume_m3=6.9e-5,
    negative_area_m2=6.9e-4,
    negative_volume_m3=1.7e-5,
    port_m=0.007,
    leg_area_m2=8.2e-4,
    leg_volume_m3=2.6e-4,
)
COIL = AirSpring(
    travel_m=0.12, area_m2=6.4e-4, compressed_volume_m3=5.1e-5, coil_rate_n_per_m=3500.0, coil_length_m=0.03
)
SHOCK = AirSpring(
    travel_m=0.055,
    area_m2=1.2e-3,
    compressed_volume_m3=3.8e-5,
    negative_area_m2=1.0e-3,
    negative_volume_m3=1.1e-5,
    port_m=0.003,
)
LINKAGE = Leverage.from_points(((0.0, 2.9), (55.0, 2.4)))
BENT = Leverage.from_points(((0.0, 2.6), (20.0, 3.0), (55.0, 2.3)))
SPRINGS = pytest.mark.parametrize("spring", [FORK, COIL, SHOCK], ids=["fork", "coil", "shock"])
GAUGE_PA = 7.2e5


@SPRINGS
@pytest.mark.parametrize("share", [0.1, 0.2, 0.5, 0.9])
def test_the_settled_rate_is_the_slope_of_the_force(spring: AirSpring, share: float) -> None:
    x, absolute = share * spring.travel_m, GAUGE_PA + AMBIENT_PA
    slope = derivative(lambda y: spring.force_n(y, absolute, SITE), x, initial_step=1e-3 * spring.travel_m)
    assert slope.success
    assert spring.rate_n_per_m(x, absolute, SITE) == pytest.approx(float(slope.df), rel=1e-6)


@SPRINGS
@pytest.mark.parametrize("exponent", [1.0, 1.35])
def test_the_work_is_the_integral_of_the_force(spring: AirSpring, exponent: float) -> None:
    absolute = GAUGE_PA + AMBIENT_PA
    joules, error = quad(
        lambda y: spring.force_n(y, absolute, SITE, exponent),
        0.0,
        spring.travel_m,
        points=[min(0.03, 0.5 * spring.travel_m)],
        epsabs=1e-9,
    )
    assert spring.work_j(spring.travel_m, absolute, SITE, exponent) == pytest.approx(joules, abs=max(1e-6, error))


@SPRINGS
@pytest.mark.parametrize("force_n", [250.0, 400.0])
def test_the_set_pressure_is_the_root_that_brentq_finds(spring: AirSpring, force_n: float) -> None:
    sag_m = 0.25 * spring.travel_m
    root_pa = brentq(lambda gauge: spring.force_n(sag_m, gauge + AMBIENT_PA, SITE) - force_n, -9e4, 9e6, xtol=1e-6)
    # Nothing weighs on the spring where the gap is read, so it is fully extended there.
    held = Held(spring, force_n, -1e4, Leverage(), spring.travel_m)
    assert held.acting_for(sag_m, SITE) - AMBIENT_PA == pytest.approx(root_pa, abs=1e-3)


@SPRINGS
@pytest.mark.parametrize("gauge_bar", [5.0, 7.0, 8.5])
def test_the_sag_is_the_root_that_brentq_finds(spring: AirSpring, gauge_bar: float) -> None:
    absolute = gauge_bar * 1e5 + AMBIENT_PA
    force_n = float(spring.force_n(0.3 * spring.travel_m, 8e5, SITE))
    root_m = brentq(lambda y: spring.force_n(y, absolute, SITE) - force_n, 0.0, spring.travel_m, xtol=1e-12)
    assert float(spring.sag_m(absolute, force_n, SITE)) == pytest.approx(root_m, abs=1e-8)


@pytest.mark.parametrize("leverage", [LINKAGE, BENT], ids=["straight", "bent"])
@pytest.mark.parametrize("load_n", [400.0, 700.0])
def test_the_sag_behind_a_linkage_is_the_root_that_brentq_finds(leverage: Leverage, load_n: float) -> None:
    absolute = 11e5 + AMBIENT_PA
    root_m = brentq(lambda y: SHOCK.force_n(y, absolute, SITE) - load_n * float(leverage.at(y)), 0.0, 0.055, xtol=1e-12)
    assert float(SHOCK.sag_m(absolute, load_n, SITE, leverage)) == pytest.approx(root_m, abs=1e-8)


@pytest.mark.parametrize("leverage", [LINKAGE, BENT], ids=["straight", "bent"])
@pytest.mark.parametrize("stroke_mm", [0.0, 16.5, 20.0, 37.0, 55.0])
def test_the_wheel_travel_is_the_integral_of_the_leverage(leverage: Leverage, stroke_mm: float) -> None:
    metres, _ = quad(lambda x: float(leverage.at(x)), 0.0, stroke_mm / 1000, points=[0.02], epsabs=1e-12)
    assert leverage.wheel_travel_m(stroke_mm / 1000) == pytest.approx(metres, abs=1e-9)


@pytest.mark.parametrize("share", [0.15, 0.3, 0.6])
def test_the_wheel_rate_is_the_slope_of_wheel_force_over_wheel_travel(share: float) -> None:
    absolute = 11e5 + AMBIENT_PA
    stroke = np.linspace(0.0, 0.055, 20_001)
    ratio = np.asarray(LINKAGE.at(stroke))
    wheel_m = cumulative_simpson(ratio, x=stroke, initial=0.0)
    slope = np.gradient(SHOCK.force_n(stroke, absolute, SITE) / ratio, wheel_m)
    index = round(share * 20_000)
    x = float(stroke[index])
    found = wheel_rate_n_per_m(
        float(SHOCK.rate_n_per_m(x, absolute, SITE)),
        float(SHOCK.force_n(x, absolute, SITE)),
        float(LINKAGE.at(x)),
        float(LINKAGE.slope_at(x)),
    )
    assert found == pytest.approx(float(slope[index]), rel=1e-5)


@pytest.mark.parametrize("deflection_mm", [25.0, 40.0, 50.8])
def test_a_leverage_of_two_quarters_the_rate_at_the_wheel(deflection_mm: float) -> None:
    # A straight spring behind a constant leverage: F_w = k·(x_w/LR)/LR, differentiated by scipy.
    wheel = derivative(lambda x: 80_000.0 * (x / 2.0) / 2.0, deflection_mm / 1000)
    force = 80_000.0 * deflection_mm / 2000
    assert wheel_rate_n_per_m(80_000.0, force, 2.0, 0.0) == pytest.approx(float(wheel.df), rel=1e-9)
    assert math.isclose(wheel_rate_n_per_m(80_000.0, force, 2.0, 0.0), 20_000.0)
