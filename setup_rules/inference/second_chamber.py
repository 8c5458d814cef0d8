"""The second positive chamber's own pressure: as its manual gives it, a share of the first one's, within its maximum.

A manual prints two columns, one a chamber, over the rider's weight. Their ratio hardly moves from row to row, so one
ratio stands for every rider, and both pressures follow the load. Gauges show them, so it is a ratio of gauge pressures.
"""

from __future__ import annotations

from setup_rules.inference.size_class import assumed_max_psi
from setup_rules.messages.rounding import gauge_psi_below
from setup_rules.physics.air_pressure import AirPressure
from setup_rules.physics.atmosphere import ambient_pressure_pa
from setup_rules.types.request import Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.units import PSI_PA


def has_second(end: FrontEnd | RearEnd) -> bool:
    """Return whether an end has a second positive chamber of which all is known."""
    return end.second_volume_cm3 is not None and end.second_pressure_ratio is not None


def second_maximum_pa(end: FrontEnd | RearEnd) -> float:
    """Return the maximum of the second chamber as a gauge shows it: its own, else that of the end.

    p₂,max as entered, else p_max as entered, else the class's estimate

    Parameters
    ----------
    end : FrontEnd or RearEnd
        With its second chamber.

    Returns
    -------
    float [Pa, gauge]

    Examples
    --------
    >>> round(second_maximum_pa(FrontEnd(travel_mm=160.0, max_pressure_psi=150.0)) / PSI_PA)
    150

    References
    ----------
    The unit's manual, else `ASSUMED_MAX_PSI` in `setup_rules.types.constants`.
    """
    most = end.second_max_pressure_psi or end.max_pressure_psi or assumed_max_psi(end)
    return gauge_psi_below(most) * PSI_PA


def second_pressure_pa(end: FrontEnd | RearEnd, request: SetupRequest, first_pa: float) -> float:
    """Return the pressure to pump into the second chamber at the bench, for one of the first.

    p₂ = min(r·p₁, p₂,max), the maximum held at the bench and on the ride; never less than p₁

    Parameters
    ----------
    end : FrontEnd or RearEnd
        With its second chamber.
    request : SetupRequest
        Where it is pumped and ridden.
    first_pa : float [Pa, gauge]
        Set pressure of the first chamber at the bench.

    Returns
    -------
    float [Pa, gauge]

    Raises
    ------
    LimitError
        When a temperature or an altitude is out of range.

    Examples
    --------
    >>> fork = FrontEnd(travel_mm=160.0, bore_mm=34.0, positive_volume_cm3=220.0, second_volume_cm3=40.0,
    ...                 second_pressure_ratio=1.8, second_max_pressure_psi=150.0)
    >>> request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork)
    >>> [round(second_pressure_pa(fork, request, psi * PSI_PA) / PSI_PA) for psi in (60.0, 90.0)]
    [108, 150]

    References
    ----------
    The unit's manual for ratio and maximum; Gay-Lussac's law for the maximum on a warmer ride.
    """
    most, ride = second_maximum_pa(end), request.ride
    if ride != request.bench:
        on_ride = AirPressure(request.bench).bench_value(most + ambient_pressure_pa(ride.altitude_m), ride)
        most = min(most, max(float(on_ride), 0.0))
    return max(first_pa, min((end.second_pressure_ratio or 1.0) * first_pa, most))


def absolute_ratio(first_pa: float, second_pa: float, there: Conditions) -> float:
    """Return the second chamber's set pressure over the first one's, both absolute.

    c = (p₂ + p_a)/(p₁ + p_a)

    Parameters
    ----------
    first_pa, second_pa : float [Pa, gauge]
        As pumped, the first above a vacuum.
    there : Conditions
        Where both were pumped; its altitude counts.

    Returns
    -------
    float [-]
        The same in any weather and at any height, since both are sealed and warm alike.

    Raises
    ------
    LimitError
        When the altitude is out of range.

    Examples
    --------
    >>> round(absolute_ratio(413_685.0, 744_633.0, Conditions()), 4)
    1.6426

    References
    ----------
    Definition of gauge pressure; ISO 2533 for the ambient pressure.
    """
    ambient_pa = ambient_pressure_pa(there.altitude_m)
    return (second_pa + ambient_pa) / max(first_pa + ambient_pa, 1.0)
