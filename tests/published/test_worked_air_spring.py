"""One air spring worked through by hand: force at five compressions, its reading extended, and plain rates.

Source: force balance on a piston and Boyle's law; gas-spring rate k = n·p·A²/V (any text on pneumatics).

Confirmed: every figure was worked out apart from this code, and again in this file in plain arithmetic from the
chambers' own pressures, which the project's closed form never forms.

Tolerance: 0.01 N, the worked digits.
"""

from __future__ import annotations

import math

import pytest

from setup_rules.physics.air_spring import AirSpring
from setup_rules.physics.spring import Site

AMBIENT_PA = 101_325.0
SEA = Site(AMBIENT_PA, AMBIENT_PA)
AREA = math.pi / 4 * 0.032**2
NEGATIVE_AREA = AREA - math.pi / 4 * 0.010**2
EXTENDED, NEGATIVE, PORT, TRAVEL = 164.8708e-6, 41.8096e-6, 0.006, 0.140
AT_PORT_PA = 7.0e5 + AMBIENT_PA
SPRING = AirSpring(
    travel_m=TRAVEL,
    area_m2=AREA,
    compressed_volume_m3=EXTENDED - AREA * TRAVEL,
    negative_area_m2=NEGATIVE_AREA,
    negative_volume_m3=NEGATIVE,
    port_m=PORT,
)
SET_GAUGE_BAR = 6.765_465_9
WORKED_N = {0: -24.448, 6: 54.978, 28: 284.518, 70: 652.149, 140: 1777.897}


@pytest.mark.parametrize(("compression_mm", "newtons"), WORKED_N.items())
def test_the_force_is_the_worked_one(compression_mm: float, newtons: float) -> None:
    force_n = SPRING.force_n(compression_mm / 1000, SET_GAUGE_BAR * 1e5 + AMBIENT_PA, SEA)
    assert float(force_n) == pytest.approx(newtons, abs=0.01)


@pytest.mark.parametrize("compression_mm", [0, 3, 6, 15, 42, 99, 140])
def test_the_force_is_that_of_each_chambers_own_pressure(compression_mm: float) -> None:
    x = compression_mm / 1000
    positive_pa = AT_PORT_PA * (EXTENDED - AREA * PORT) / (EXTENDED - AREA * x)
    negative_pa = AT_PORT_PA * (NEGATIVE + NEGATIVE_AREA * PORT) / (NEGATIVE + NEGATIVE_AREA * x)
    by_hand = AREA * (positive_pa - AMBIENT_PA) - NEGATIVE_AREA * (negative_pa - AMBIENT_PA)
    set_abs_pa = AT_PORT_PA * (EXTENDED - AREA * PORT) / EXTENDED
    assert float(SPRING.force_n(x, set_abs_pa, SEA)) == pytest.approx(by_hand, abs=1e-6)


def test_a_spring_with_seven_bar_at_its_port_reads_less_fully_extended() -> None:
    # Solved from the force at the port: equal chamber pressures act on the rod's area alone.
    gain, _, offset, _ = SPRING.settled_parts(PORT, SEA)
    gauge_pa = (math.pi / 4 * 0.010**2 * 7.0e5 - offset) / gain - AMBIENT_PA
    assert gauge_pa / 1e5 == pytest.approx(6.7655, abs=5e-5)


@pytest.mark.parametrize(("exponent", "rate"), [(1.0, 3234.07), (1.4, 4527.70)])
def test_the_rate_of_a_plain_gas_spring_is_the_worked_one(exponent: float, rate: float) -> None:
    # 7 bar absolute in 140 cm³ behind a bore of 32 mm, nothing else; rate where it stands.
    plain = AirSpring(travel_m=0.05, area_m2=AREA, compressed_volume_m3=140e-6 - AREA * 0.05)
    found = plain.rate_n_per_m(0.0, 7e5, SEA, exponent)
    assert found == pytest.approx(rate, abs=0.005)
