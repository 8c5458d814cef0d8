"""Air pressure over geopotential altitude against the standard atmosphere.

Source: ISO 2533:1975 and U.S. Standard Atmosphere 1976, which agree below 32 km.

Confirmed: the table's values were recomputed with the `ambiance` and `fluids` packages, both of which build on the
published constants; the standards' own texts were not opened here.

Tolerance: the table's digits (0.01 Pa).
"""

from __future__ import annotations

import pytest
from ambiance import Atmosphere
from fluids.atmosphere import ATMOSPHERE_1976

from setup_rules.physics.air_pressure import AirPressure
from setup_rules.physics.atmosphere import ambient_pressure_pa
from setup_rules.types.request import Conditions

TABLE_PA = {
    0: 101_325.00,
    500: 95_460.84,
    1000: 89_874.56,
    1500: 84_555.99,
    2000: 79_495.20,
    3000: 70_108.53,
    4000: 61_640.21,
}
#: Radius that turns geometric into geopotential altitude, U.S. Standard Atmosphere 1976 (remembered).
EARTH_RADIUS_M = 6_356_766.0


@pytest.mark.parametrize(("altitude_m", "pressure_pa"), TABLE_PA.items())
def test_the_pressure_at_a_tabulated_altitude_is_the_tables(altitude_m: float, pressure_pa: float) -> None:
    assert ambient_pressure_pa(altitude_m) == pytest.approx(pressure_pa, abs=0.01)


@pytest.mark.parametrize("altitude_m", [-400, 250, 1230, 2764, 5895])
def test_between_the_tables_rows_ambiance_gives_the_same_pressure(altitude_m: float) -> None:
    geometric_m = EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M - altitude_m)
    assert ambient_pressure_pa(altitude_m) == pytest.approx(float(Atmosphere(geometric_m).pressure[0]), abs=0.05)


@pytest.mark.parametrize("altitude_m", [-400, 250, 1230, 2764, 5895])
def test_between_the_tables_rows_fluids_gives_the_same_pressure(altitude_m: float) -> None:
    geometric_m = EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M - altitude_m)
    assert ambient_pressure_pa(altitude_m) == pytest.approx(ATMOSPHERE_1976(geometric_m).P, abs=0.05)


@pytest.mark.parametrize(("altitude_m", "pressure_pa"), TABLE_PA.items())
def test_a_gauge_reads_above_the_tables_pressure_and_an_open_valve_leaves_it(
    altitude_m: float, pressure_pa: float
) -> None:
    here = Conditions(temperature_c=15.0, altitude_m=altitude_m)
    pumped = AirPressure(here)
    assert pumped.least(here) == pytest.approx(pressure_pa, abs=0.01)
    assert pumped.shown(7e5, here) == pytest.approx(7e5 - pressure_pa, abs=0.01)
    # Lower legs closed at 15 °C there, opened nowhere: 10 °C colder and at sea level they hold 278.15/288.15 of it.
    elsewhere = pumped.site(Conditions(temperature_c=5.0, altitude_m=0.0))
    assert elsewhere.ambient_pa == pytest.approx(TABLE_PA[0], abs=0.01)
    assert elsewhere.leg_pa == pytest.approx(pressure_pa * 278.15 / 288.15, abs=0.01)
