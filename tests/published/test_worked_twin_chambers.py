"""A second positive chamber behind a floating piston, worked on paper before and after it joins.

Source: Boyle's law for each sealed chamber, the polytropic relation p·Vⁿ for motion, balance of a weightless floating
piston (one pressure on both of its faces once it has left its stop), and the force balance on the main piston.

Confirmed: the isothermal figures were worked by hand, the steps stand above them. The joined state is solved again for
the place of the floating piston by SciPy's root finder and by SymPy, work by SciPy's integration, and the pressure of a
whole end by a plain search of two force balances that uses none of the product's functions.

Tolerance: the worked digits; 1e-9 of solved states; 20 Pa of a searched pressure.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
import sympy
from scipy.integrate import quad
from scipy.optimize import brentq

import setup_rules as rules
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import Posterior, central_row
from setup_rules.inference.pumped_setting import wanted_pumped
from setup_rules.inference.second_chamber import absolute_ratio, second_pressure_pa
from setup_rules.inference.start_setting import DrawnEnd
from setup_rules.physics.air_spring import AirSpring
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.spring import Site
from setup_rules.physics.twin_air_spring import TwinAirSpring
from setup_rules.types.request import Conditions, FrontEnd, SetupRequest

PSI = 6894.757293168
#: 8 cm² of piston, 187 cm³ extended and 75 cm³ at 140 mm; the second chamber of 40 cm³ at 1.6 times the pressure.
AREA, START, SECOND, RATIO = 8e-4, 187e-6, 40e-6, 1.6
BARE = TwinAirSpring(AirSpring(0.14, AREA, 75e-6), SECOND, RATIO)
OPEN = Site(100_000.0, 100_000.0)
SET_PA = 600_000.0


def with_all_parts(port_m: float, ratio: float) -> TwinAirSpring:
    """Return a spring with a negative chamber, a negative coil, air in the legs and gas in the damper."""
    first = AirSpring(0.14, AREA, 75e-6, 7.4e-4, 20e-6, port_m, 900.0, 0.02, 3e-4, 90e-6, 18.0)
    return TwinAirSpring(first, SECOND, ratio)


def pressure_pa(x_m: float, ratio: float, n: float) -> float:
    """Return the first chamber's pressure by the place of the floating piston, set to 600 kPa absolute."""
    alone = START - AREA * x_m
    first = SET_PA * (START / alone) ** n
    if first <= ratio * SET_PA:
        return float(first)

    def misses(given_way: float) -> float:
        return float(
            SET_PA * (START / (alone + given_way)) ** n - ratio * SET_PA * (SECOND / (SECOND - given_way)) ** n
        )

    place = brentq(misses, 0.0, SECOND * (1 - 1e-9), xtol=1e-18, rtol=1e-14)
    return float(SET_PA * (START / (alone + place)) ** n)


def whole_force_n(x_m: float, port_m: float, ratio: float, n: float, site: Site) -> float:
    """Return the force of `with_all_parts`, chamber by chamber."""
    positive = (pressure_pa(x_m, ratio, n) - site.ambient_pa) * AREA
    at_port, here = 20e-6 + 7.4e-4 * port_m, 20e-6 + 7.4e-4 * x_m
    negative = (pressure_pa(port_m, ratio, n) * (at_port / here) ** n - site.ambient_pa) * 7.4e-4
    leg = (site.leg_pa * (90e-6 / (90e-6 - 3e-4 * x_m)) ** n - site.ambient_pa) * 3e-4
    return positive - negative + leg + 18.0 - 900.0 * max(0.0, 0.02 - x_m)


# It joins where 600·187/V = 960, so V = 116.875 cm³, (187 − 116.875)/0.8 = 87.65625 mm.
# 50 mm: 600·187/147 = 763.2653 kPa, less 100, on 8 cm²: 530.612 N.
# 87.65625 mm: 960 − 100 = 860 kPa: 688 N.
# 120 mm: (600·187 + 960·40)/(91 + 40) = 150 600/131 = 1149.6183 kPa: 839.695 N (alone it were 1232.967: 906.374 N).
# 140 mm: 150 600/115 = 1309.5652 kPa: 967.652 N.
@pytest.mark.parametrize(
    ("x_mm", "newtons"), [(0.0, 400.0), (50.0, 530.612), (87.65625, 688.0), (120.0, 839.695), (140.0, 967.652)]
)
def test_the_force_is_worked_on_paper_before_at_and_after_the_threshold(x_mm: float, newtons: float) -> None:
    assert float(BARE.force_n(x_mm / 1000, SET_PA, OPEN)) == pytest.approx(newtons, abs=5e-4)
    gain, _, offset, _ = BARE.settled_parts(x_mm / 1000, OPEN)
    assert SET_PA * float(gain) + float(offset) == pytest.approx(newtons, abs=5e-4)
    assert 1000 * float(BARE.sag_m(SET_PA, newtons + 1e-4, OPEN)) == pytest.approx(x_mm, abs=2e-3)


def test_it_joins_where_the_first_reaches_its_pressure() -> None:
    assert 1000 * float(BARE.joins_at_m()) == pytest.approx(87.65625, abs=1e-9)
    # In motion, n = 1.35: (1.6)^(1/1.35) = 1.416445; 187/1.416445 = 132.0206 cm³; (187 − 132.0206)/0.8 = 68.7243 mm.
    assert 1000 * float(BARE.joins_at_m(1.35)) == pytest.approx(68.7243, abs=2e-4)


def test_the_force_is_continuous_and_the_rate_drops_by_the_volumes() -> None:
    joins, step = float(BARE.joins_at_m()), 1e-9
    below, above = (float(BARE.force_n(joins + side * step, SET_PA, OPEN)) for side in (-1, 1))
    assert above - below == pytest.approx(2 * step * 4600.0, abs=5e-6)
    # p·A²/V: 960 000·6.4e-7/116.875e-6 = 5256.898 N/m alone, over 156.875e-6 = 3916.494 N/m together.
    rates = [float(BARE.rate_n_per_m(joins + side * step, SET_PA, OPEN)) for side in (-1, 1)]
    assert rates == pytest.approx([5256.898, 3916.494], abs=5e-3)
    assert rates[1] / rates[0] == pytest.approx(116.875 / 156.875, rel=1e-6)
    quick = [float(BARE.rate_n_per_m(joins + side * step, SET_PA, OPEN, 1.4)) for side in (-1, 1)]
    assert quick == pytest.approx([1.4 * 5256.898, 1.4 * 3916.494], abs=1e-2)


def test_sympy_solves_the_joined_state_to_the_same_pressure() -> None:
    p, s = sympy.symbols("p s", positive=True)
    for x_mm in (100, 120, 140):
        alone = sympy.Integer(187) - sympy.Rational(8, 10) * x_mm
        solved = sympy.solve([p * (alone + s) - 600 * 187, p * (40 - s) - 960 * 40], [p, s], dict=True)
        (kilopascals,) = [float(one[p]) for one in solved]
        newtons = (1000 * kilopascals - 100_000.0) * AREA
        assert float(BARE.force_n(x_mm / 1000, SET_PA, OPEN)) == pytest.approx(newtons, rel=1e-12)


#: Port and ratio: the second chamber joins after the port, and so early that it has joined at the port.
BUILDS = ((0.006, 1.6), (0.03, 1.05), (0.006, 9.0))
SITE = Site(85_000.0, 98_000.0)


@pytest.mark.parametrize(("build", "n"), list(itertools.product(BUILDS, (1.0, 1.35))))
def test_every_part_agrees_with_the_place_of_the_floating_piston(build: tuple[float, float], n: float) -> None:
    spring = with_all_parts(*build)
    for x_m in (0.0, 0.01, 0.028, 0.07, 0.1, 0.135):
        plain = whole_force_n(x_m, *build, n, SITE)
        assert float(spring.force_n(x_m, SET_PA, SITE, n)) == pytest.approx(plain, rel=1e-9, abs=1e-7)

    def force_n(x_m: float) -> float:
        return whole_force_n(x_m, *build, n, SITE)

    kinks = [0.02, min(float(spring.joins_at_m(n)), 0.139)]
    for x_m in (0.05, 0.139):
        area = quad(force_n, 0.0, x_m, points=[k for k in kinks if k < x_m] or None, limit=200)[0]
        assert float(spring.work_j(x_m, SET_PA, SITE, n)) == pytest.approx(area, rel=1e-7)


@pytest.mark.parametrize("build", BUILDS)
def test_rate_and_parts_are_the_slope_of_the_force(build: tuple[float, float]) -> None:
    spring, step = with_all_parts(*build), 1e-6
    for x_m in (0.01, 0.028, 0.1, 0.135):
        slope = (whole_force_n(x_m + step, *build, 1.0, SITE) - whole_force_n(x_m - step, *build, 1.0, SITE)) / (
            2 * step
        )
        assert float(spring.rate_n_per_m(x_m, SET_PA, SITE)) == pytest.approx(slope, rel=1e-5)
        gain, gain_slope, offset, offset_slope = spring.settled_parts(x_m, SITE)
        assert SET_PA * float(gain_slope) + float(offset_slope) == pytest.approx(slope, rel=1e-5)
        # What does not scale with the pressure: a spring without any.
        still = (AREA - 7.4e-4 + 3e-4) * -SITE.ambient_pa + 18.0 - 900.0 * max(0.0, 0.02 - x_m)
        still += SITE.leg_pa * 90e-6 / (90e-6 - 3e-4 * x_m) * 3e-4
        assert float(offset) == pytest.approx(still, abs=1e-8)
        legs = SITE.leg_pa * 90e-6 * 3e-4**2 / (90e-6 - 3e-4 * x_m) ** 2 + 900.0 * (x_m < 0.02)
        assert float(offset_slope) == pytest.approx(legs, rel=1e-9)
        assert float(gain) == pytest.approx((whole_force_n(x_m, *build, 1.0, SITE) - still) / SET_PA, rel=1e-9)


def test_the_sag_behind_a_linkage_lies_on_either_side_of_the_threshold() -> None:
    spring, leverage = with_all_parts(0.006, 1.6), Leverage.from_points(((0.0, 2.8), (140.0, 2.4)))
    for load_n in (90.0, 180.0, 280.0):
        x_m = float(spring.sag_m(SET_PA, load_n, SITE, leverage))

        def misses(x: float, load_n: float = load_n) -> float:
            return whole_force_n(x, 0.006, 1.6, 1.0, SITE) - load_n * (2.8 - 0.4 * x / 0.14)

        assert x_m == pytest.approx(brentq(misses, 0.0, 0.14), abs=2e-6)


def test_the_ratio_of_absolute_pressures_stays_in_cold_and_height() -> None:
    # 75 and 135 psi at sea level: (930.792 + 101.325)/(517.107 + 101.325) = 1032.117/618.432 = 1.668926.
    assert absolute_ratio(75 * PSI, 135 * PSI, Conditions()) == pytest.approx(1.668926, abs=1e-6)
    # At 1500 m: (930.792 + 84.556)/(517.107 + 84.556) = 1015.348/601.663 = 1.687569.
    assert absolute_ratio(75 * PSI, 135 * PSI, Conditions(altitude_m=1500.0)) == pytest.approx(1.687569, abs=2e-6)


def fork(**more: float) -> FrontEnd:
    """Return a fork with every internal of its first chamber."""
    known = {"travel_mm": 160.0, "stanchion_mm": 36.0, "bore_mm": 34.0, "positive_volume_cm3": 230.0}
    known |= {"negative_volume_cm3": 30.0, "rod_mm": 10.0, "port_position_mm": 7.0}
    return FrontEnd(**(known | {"second_volume_cm3": 45.0, "second_pressure_ratio": 1.8} | more))  # type: ignore[arg-type]


def test_the_second_pressure_is_the_ratio_within_its_maximum_here_and_on_a_warmer_ride() -> None:
    end = fork(second_max_pressure_psi=150.0)
    request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=end)
    assert second_pressure_pa(end, request, 60 * PSI) == pytest.approx(108 * PSI)
    assert second_pressure_pa(end, request, 90 * PSI) == pytest.approx(150 * PSI)
    # Pumped at 0 °C, ridden at 30 °C: (150·6.894757 + 101.325)·273.15/303.15 − 101.325 = 921.846 kPa = 133.703 psi.
    cold, warm = Conditions(temperature_c=0.0), Conditions(temperature_c=30.0)
    request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=end, bench=cold, ride=warm)
    assert second_pressure_pa(end, request, 90 * PSI) / PSI == pytest.approx(133.703, abs=5e-3)


def chamber_pa(set_pa: float, second_pa: float, volume_m3: float, x_m: float, area: float) -> float:
    """Return the lower of both isothermal states: the first chamber alone, and both together (all absolute)."""
    now = volume_m3 - area * x_m
    return min(set_pa * volume_m3 / now, (set_pa * volume_m3 + second_pa * 45e-6) / (now + 45e-6))


@pytest.mark.parametrize(("ratio", "sag_m"), [(1.8, 0.032), (1.05, 0.036), (1.15, 0.06)])
def test_the_pressure_of_an_end_balances_both_loads_with_its_second_chamber(ratio: float, sag_m: float) -> None:
    end = fork(second_pressure_ratio=ratio, second_max_pressure_psi=400.0)
    bench, ride = Conditions(temperature_c=10.0, altitude_m=300.0), Conditions(temperature_c=25.0, altitude_m=900.0)
    request = SetupRequest(rider_mass_kg=80.0, riding_style="trail", front=end, bench=bench, ride=ride)
    model, row = EndModel("front", end, request), central_row()[None, :]
    found = wanted_pumped(DrawnEnd.of(model, Posterior(row, np.ones(1))), sag_m)
    assert found.low == found.middle == found.high
    site, load, rest_load = (
        model.setting.site(ride),
        float(model.load_n(row)[0]),
        float(model.rest_load_n(row, "bike_at_rest")[0]),
    )
    at_bench, warmer = 101_325.0 * (1 - 0.0065 * 300 / 288.15) ** 5.25588, 298.15 / 283.15
    area, rod = math.pi / 4 * 0.034**2, math.pi / 4 * 0.01**2
    legs = model.springs(row)

    def force_n(x_m: float, gauge_pa: float) -> float:
        set_pa, second_pa = ((one + at_bench) * warmer for one in (gauge_pa, ratio * gauge_pa))
        positive = chamber_pa(set_pa, second_pa, 230e-6, x_m, area)
        at_port = chamber_pa(set_pa, second_pa, 230e-6, 0.007, area)
        behind = at_port * (30e-6 + (area - rod) * 0.007) / (30e-6 + (area - rod) * x_m)
        leg_area, leg_volume = float(legs.leg_area_m2[0]), float(legs.leg_volume_m3[0])  # type: ignore[attr-defined]
        air = site.leg_pa * leg_volume / (leg_volume - leg_area * x_m) - site.ambient_pa
        pull = (positive - site.ambient_pa) * area - (behind - site.ambient_pa) * (area - rod)
        return pull + air * leg_area + float(legs.gas_force_n[0])  # type: ignore[attr-defined]

    def rest_m(gauge_pa: float) -> float:
        at_rest: Callable[[float], float] = lambda x: force_n(x, gauge_pa) - rest_load  # noqa: E731
        return 0.0 if at_rest(0.0) >= 0 else float(brentq(at_rest, 0.0, 0.15, xtol=1e-12))

    wanted = brentq(lambda p: force_n(rest_m(p) + sag_m, p) - load, 5 * PSI, 300 * PSI, xtol=1e-3)
    assert found.middle == pytest.approx(float(wanted), abs=20.0)


def test_a_whole_answer_gives_both_pressures_and_what_they_become_on_the_ride() -> None:
    front = {"travel_mm": 160, "stanchion_mm": 36, "bore_mm": 34, "positive_volume_cm3": 230, "negative_volume_cm3": 30}
    front |= {"second_volume_cm3": 45, "second_pressure_ratio": 1.8, "second_max_pressure_psi": 200}
    data = {"rider_mass_kg": 80, "riding_style": "trail", "front": front}
    data |= {"bench": {"temperature_c": 20, "altitude_m": 0}, "ride": {"temperature_c": 0, "altitude_m": 1500}}
    answer = rules.recommend(rules.read_request(data)).front
    assert answer is not None
    assert answer.second is not None
    second = answer.second
    assert second.pressure_pa == pytest.approx(1.8 * answer.pressure_pa)
    assert second.max_pressure_pa == pytest.approx(200 * PSI)
    # (p + 101 325)·273.15/293.15 − 84 556 in the cold at 1500 m, for either chamber.
    for here, there in (
        (answer.pressure_pa, answer.ride_pressure_pa),
        (second.pressure_pa, second.ride_pressure_pa),
    ):
        assert there == pytest.approx((here + 101_325.0) * 273.15 / 293.15 - 84_556.0, abs=2.0)
    # It joins where the first chamber reaches the second's pressure, both absolute: V(0)/A·(1 − 1/c).
    ratio = (second.pressure_pa + 101_325.0) / (answer.pressure_pa + 101_325.0)
    area = math.pi / 4 * 34.0**2
    assert second.joins_at_mm == pytest.approx(230_000.0 / area * (1 - 1 / ratio), abs=1e-6)
