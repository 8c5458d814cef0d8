"""A sealed amount of air: pressure over volume and temperature, work, and what a pump hose takes.

Ideal gas throughout. At the pressures and temperatures of a bicycle's spring the real gas differs by about
0.2 %, less than a tenth of what the rest of the model does not know, so it is left out.
"""

from __future__ import annotations

from typing import Any

from setup_rules.types.constants import ZERO_CELSIUS
from setup_rules.types.errors import LimitError


def kelvin(temperature_c: float) -> float:
    """Return a temperature as absolute temperature.

    T = t + 273.15 K

    Parameters
    ----------
    temperature_c : float [°C]
        Above −273.15 °C.

    Returns
    -------
    float [K]

    Raises
    ------
    LimitError
        At or below absolute zero.

    Examples
    --------
    >>> kelvin(20.0)
    293.15

    References
    ----------
    Definition of the degree Celsius, SI brochure.
    """
    absolute = temperature_c + ZERO_CELSIUS.value
    if not absolute > 0.0:
        raise LimitError(f"A temperature of {temperature_c:g} °C is not above absolute zero. Check the number.")
    return absolute


def warming_ratio(temperature_c: float, new_temperature_c: float) -> float:
    """Return absolute pressure after over before, of a sealed volume whose temperature changes.

    p₂/p₁ = T₂/T₁

    Parameters
    ----------
    temperature_c, new_temperature_c : float [°C]
        Before and after, above −273.15 °C.

    Returns
    -------
    float [-]

    Raises
    ------
    LimitError
        At or below absolute zero.

    Examples
    --------
    >>> round(7.01325 * warming_ratio(20.0, 0.0), 4)
    6.5348

    References
    ----------
    Gay-Lussac's law, any text on thermodynamics.
    """
    return kelvin(new_temperature_c) / kelvin(temperature_c)


def compression_ratio(volume_ratio: Any, exponent: float = 1.0) -> Any:
    """Return absolute pressure after over before, of a sealed amount of air that is compressed.

    p₂/p₁ = (V₁/V₂)ⁿ

    Parameters
    ----------
    volume_ratio : float or array [-]
        Volume before over after, above zero. Not checked: this runs once a drawn spring and step of the search.
    exponent : float [-]
        Polytropic exponent n, 1 (settled) to 1.4 (no heat exchanged).

    Returns
    -------
    float or array [-]

    Examples
    --------
    >>> round(6.5 * compression_ratio(165 / 125), 4), round(6.5 * compression_ratio(165 / 125, 1.4), 4)
    (8.58, 9.5878)

    References
    ----------
    Boyle's law and the polytropic relation, any text on thermodynamics.
    """
    return volume_ratio if exponent == 1.0 else volume_ratio**exponent


def work_factor(volume_ratio: Any, exponent: float) -> Any:
    """Return the work that compresses a sealed amount of air, against its absolute pressure, over p₁·V₁.

    W/(p₁·V₁) = ln(V₁/V₂) for n = 1, else ((V₁/V₂)ⁿ⁻¹ − 1)/(n − 1)

    Parameters
    ----------
    volume_ratio : float or array [-]
        Volume before over after, V₁/V₂, above zero (not checked).
    exponent : float [-]
        Polytropic exponent n, 1 to 1.4.

    Returns
    -------
    float or array [-]
        Positive for a compression, negative for an expansion.

    Examples
    --------
    >>> round(6.5e5 * 165e-6 * float(work_factor(165 / 125, 1.0)), 3)
    29.776

    References
    ----------
    Boundary work of a polytropic change, any text on thermodynamics.
    """
    import numpy as np

    if abs(exponent - 1.0) < 1e-9:
        return np.log(volume_ratio)
    return (volume_ratio ** (exponent - 1.0) - 1.0) / (exponent - 1.0)


def hose_factor(chamber_cm3: float, hose_cm3: float) -> float:
    """Return gauge pressure before over after an empty pump hose was connected to a chamber.

    p/p_read = (V + V_h)/V, gauge: the hose held ambient air, so only the excess spreads.

    Parameters
    ----------
    chamber_cm3 : float [cm³]
        Chamber or chambers joined to the valve, above zero.
    hose_cm3 : float [cm³]
        Hose with gauge, zero or more.

    Returns
    -------
    float [-]
        1 or more.

    Raises
    ------
    LimitError
        When the chamber's volume is not above zero or the hose's is negative.

    Examples
    --------
    >>> round(11.5385 * hose_factor(100.0, 4.0), 3)
    12.0

    References
    ----------
    Boyle's law for two joined volumes.
    """
    if not (chamber_cm3 > 0 and hose_cm3 >= 0):
        message = f"A chamber of {chamber_cm3:g} cm³ with a hose of {hose_cm3:g} cm³ cannot be: enter volumes above 0."
        raise LimitError(message)
    return (chamber_cm3 + hose_cm3) / chamber_cm3
