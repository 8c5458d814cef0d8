"""How much of rider, kit and bike a spring end carries in the riding stance."""

from __future__ import annotations

import math
from typing import Any

from setup_rules.types.constants import STANDARD_GRAVITY


def sprung_mass_kg(rider_and_kit_kg: float, bike_kg: float, rider_share: Any, bike_share: Any, unsprung_kg: Any) -> Any:
    """Return the mass that a spring end carries, never below 1 kg.

    m = f·m_r + f_b·m_b − m_u, the balance of moments about the other axle with f = d/w: a mass standing d ahead of
    the rear axle of a wheelbase w loads the front by d/w of itself.

    Parameters
    ----------
    rider_and_kit_kg : float [kg]
        Rider with everything worn or carried, zero or more.
    bike_kg : float [kg]
        Whole bike, zero or more.
    rider_share : float or array [-]
        Share of rider and kit on this wheel, 0 to 1 (front f, rear 1 − f).
    bike_share : float or array [-]
        Share of the bike on this wheel, 0 to 1.
    unsprung_kg : float or array [kg]
        What moves with this wheel and rests on the ground.

    Returns
    -------
    float or array [kg]

    Examples
    --------
    >>> round(sprung_mass_kg(79.0, 14.0, 0.39, 0.475, 3.2), 2)
    34.26

    References
    ----------
    Balance of moments about an axle, any text on statics.
    """
    mass = rider_share * rider_and_kit_kg + bike_share * bike_kg - unsprung_kg
    return mass if isinstance(mass, float) and mass > 1.0 else _raise_to_one(mass)


def _raise_to_one(mass_kg: Any) -> Any:
    import numpy as np

    return np.maximum(mass_kg, 1.0)


def leg_force_n(mass_kg: Any, head_angle_deg: float) -> Any:
    """Return the force along a fork's legs of a mass resting on them.

    F = m·g·sin(HA); the part across the legs bends them and adds friction, not axial load.

    Parameters
    ----------
    mass_kg : float or array [kg]
        Sprung mass on the front wheel, zero or more.
    head_angle_deg : float [°]
        From the ground; 90° is upright.

    Returns
    -------
    float or array [N]

    Examples
    --------
    >>> round(leg_force_n(34.0, 65.5), 1)
    303.4

    References
    ----------
    Resolution of a force, any text on statics; standard gravity of ISO 80000-3.
    """
    return mass_kg * STANDARD_GRAVITY.value * math.sin(math.radians(head_angle_deg))


def weight_n(mass_kg: Any) -> Any:
    """Return the weight of a mass under standard gravity.

    W = m·g

    Parameters
    ----------
    mass_kg : float or array [kg]
        Zero or more.

    Returns
    -------
    float or array [N]

    Examples
    --------
    >>> round(weight_n(10.0), 4)
    98.0665

    References
    ----------
    Standard gravity, ISO 80000-3.
    """
    return mass_kg * STANDARD_GRAVITY.value
