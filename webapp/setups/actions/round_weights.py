"""A rider's weight is personal: it is rounded before anything is computed from it or stored.

Half a kilogram is worth about half a per cent of pressure, far inside the range; finer says more of the person
than of the spring.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from setup_rules import SetupRequest

#: The rider's weight is kept to the nearest multiple of this [kg].
STEP_KG: Final = 0.5


def rounded_kg(mass_kg: float) -> float:
    """Return a rider's mass [kg] as it is kept.

    Examples
    --------
    >>> rounded_kg(81.6466), rounded_kg(78)
    (81.5, 78.0)
    """
    return round(mass_kg / STEP_KG) * STEP_KG


def rounded_request(request: SetupRequest) -> SetupRequest:
    """Return the request with the rider's mass as it is kept."""
    return replace(request, rider_mass_kg=rounded_kg(request.rider_mass_kg))


def rounded_changes(changes: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return changes of a request with the rider's mass, where it is a number among them, as it is kept."""
    mass = changes.get("rider_mass_kg")
    if isinstance(mass, bool) or not isinstance(mass, int | float) or not abs(mass) < 1e6:
        return changes  # nothing to round; what is wrong with it the rules say
    return {**changes, "rider_mass_kg": rounded_kg(mass)}
