"""Loads, shares and the mass that a damper sees, derived by SymPy from lever and energy instead of typed.

Source: equilibrium of moments; Lagrange's equation (any text on mechanics). SymPy solves and differentiates, the
product's functions are asked for the same figures.

Confirmed: derived here.

Tolerance: rounding of doubles.
"""

from __future__ import annotations

import math

import pytest
import sympy as sp

from setup_rules.physics.damping import damping_n_s_per_m
from setup_rules.physics.linkage import Leverage, wheel_rate_n_per_m
from setup_rules.physics.rider_load import leg_force_n, sprung_mass_kg, weight_n

G = 9.80665


@pytest.mark.parametrize(("rider_mm", "bike_mm"), [(432.0, 600.0), (300.0, 540.0), (520.0, 620.0)])
def test_both_ends_carry_what_the_balance_of_moments_gives_them(rider_mm: float, bike_mm: float) -> None:
    # Rider 82 kg and bike 14 kg stand so far ahead of the rear axle, wheelbase 1200 mm; 3.2 and 4 kg are unsprung.
    front, rear, g = sp.symbols("front rear g", positive=True)
    moments = sp.Eq(front * 1200, g * (82 * sp.Rational(rider_mm) + 14 * sp.Rational(bike_mm)))
    found = sp.solve([moments, sp.Eq(front + rear, g * 96)], [front, rear])
    share, bike = rider_mm / 1200, bike_mm / 1200
    ahead = weight_n(sprung_mass_kg(82.0, 14.0, share, bike, 3.2))
    behind = weight_n(sprung_mass_kg(82.0, 14.0, 1 - share, 1 - bike, 4.0))
    assert ahead == pytest.approx(float(found[front].subs(g, G)) - 3.2 * G, rel=1e-12)
    assert behind == pytest.approx(float(found[rear].subs(g, G)) - 4.0 * G, rel=1e-12)


def motion(height: sp.Expr, x: sp.Symbol) -> tuple[sp.Expr, sp.Expr, sp.Expr]:
    """Return (load, inertia, stiffness added by the changing path) along the spring of a mass 1 sinking by `height`."""
    t, mass, g = sp.symbols("t m g", positive=True)
    path = sp.Function("q")(t)
    sunk = height.subs(x, path)
    energy = mass * sp.diff(sunk, t) ** 2 / 2 + mass * g * sunk
    force = sp.diff(energy, path) - sp.diff(sp.diff(energy, sp.diff(path, t)), t)
    still = force.subs(sp.diff(path, (t, 2)), 0).subs(sp.diff(path, t), 0)
    inertia = -sp.diff(force, sp.diff(path, (t, 2)))
    put = {path: x, mass: 1, g: sp.Float(G)}
    return sp.simplify(still.subs(put)), sp.simplify(inertia.subs(put)), sp.simplify(-sp.diff(still, path).subs(put))


@pytest.mark.parametrize("angle", [63.0, 66.0, 71.0, 90.0])
def test_a_fork_carries_the_sine_and_moves_its_square(angle: float) -> None:
    x = sp.Symbol("x", positive=True)
    load, inertia, added = motion(x * sp.sin(sp.rad(sp.Rational(angle))), x)
    assert leg_force_n(35.0, angle) == pytest.approx(35 * float(load), rel=1e-12)
    assert float(inertia) == pytest.approx(math.sin(math.radians(angle)) ** 2, rel=1e-12)
    assert added == 0


@pytest.mark.parametrize(("start", "end"), [(2.9, 2.4), (2.2, 2.6), (2.5, 2.5)])
def test_a_shock_carries_the_leverage_and_its_damper_sees_the_square_of_it(start: float, end: float) -> None:
    # The body sinks by ∫LR dx; around a sag of 16 mm of 55 the spring has 60 N/mm and carries 53 kg.
    x, at, rate, mass, ratio = sp.Symbol("x", positive=True), 16.0, 60.0, 53.0, 0.42
    lever = sp.Rational(str(start)) + (sp.Rational(str(end)) - sp.Rational(str(start))) * x / 55
    load, inertia, added = motion(sp.integrate(lever, (x, 0, x)), x)
    leverage = Leverage.from_points(((0.0, start), (55.0, end)))
    here = {x: at}
    carried = mass * float(load.subs(here))
    assert weight_n(mass) * leverage.at(at / 1000) == pytest.approx(carried, rel=1e-12)
    # The equation of motion along the shock: (m·LR²)·ẍ + c·ẋ + (k + added)·x = 0, lengths in mm for `added`.
    stiff = (rate + mass * float(added.subs(here))) * 1000
    along_shock = 2 * ratio * math.sqrt(stiff * mass * float(inertia.subs(here)))
    at_wheel = wheel_rate_n_per_m(rate * 1000, carried, leverage.at(at / 1000), float(leverage.slope_at(at / 1000)))
    found = damping_n_s_per_m(at_wheel, mass, ratio) * leverage.at(at / 1000) ** 2
    assert found == pytest.approx(along_shock, rel=1e-9)
