"""Air pressure over altitude: the standard atmosphere's troposphere."""

from __future__ import annotations

from typing import Any

from setup_rules.types.constants import LAPSE_EXPONENT, LAPSE_RATE, SEA_LEVEL_PRESSURE, SEA_LEVEL_TEMPERATURE
from setup_rules.types.errors import LimitError
from setup_rules.types.units import Quantity


def ambient_pressure_pa(altitude_m: float) -> float:
    """Return the standard atmosphere's absolute pressure [Pa] at a geopotential altitude [m], −2000 to 11 000 m."""
    if not -2000.0 <= altitude_m <= 11_000.0:
        message = f"Altitude of {altitude_m:g} m is outside −2000 to 11 000 m, where this relation holds."
        raise LimitError(message)
    ratio = 1.0 - LAPSE_RATE.value * altitude_m / SEA_LEVEL_TEMPERATURE.value
    return float(SEA_LEVEL_PRESSURE.value * ratio**LAPSE_EXPONENT.value)


def ambient_pressure(altitude: Any) -> Any:
    """Return the absolute air pressure of the standard atmosphere at an altitude.

    p = 101 325 Pa · (1 − 0.0065 K/m · H / 288.15 K)^5.25588

    Parameters
    ----------
    altitude : Quantity [length]
        Geopotential altitude above sea level, −2000 to 11 000 m.

    Returns
    -------
    Quantity [pressure]
        Absolute pressure.

    Raises
    ------
    LimitError
        Outside the troposphere.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity
    >>> round(ambient_pressure(Quantity(1500, "m")).to("Pa").magnitude)
    84556

    References
    ----------
    ISO 2533:1975, Standard Atmosphere; US Standard Atmosphere 1976 (the same below 32 km).
    """
    return Quantity(ambient_pressure_pa(float(altitude.to("m").magnitude)), "Pa")
