"""Air pressure over altitude: the standard atmosphere's troposphere."""

from __future__ import annotations

from setup_rules.types.constants import LAPSE_EXPONENT, LAPSE_RATE, SEA_LEVEL_PRESSURE, SEA_LEVEL_TEMPERATURE
from setup_rules.types.errors import LimitError


def ambient_pressure_pa(altitude_m: float) -> float:
    """Return the absolute air pressure of the standard atmosphere at an altitude.

    p = 101 325 Pa · (1 − 0.0065 K/m · H / 288.15 K)^5.25588

    Parameters
    ----------
    altitude_m : float [m]
        Geopotential altitude above sea level, −2000 to 11 000 m.

    Returns
    -------
    float [Pa, absolute]

    Raises
    ------
    LimitError
        Outside the troposphere.

    Examples
    --------
    >>> round(ambient_pressure_pa(1500.0))
    84556

    References
    ----------
    ISO 2533:1975, Standard Atmosphere; US Standard Atmosphere 1976 (the same below 32 km).
    """
    if not -2000.0 <= altitude_m <= 11_000.0:
        message = f"Altitude of {altitude_m:g} m is outside −2000 to 11 000 m, where this relation holds."
        raise LimitError(message)
    ratio = 1.0 - LAPSE_RATE.value * altitude_m / SEA_LEVEL_TEMPERATURE.value
    return float(SEA_LEVEL_PRESSURE.value * ratio**LAPSE_EXPONENT.value)
