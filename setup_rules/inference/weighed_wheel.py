"""What a bathroom scale under a wheel says of the front shares of rider and bike, one knowledge of both."""

from __future__ import annotations

import math
from dataclasses import dataclass

from setup_rules.types import constants as c
from setup_rules.types.request import EndName, SetupRequest


@dataclass(frozen=True, slots=True)
class Shares:
    """Front shares after a scale was read: f = `rider` + `rider_sigma`·z₁, f_b = `bike` + `together`·z₁ + `own`·z₂.

    z₁ and z₂ are standard normal. The scale shows the sum of both parts, so where one is more the other is less.
    """

    rider: float
    rider_sigma: float
    bike: float
    together: float
    own: float


@dataclass(frozen=True, slots=True)
class _Reading:
    """One axle seen as load on the front [kg], with its standard deviation [kg]."""

    front_kg: float
    sigma_kg: float


def total_kg(request: SetupRequest) -> float:
    """Return rider, kit and bike together, as they are stated for the day of the scale.

    m_r + m_k + m_b, or what they were together on the day of the scale

    Parameters
    ----------
    request : SetupRequest
        With `weighed_kg` where the masses have changed since.

    Returns
    -------
    float [kg]

    Examples
    --------
    >>> total_kg(SetupRequest(rider_mass_kg=75.0, riding_style="trail"))
    93.0

    References
    ----------
    Sum of masses.
    """
    return request.weighed_kg or request.rider_mass_kg + request.kit_mass_kg + request.bike_mass_kg


def is_weighed(request: SetupRequest) -> bool:
    """Return whether a scale under a wheel was read in the stance that the request asks about."""
    read = request.front_axle_kg is not None or request.rear_axle_kg is not None
    return read and request.weighed_stance in (None, request.stance)


def scale_sigma_kg(reading_kg: float, whole_kg: float) -> float:
    """Return how far a scale under a wheel may be off: its own error, and the stance that is not quite repeated.

    σ² = σ_0² + (σ_1·R)² + (σ_f·m)²

    Parameters
    ----------
    reading_kg : float [kg]
        What the scale shows, R.
    whole_kg : float [kg]
        Rider, kit and bike together, m.

    Returns
    -------
    float [kg]
        One standard deviation.

    Examples
    --------
    >>> round(scale_sigma_kg(38.0, 97.0), 2)
    1.16

    References
    ----------
    Sum of independent variances; `SCALE_SIGMA` and `SCALE_STANCE_SIGMA` in `setup_rules.types.constants`.
    """
    stance = c.SCALE_STANCE_SIGMA.value * whole_kg
    return math.hypot(c.SCALE_SIGMA_KG.value, c.SCALE_SIGMA.value * reading_kg, stance)


def share_by_scale(request: SetupRequest) -> float:
    """Return the share of rider, kit and bike on the front wheel, as the scale shows it.

    R_f/m with the front weighed, 1 − R_r/m with the rear, R_f/(R_f + R_r) with both

    Parameters
    ----------
    request : SetupRequest
        With `front_axle_kg`, `rear_axle_kg` or both.

    Returns
    -------
    float [-]

    Examples
    --------
    >>> share_by_scale(SetupRequest(rider_mass_kg=75.0, kit_mass_kg=0.0, bike_mass_kg=15.0, riding_style="trail",
    ...                             front_axle_kg=36.0))
    0.4

    References
    ----------
    Balance of forces: both wheels carry the whole weight.
    """
    front, rear, whole = request.front_axle_kg, request.rear_axle_kg, total_kg(request)
    if front is None:
        return 1.0 - (rear or 0.0) / whole
    return front / whole if rear is None else front / (front + rear)


def shares_after_scale(request: SetupRequest, name: EndName) -> Shares:
    """Return the front shares of rider and bike after the scale, for the load of one end.

    Prior f ~ N(μ, σ²), f_b ~ N(μ_b, σ_b²); each reading is m_r·f + m_b·f_b with its error: one Kalman step. The
    scale under the end's own wheel shows the load of that end itself; the other wheel shows it as the rest of masses
    that are only stated.

    Parameters
    ----------
    request : SetupRequest
        With `front_axle_kg`, `rear_axle_kg` or both.
    name : {"front", "rear"}
        The end whose load is asked about.

    Returns
    -------
    Shares [-]

    Examples
    --------
    >>> request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front_axle_kg=42.0)
    >>> after = shares_after_scale(request, "front")
    >>> round(after.rider, 3), round(after.rider_sigma, 3), round(after.bike, 3)
    (0.439, 0.014, 0.478)

    References
    ----------
    Balance of moments about an axle; conditional normal distribution, any text on statistics.
    """
    prior, bike = c.FRONT_SHARE[request.stance], c.BIKE_FRONT_SHARE
    mean, variance, both, bike_variance = (prior.mean, bike.mean), prior.sigma**2, 0.0, bike.sigma**2
    rider_kg, bike_kg = total_kg(request) - request.bike_mass_kg, request.bike_mass_kg
    for reading in _readings(request, name):
        reach = variance * rider_kg + both * bike_kg
        bike_reach = both * rider_kg + bike_variance * bike_kg
        spread = rider_kg * reach + bike_kg * bike_reach + reading.sigma_kg**2
        miss = reading.front_kg - rider_kg * mean[0] - bike_kg * mean[1]
        mean = mean[0] + reach / spread * miss, mean[1] + bike_reach / spread * miss
        variance, both, bike_variance = (
            variance - reach**2 / spread,
            both - reach * bike_reach / spread,
            bike_variance - bike_reach**2 / spread,
        )
    sigma = math.sqrt(variance)
    return Shares(mean[0], sigma, mean[1], both / sigma, math.sqrt(bike_variance - both**2 / variance))


def _readings(request: SetupRequest, name: EndName) -> list[_Reading]:
    whole = total_kg(request)
    shown: dict[EndName, float | None] = {"front": request.front_axle_kg, "rear": request.rear_axle_kg}
    readings = []
    for wheel, kg in shown.items():
        if kg is not None:
            stated = 0.0 if wheel == name else c.STATED_SIGMA.value * whole
            sigma = math.hypot(scale_sigma_kg(kg, whole), stated)
            readings.append(_Reading(kg if wheel == "front" else whole - kg, sigma))
    return readings
