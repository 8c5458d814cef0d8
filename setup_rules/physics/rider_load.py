"""How much of rider, kit and bike a spring end carries in the riding stance."""

from __future__ import annotations

import math
from typing import Any

from setup_rules.types.constants import STANDARD_GRAVITY
from setup_rules.types.errors import LimitError
from setup_rules.types.units import Quantity


def axle_masses(masses: Any, distances: Any, wheelbase: Any) -> Any:
    """Return the (front, rear) axle loads, as masses, of masses standing between the axles.

    m_front = Σ mᵢ·dᵢ / w, with dᵢ the distance ahead of the rear axle.

    Parameters
    ----------
    masses : sequence of Quantity [mass]
        Zero or more each.
    distances : sequence of Quantity [length]
        Horizontal distance of each mass's centre ahead of the rear axle.
    wheelbase : Quantity [length]
        Above zero.

    Returns
    -------
    tuple of Quantity [mass]
        Front and rear axle load.

    Raises
    ------
    LimitError
        When the wheelbase is not above zero.

    Examples
    --------
    >>> from setup_rules.types.units import Quantity as Q
    >>> front, rear = axle_masses([Q(75, "kg"), Q(15, "kg")], [Q(432, "mm"), Q(600, "mm")], Q(1200, "mm"))
    >>> round(front.magnitude, 9), round(rear.magnitude, 9)
    (34.5, 55.5)

    References
    ----------
    Balance of moments about the rear axle, any text on statics.
    """
    base_mm = float(wheelbase.to("mm").magnitude)
    if base_mm <= 0:
        raise LimitError(f"A wheelbase of {wheelbase} is not above zero. Enter the distance between the axles.")
    kilograms = [float(m.to("kg").magnitude) for m in masses]
    ahead_mm = [float(d.to("mm").magnitude) for d in distances]
    front = sum(m * d for m, d in zip(kilograms, ahead_mm, strict=True)) / base_mm
    return Quantity(front, "kg"), Quantity(sum(kilograms) - front, "kg")


def sprung_mass_kg(rider_kg: float, bike_kg: float, rider_share: Any, bike_share: Any, unsprung_kg: Any) -> Any:
    """Return the mass [kg] that a spring end carries: m = f·m_r + f_b·m_b − m_u, never below 1 kg.

    `rider_kg` includes the kit; shares are those of that end (front f, rear 1 − f); floats or arrays.
    """
    mass = rider_share * rider_kg + bike_share * bike_kg - unsprung_kg
    return mass if isinstance(mass, float) and mass > 1.0 else _at_least_one(mass)


def _at_least_one(mass: Any) -> Any:
    import numpy as np

    return np.maximum(mass, 1.0)


def leg_force_n(mass_kg: Any, head_angle_deg: float) -> Any:
    """Return the force along a fork's legs [N] of a sprung mass [kg]: W·sin(HA), head angle from the ground.

    The part across the legs bends them and adds friction, not axial load.
    """
    return mass_kg * STANDARD_GRAVITY.value * math.sin(math.radians(head_angle_deg))


def weight_n(mass_kg: Any) -> Any:
    """Return the weight [N] of a mass [kg] under standard gravity."""
    return mass_kg * STANDARD_GRAVITY.value
