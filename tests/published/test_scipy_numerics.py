"""Closed forms of the spring and the linkage against numerical differentiation, integration and root finding.

Source: `scipy` (derivative, quad, brentq, cumulative_simpson): general numerical methods; forces from Boyle's and the
polytropic law chamber by chamber, as put together in `on_paper` in N, mm and MPa.

Confirmed: neither the forces nor the leverage that SciPy is given come from the product: these are `on_paper`'s and a
straight line between typed points.

Tolerance: what the numerical method itself promises; a millionth for a rate and for the work.
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
from tests.published.on_paper import Chambers, Places, force, pushed_through

PSI_PA, AMBIENT_PA = 6894.757293168, 101_325.0
HOME, SITE = Places(), Site(AMBIENT_PA, AMBIENT_PA)
FORK = Chambers(
    travel=140, bore=30.8, volume=173_000, negative_area=690, negative_volume=17_000, port=7, leg_area=820,
    leg_volume=260_000,
)  # fmt: skip
COIL = Chambers(travel=120, bore=28.5, volume=127_500, coil_rate=3.5, coil_length=30)
SHOCK = Chambers(
    travel=55, bore=39, volume=104_000, negative_area=1000, negative_volume=11_000, port=3, gas=80
)  # fmt: skip
SPRINGS = pytest.mark.parametrize("s", [FORK, COIL, SHOCK], ids=["fork", "coil", "shock"])
STRAIGHT, BENT = ((0.0, 2.9), (55.0, 2.4)), ((0.0, 2.6), (20.0, 3.0), (55.0, 2.3))
LEVERAGES = pytest.mark.parametrize("points", [STRAIGHT, BENT], ids=["straight", "bent"])
PSI = 104.0


def built(s: Chambers) -> AirSpring:
    """Return the product's spring with the same inside."""
    return AirSpring(
        travel_m=s.travel / 1e3,
        area_m2=s.area / 1e6,
        compressed_volume_m3=(s.volume - s.area * s.travel) / 1e9,
        negative_area_m2=s.negative_area / 1e6,
        negative_volume_m3=s.negative_volume / 1e9,
        port_m=s.port / 1e3,
        coil_rate_n_per_m=s.coil_rate * 1e3,
        coil_length_m=s.coil_length / 1e3,
        leg_area_m2=s.leg_area / 1e6,
        leg_volume_m3=s.leg_volume / 1e9,
        gas_force_n=s.gas,
    )


def absolute(psi: float) -> float:
    """Return the absolute pressure [Pa] of a gauge pressure [psi] at sea level."""
    return psi * PSI_PA + AMBIENT_PA


def lever(points: tuple[tuple[float, float], ...], x: float) -> float:
    """Return the leverage at a stroke [mm], straight between the points."""
    return float(np.interp(x, *zip(*points, strict=True)))


@SPRINGS
@pytest.mark.parametrize("share", [0.1, 0.2, 0.5, 0.9])
def test_the_settled_rate_is_the_slope_of_the_force(s: Chambers, share: float) -> None:
    x = share * s.travel
    slope = derivative(np.vectorize(lambda y: force(s, HOME, PSI, y)), x, initial_step=1e-3 * s.travel)
    assert slope.success
    found = built(s).rate_n_per_m(x / 1e3, absolute(PSI), SITE)
    assert found == pytest.approx(1000 * float(slope.df), rel=1e-6)


@SPRINGS
@pytest.mark.parametrize("exponent", [1.0, 1.35])
def test_the_work_is_the_integral_of_the_force(s: Chambers, exponent: float) -> None:
    millijoules, error = quad(
        lambda y: pushed_through(s, HOME, PSI, y, exponent), 0.0, s.travel, points=[min(30, 0.5 * s.travel)]
    )
    found = built(s).work_j(s.travel / 1e3, absolute(PSI), SITE, exponent)
    assert found == pytest.approx(millijoules / 1e3, rel=1e-6, abs=error)


@SPRINGS
@pytest.mark.parametrize("force_n", [250.0, 400.0])
def test_the_set_pressure_is_the_root_that_brentq_finds(s: Chambers, force_n: float) -> None:
    sag = 0.25 * s.travel
    psi = brentq(lambda one: force(s, HOME, one, sag) - force_n, -13.0, 1300.0, xtol=1e-10)
    # Nothing weighs on the spring where the gap is read, so it is fully extended there.
    held = Held(built(s), force_n, -1e4, Leverage(), s.travel / 1e3)
    assert (held.acting_for(sag / 1e3, SITE) - AMBIENT_PA) / PSI_PA == pytest.approx(psi, abs=1e-6)


@SPRINGS
@pytest.mark.parametrize("psi", [75.0, 100.0, 125.0])
def test_the_sag_is_the_root_that_brentq_finds(s: Chambers, psi: float) -> None:
    force_n = force(s, HOME, 115.0, 0.3 * s.travel)
    root = brentq(lambda y: force(s, HOME, psi, y) - force_n, 0.0, s.travel, xtol=1e-9)
    assert 1000 * float(built(s).sag_m(absolute(psi), force_n, SITE)) == pytest.approx(root, abs=1e-5)


@LEVERAGES
@pytest.mark.parametrize("load_n", [400.0, 700.0])
def test_the_sag_behind_a_linkage_is_the_root_that_brentq_finds(
    points: tuple[tuple[float, float], ...], load_n: float
) -> None:
    root = brentq(lambda y: force(SHOCK, HOME, 160.0, y) - load_n * lever(points, y), 0.0, 55.0, xtol=1e-9)
    found = built(SHOCK).sag_m(absolute(160.0), load_n, SITE, Leverage.from_points(points))
    assert 1000 * float(found) == pytest.approx(root, abs=1e-5)


@LEVERAGES
@pytest.mark.parametrize("stroke_mm", [0.0, 16.5, 20.0, 37.0, 55.0])
def test_the_wheel_travel_is_the_integral_of_the_leverage(
    points: tuple[tuple[float, float], ...], stroke_mm: float
) -> None:
    travel, _ = quad(lambda x: lever(points, x), 0.0, stroke_mm, points=[20.0], epsabs=1e-9)
    leverage = Leverage.from_points(points)
    assert 1000 * leverage.wheel_travel_m(stroke_mm / 1000) == pytest.approx(travel, abs=1e-6)


@pytest.mark.parametrize("share", [0.15, 0.3, 0.6])
def test_the_wheel_rate_is_the_slope_of_wheel_force_over_wheel_travel(share: float) -> None:
    stroke = np.linspace(0.0, 55.0, 20_001)
    ratio = np.interp(stroke, *zip(*STRAIGHT, strict=True))
    wheel = cumulative_simpson(ratio, x=stroke, initial=0.0)
    slope = np.gradient(np.array([force(SHOCK, HOME, 160.0, x) for x in stroke]) / ratio, wheel)
    index, leverage, spring = round(share * 20_000), Leverage.from_points(STRAIGHT), built(SHOCK)
    x = float(stroke[index]) / 1000
    found = wheel_rate_n_per_m(
        float(spring.rate_n_per_m(x, absolute(160.0), SITE)),
        float(spring.force_n(x, absolute(160.0), SITE)),
        float(leverage.at(x)),
        float(leverage.slope_at(x)),
    )
    assert found == pytest.approx(1000 * float(slope[index]), rel=1e-5)


@pytest.mark.parametrize("deflection_mm", [25.0, 40.0, 50.8])
def test_a_leverage_of_two_quarters_the_rate_at_the_wheel(deflection_mm: float) -> None:
    # A straight spring behind a constant leverage: F_w = k·(x_w/LR)/LR, differentiated by scipy.
    wheel = derivative(lambda x: 80_000.0 * (x / 2.0) / 2.0, deflection_mm / 1000)
    force_n = 80_000.0 * deflection_mm / 2000
    assert wheel_rate_n_per_m(80_000.0, force_n, 2.0, 0.0) == pytest.approx(float(wheel.df), rel=1e-9)
    assert math.isclose(wheel_rate_n_per_m(80_000.0, force_n, 2.0, 0.0), 20_000.0)


@SPRINGS
@pytest.mark.parametrize("share", [0.1, 0.3, 0.7])
def test_force_is_gain_times_pressure_plus_offset_and_both_have_their_slopes(s: Chambers, share: float) -> None:
    # Two forces at two pressures make the straight line; MPa, mm² and N.
    def gain(x: float) -> float:
        return (force(s, HOME, PSI + 50, x) - force(s, HOME, PSI, x)) / (50 * PSI_PA / 1e6)

    def offset(x: float) -> float:
        return force(s, HOME, PSI, x) - gain(x) * absolute(PSI) / 1e6

    x = share * s.travel
    slopes = [float(derivative(np.vectorize(part), x, initial_step=1e-2 * s.travel).df) for part in (gain, offset)]
    found = built(s).settled_parts(x / 1e3, SITE)
    assert found[0] * 1e6 == pytest.approx(gain(x), rel=1e-6)
    assert found[1] * 1e3 == pytest.approx(slopes[0], rel=1e-4)
    assert found[2] == pytest.approx(offset(x), abs=1e-3)
    assert found[3] / 1e3 == pytest.approx(slopes[1], abs=1e-4)
