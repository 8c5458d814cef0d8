"""Start pressure, sag and chance of five loads on a plain gas cylinder, where every answer is one line of algebra.

Source: force balance on a piston, Boyle's and Gay-Lussac's law: (W/A + p_a)·(V − A·s)/V is the pressure that holds a
load at a compression, s = V/A·(1 − p·A/(W + p_a·A)) the compression at a pressure; a weighted median counts half of a
weight as below its own value.

Confirmed: the cylinder has no negative spring, legs or gas, so nothing has to be searched for, while the code searches;
the figures were worked apart from it and are typed here in psi and mm.

Tolerance: the typed digits, 0.001 psi and 0.003 mm; rounding of doubles for a chance.
"""

from __future__ import annotations

import numpy as np
import pytest

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import Posterior
from setup_rules.inference.size_class import UNKNOWNS
from setup_rules.inference.start_setting import (
    DrawnEnd,
    Held,
    chance_near,
    expected_sag_m,
    sags_m,
    wanted_setting,
)
from setup_rules.physics.air_spring import FORK, AirSpring
from setup_rules.types.request import Conditions, FrontEnd, SetupRequest

PSI_PA = 6894.757293168
#: Piston 8 cm², 187 cm³ fully extended, 140 mm: 75 cm³ are left. Pumped at sea level and 20 °C, ridden at 1500 m (air
#: of 84 555.99 Pa) and 0 °C.
CYLINDER = AirSpring(0.14, 8e-4, 7.5e-5)
LOADS_N, WEIGHTS = (300.0, 330.0, 270.0, 285.0, 315.0), (0.4, 0.1, 0.1, 0.2, 0.2)
#: For a sag of 28 and of 35 mm, by rising load: to pump at the bench [psi], and the sags [mm] at the middle of these.
PUMPED = {28: (43.131, 45.700, 48.269, 50.838, 53.407), 35: (41.163, 43.645, 46.126, 48.608, 51.090)}
SAGS = {28: (9.719, 19.248, 28.0, 36.066, 43.523), 35: (17.341, 26.546, 35.0, 42.791, 49.995)}


def drawn() -> DrawnEnd:
    """Return five loads on the cylinder, none of which moves it where the gap is read."""
    fork = FrontEnd(travel_mm=140.0)
    ride = Conditions(temperature_c=0.0, altitude_m=1500.0)
    request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork, ride=ride)
    held = Held(CYLINDER, np.array(LOADS_N), np.full(5, -1e4), FORK, 0.14)
    return DrawnEnd(EndModel("front", fork, request), Posterior(np.zeros((5, len(UNKNOWNS))), np.array(WEIGHTS)), held)


@pytest.mark.parametrize("sag", PUMPED)
def test_the_start_and_its_band_are_the_pressures_of_the_lightest_middle_and_heaviest_load(sag: int) -> None:
    # Half of each weight below its own: 0.05, 0.2, 0.5, 0.8 and 0.95, so 5 %, 50 % and 95 % are single loads.
    found = wanted_setting(drawn(), sag / 1000)
    psi = PUMPED[sag]
    assert (found.low / PSI_PA, found.middle / PSI_PA, found.high / PSI_PA) == pytest.approx(
        (psi[0], psi[2], psi[4]), abs=1e-3
    )


@pytest.mark.parametrize("sag", SAGS)
def test_the_sag_to_expect_is_that_of_each_load_at_the_middle_pressure(sag: int) -> None:
    pumped = PUMPED[sag][2] * PSI_PA
    by_load = dict(zip(sorted(LOADS_N), SAGS[sag], strict=True))
    each = 1000 * np.asarray(sags_m(drawn(), pumped, 0.03))
    assert each == pytest.approx([by_load[load] for load in LOADS_N], abs=3e-3)
    found = expected_sag_m(drawn(), pumped, 0.03)
    assert (1000 * found.low, 1000 * found.middle, 1000 * found.high) == pytest.approx(
        (SAGS[sag][0], SAGS[sag][2], SAGS[sag][4]), abs=3e-3
    )


@pytest.mark.parametrize(("near_mm", "chance"), [(1.0, 0.4), (8.5, 0.6), (10.0, 0.8), (17.0, 0.9), (19.0, 1.0)])
def test_the_chance_is_the_weight_of_the_loads_that_sag_near_the_target(near_mm: float, chance: float) -> None:
    # From 28 mm the loads lie 18.281, 8.752, 0, 8.066 and 15.523 mm off, weighing 0.1, 0.2, 0.4, 0.2 and 0.1.
    found = chance_near(drawn(), PUMPED[28][2] * PSI_PA, 0.028, near_mm / 1000)
    assert found == pytest.approx(chance, abs=1e-9)
