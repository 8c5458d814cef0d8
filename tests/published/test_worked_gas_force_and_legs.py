"""The push of a damper's gas and the air that two lower legs displace, worked by hand.

Source: force is pressure times area; area of a ring from its diameters (any handbook).

Confirmed: plain arithmetic in this file. The gas pressure and the diameters are usual ones, common practice, no source.

Tolerance: rounding.
"""

from __future__ import annotations

import math

import pytest

from setup_rules.physics.air_spring import AirSpring
from setup_rules.physics.spring import Site
from setup_rules.types.constants import GAS_FORCE, LEG_AREA

SITE = Site(101_325.0, 101_325.0)


def test_gas_of_14_bar_behind_a_9_5_mm_shaft_pushes_with_99_newtons_over_the_whole_stroke() -> None:
    push = 1.4e6 * math.pi / 4 * 0.0095**2
    assert push == pytest.approx(99.2, abs=0.05)
    assert GAS_FORCE["rear"].low < push < GAS_FORCE["rear"].high
    without = AirSpring(0.055, 1.2e-3, 4e-5)
    with_gas = AirSpring(0.055, 1.2e-3, 4e-5, gas_force_n=push)
    for x in (0.0, 0.02, 0.055):
        gained = with_gas.force_n(x, 1.4e6, SITE) - without.force_n(x, 1.4e6, SITE)
        assert float(gained) == pytest.approx(push, abs=1e-9)
    work = with_gas.work_j(0.055, 1.4e6, SITE) - without.work_j(0.055, 1.4e6, SITE)
    assert float(work) == pytest.approx(push * 0.055, abs=1e-9)


def test_two_34_mm_stanchions_over_10_mm_shafts_displace_a_little_over_two_bore_areas() -> None:
    # Each lower leg loses the stanchion's volume less the shaft's that stays: 2·π/4·(34² − 10²) mm².
    displaced = 2 * math.pi / 4 * (34.0**2 - 10.0**2)
    share = displaced / (math.pi / 4 * 30.8**2)
    assert share == pytest.approx(2.226, abs=5e-4)
    assert LEG_AREA.low < share < LEG_AREA.high


def test_the_air_of_both_legs_pushes_as_boyle_says() -> None:
    # 1600 mm² over 140 mm from 450 cm³: at 70 mm 112 cm³ are gone, 101 325·450/338 = 134 900 Pa absolute.
    legs = AirSpring(0.14, 7.45e-4, 6.95e-5, leg_area_m2=1.6e-3, leg_volume_m3=450e-6)
    bare = AirSpring(0.14, 7.45e-4, 6.95e-5)
    gained = legs.force_n(0.07, 6e5, SITE) - bare.force_n(0.07, 6e5, SITE)
    assert float(gained) == pytest.approx(1.6e-3 * (101_325.0 * 450 / 338 - 101_325.0), abs=1e-6)
