"""Sag as the O-ring shows it against independent root finders: resting place, gap, and the pressure for a gap.

Source: force balance on a piston, Boyle's law and Hooke's law, written a second time below from the chambers' own
pressures; roots by `scipy.optimize.brentq`, which shares no line with the project's search.

Confirmed: recomputed here with SciPy.

Tolerance: 1e-6 mm, 0.01 Pa, the root finder's own.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from scipy.optimize import brentq

from setup_rules.inference.start_setting import Held
from setup_rules.physics.air_spring import FORK, AirSpring
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.spring import Site

AMBIENT, LEGS = 95_000.0, 101_325.0
SITE = Site(AMBIENT, LEGS)
BORE = math.pi / 4 * 0.0308**2
AIR = {"negative": 0.93 * BORE, "chamber": 0.25 * BORE * 0.14, "port": 0.007, "gas": 12.0, "legs": 2.1 * BORE}
COIL = {"rate": 4200.0, "length": 0.031, "gas": 12.0, "legs": 2.1 * BORE}
TRAVEL, END = 0.140, BORE * 0.14 / 1.5
LEG_ROOM = 2.2 * 2.1 * BORE * 0.14

FORKS = {
    "air": AirSpring(
        TRAVEL,
        BORE,
        END,
        negative_area_m2=AIR["negative"],
        negative_volume_m3=AIR["chamber"],
        port_m=AIR["port"],
        leg_area_m2=AIR["legs"],
        leg_volume_m3=LEG_ROOM,
        gas_force_n=AIR["gas"],
    ),
    "coil": AirSpring(
        TRAVEL,
        BORE,
        END,
        coil_rate_n_per_m=COIL["rate"],
        coil_length_m=COIL["length"],
        leg_area_m2=COIL["legs"],
        leg_volume_m3=LEG_ROOM,
        gas_force_n=COIL["gas"],
    ),
}


def pushed_out(kind: str, set_abs: float) -> Callable[[float], float]:
    """Return the force [N] over compression [m], chamber by chamber."""
    extended = END + BORE * TRAVEL

    def force(x: float) -> float:
        positive = set_abs * extended / (extended - BORE * x)
        legs = COIL["legs"] * (LEGS * LEG_ROOM / (LEG_ROOM - COIL["legs"] * x) - AMBIENT)
        total = BORE * (positive - AMBIENT) + legs + 12.0
        if kind == "coil":
            return total - COIL["rate"] * max(0.0, COIL["length"] - x)
        area, chamber, port = AIR["negative"], AIR["chamber"], AIR["port"]
        at_port = set_abs * extended / (extended - BORE * port)
        return total - area * (at_port * (chamber + area * port) / (chamber + area * x) - AMBIENT)

    return force


def place(kind: str, set_abs: float, load: float) -> float:
    """Return where a load [N] is held [m]; 0 where the spring holds it at full extension."""
    return root_of(lambda x: pushed_out(kind, set_abs)(x) - load, TRAVEL)


def root_of(miss: Callable[[float], float], end: float) -> float:
    """Return where a rising function crosses zero between 0 and `end`, the nearer end where it does not."""
    if miss(0.0) >= 0.0:
        return 0.0
    return end if miss(end) <= 0.0 else float(brentq(miss, 0.0, end, xtol=1e-13))


@pytest.mark.parametrize("kind", FORKS)
@pytest.mark.parametrize("rest_load", [-30.0, 0.0, 31.0, 60.0])
@pytest.mark.parametrize("gauge_bar", [2.5, 4.0, 6.5])
def test_the_resting_place_and_the_gap_are_the_roots(kind: str, rest_load: float, gauge_bar: float) -> None:
    set_abs = gauge_bar * 1e5 + AMBIENT
    held = Held(FORKS[kind], 320.0, rest_load, FORK, TRAVEL)
    rest, rider = place(kind, set_abs, rest_load), place(kind, set_abs, 320.0)
    assert float(held.rest_m(set_abs, SITE)) == pytest.approx(rest, abs=2e-8)
    assert float(held.gap_m(set_abs, SITE, 0.03)) == pytest.approx(rider - rest, abs=3e-8)


@pytest.mark.parametrize("kind", FORKS)
@pytest.mark.parametrize("rest_load", [-30.0, 31.0])
@pytest.mark.parametrize("gap_mm", [15.0, 28.0, 42.0])
def test_the_pressure_for_a_gap_is_the_root(kind: str, rest_load: float, gap_mm: float) -> None:
    def left_over(set_abs: float) -> float:
        return place(kind, set_abs, 320.0) - place(kind, set_abs, rest_load) - gap_mm / 1000

    root = brentq(left_over, AMBIENT + 1e4, AMBIENT + 4e6, xtol=1e-6)
    held = Held(FORKS[kind], 320.0, rest_load, FORK, TRAVEL)
    assert float(held.acting_for(gap_mm / 1000, SITE)) == pytest.approx(root, abs=0.5)


def test_behind_a_linkage_both_places_carry_their_own_leverage() -> None:
    area = math.pi / 4 * 0.040**2
    shock = AirSpring(0.055, area, area * 0.055 / 1.6, 0.82 * area, 0.3 * area * 0.055, 0.003, gas_force_n=90.0)
    leverage, extended = Leverage.from_points(((0.0, 2.9), (55.0, 2.4))), area * 0.055 * (1 + 1 / 1.6)

    def force(x: float, set_abs: float) -> float:
        negative, chamber = 0.82 * area, 0.3 * area * 0.055
        at_port = set_abs * extended / (extended - area * 0.003)
        pull = negative * (at_port * (chamber + negative * 0.003) / (chamber + negative * x) - AMBIENT)
        return area * (set_abs * extended / (extended - area * x) - AMBIENT) - pull + 90.0

    def settled(set_abs: float, load: float) -> float:
        return root_of(lambda x: force(x, set_abs) - load * (2.9 - 0.5 * x / 0.055), 0.055)

    root = brentq(lambda p: settled(p, 520.0) - settled(p, 33.0) - 0.0154, 3e5, 6e6, xtol=1e-6)
    held = Held(shock, 520.0, 33.0, leverage, 0.055)
    assert float(held.acting_for(0.0154, Site(AMBIENT, LEGS))) == pytest.approx(root, abs=0.5)
