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
#: What tells a rider's weight: alone, or together with the bike's.
WEIGHTS: Final = ("rider_mass_kg", "front_axle_kg", "rear_axle_kg", "weighed_kg")


def rounded_kg(mass_kg: float) -> float:
    """Return a rider's mass [kg] as it is kept.

    Examples
    --------
    >>> rounded_kg(81.6466), rounded_kg(78)
    (81.5, 78.0)
    """
    return round(mass_kg / STEP_KG) * STEP_KG


def rounded_request(request: SetupRequest) -> SetupRequest:
    """Return the request with the rider's mass, and what a scale showed of it, as they are kept."""
    found = {name: getattr(request, name) for name in WEIGHTS}
    kept: dict[str, Any] = {name: rounded_kg(mass) for name, mass in found.items() if mass is not None}
    return replace(request, **kept)


def rounded_changes(changes: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return changes of a request with the weights, where they are numbers among them, as they are kept."""
    # What is no number stays, so that the rules say what is wrong with it.
    found = {name: changes[name] for name in WEIGHTS if _is_mass(changes.get(name))}
    return {**changes, **{name: rounded_kg(mass) for name, mass in found.items()}} if found else changes


def _is_mass(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e6
