"""A sealed amount of air: pressure over volume and temperature, work, rate, and what a pump hose takes.

Ideal gas throughout. At the pressures and temperatures of a bicycle's spring the real gas differs by about
0.2 %, less than a tenth of what the rest of the model does not know, so it is left out.
"""

from __future__ import annotations

from typing import Any

from setup_rules.types.constants import ZERO_CELSIUS
from setup_rules.types.errors import LimitError
from setup_rules.types.units import Quantity


def kelvin(temperature_c: float) -> float:
    """Return a temperature [°C] as absolute temperature [K]."""
    return temperature_c + ZERO_CELSIUS.value


def compressed_pressure(pressure: Any, volume: Any, new_volume: Any, exponent: float = 1.0) -> Any:
    """Return the absolute pressure after a change of volume.

    p₂ = p₁ · (V₁ / V₂)ⁿ

    Parameters
    ----------
    pressure : Quantity [pressure]
        Absolute pressure before.
    volume, new_volume : Quantity [volume]
        Volume before and after, both above zero.
    exponent : float
        Polytropic exponent n, 1 (settled) to 1.4 (no heat exchanged).

    Returns
    -------
    Quantity [pressure]
        Absolute pressure after.

    Raises
    ------
    LimitError
        When a volume is not above zero.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity
    >>> p = compressed_pressure(Quantity(6.5, "bar"), Quantity(165, "cm**3"), Quantity(125, "cm**3"))
    >>> round(p.to("bar").magnitude, 4)
    8.58

    References
    ----------
    Boyle's law and the polytropic relation, any text on thermodynamics.
    """
    ratio = float((volume / new_volume).to("").magnitude) if float(new_volume.magnitude) > 0 else -1.0
    if ratio <= 0:
        raise LimitError(f"Volumes must be above zero, not {volume} and {new_volume}.")
    return pressure * ratio**exponent


def warmed_pressure(pressure: Any, temperature: Any, new_temperature: Any) -> Any:
    """Return the absolute pressure of a sealed volume after a change of temperature.

    p₂ = p₁ · T₂ / T₁

    Parameters
    ----------
    pressure : Quantity [pressure]
        Absolute pressure before.
    temperature, new_temperature : Quantity [temperature]
        Before and after, above absolute zero.

    Returns
    -------
    Quantity [pressure]
        Absolute pressure after.

    Raises
    ------
    LimitError
        At or below absolute zero.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity
    >>> warm, cold = Quantity(20, "degC"), Quantity(0, "degC")
    >>> round(warmed_pressure(Quantity(7.01325, "bar"), warm, cold).to("bar").magnitude, 4)
    6.5348

    References
    ----------
    Gay-Lussac's law, any text on thermodynamics.
    """
    before, after = (float(t.to("K").magnitude) for t in (temperature, new_temperature))
    if before <= 0 or after <= 0:
        raise LimitError(f"Temperatures must be above absolute zero, not {temperature} and {new_temperature}.")
    return pressure * (after / before)


def pressure_before_hose(reading: Any, volume: Any, hose_volume: Any) -> Any:
    """Return the gauge pressure that a chamber held before an empty pump hose was connected to it.

    p = p_read · (V + V_h) / V, gauge: the hose held ambient air, so only the excess spreads.

    Parameters
    ----------
    reading : Quantity [pressure]
        Gauge pressure read after connecting.
    volume, hose_volume : Quantity [volume]
        Chamber(s) joined to the valve, above zero, and hose with gauge, zero or more.

    Returns
    -------
    Quantity [pressure]
        Gauge pressure before connecting.

    Raises
    ------
    LimitError
        When the chamber volume is not above zero or the hose volume is negative.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity
    >>> p = pressure_before_hose(Quantity(11.5385, "bar"), Quantity(100, "cm**3"), Quantity(4, "cm**3"))
    >>> round(p.to("bar").magnitude, 3)
    12.0

    References
    ----------
    Boyle's law for two joined volumes.
    """
    if float(volume.magnitude) <= 0 or float(hose_volume.magnitude) < 0:
        raise LimitError(f"A chamber of {volume} with a hose of {hose_volume} cannot be: enter volumes above zero.")
    return reading * float(((volume + hose_volume) / volume).to("").magnitude)


def compression_work(pressure: Any, volume: Any, new_volume: Any, exponent: float = 1.0) -> Any:
    """Return the work put into a sealed amount of air by compressing it, against its absolute pressure.

    W = p₁·V₁·ln(V₁/V₂) for n = 1, else p₁·V₁/(n − 1)·((V₁/V₂)ⁿ⁻¹ − 1)

    Parameters
    ----------
    pressure : Quantity [pressure]
        Absolute pressure before.
    volume, new_volume : Quantity [volume]
        Before and after, both above zero.
    exponent : float
        Polytropic exponent n, 1 to 1.4.

    Returns
    -------
    Quantity [energy]
        Work, positive for compression.

    Raises
    ------
    LimitError
        When a volume is not above zero.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity
    >>> w = compression_work(Quantity(6.5, "bar"), Quantity(165, "cm**3"), Quantity(125, "cm**3"))
    >>> round(w.to("J").magnitude, 3)
    29.776

    References
    ----------
    Boundary work of a polytropic change, any text on thermodynamics.
    """
    start, end = (float(v.to("m**3").magnitude) for v in (volume, new_volume))
    if start <= 0 or end <= 0:
        raise LimitError(f"Volumes must be above zero, not {volume} and {new_volume}.")
    joules = float(pressure.to("Pa").magnitude) * start * float(work_factor(start / end, exponent))
    return Quantity(joules, "J")


def work_factor(ratio: Any, exponent: float) -> Any:
    """Return work divided by p₁·V₁ for a compression by `ratio` = V₁/V₂ (float or array above zero)."""
    import numpy as np

    if abs(exponent - 1.0) < 1e-9:
        return np.log(ratio)
    return (ratio ** (exponent - 1.0) - 1.0) / (exponent - 1.0)
