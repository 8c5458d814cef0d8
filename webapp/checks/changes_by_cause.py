"""The changes of a what-if by their cause, so that each can be shown for itself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

#: The causes in the order in which they are laid on each other, each with the keys of a request that belong to it.
CAUSES: Final[dict[str, frozenset[str]]] = {
    "weight": frozenset(
        {"rider_mass_kg", "kit_mass_kg", "bike_mass_kg", "stance", "front_axle_kg", "rear_axle_kg"}
        | {"rider_front_share_percent"}
    ),
    "luggage": frozenset({"luggage_front_kg", "luggage_rear_kg"}),
    "sag": frozenset({"riding_style", "sag_target_percent"}),
    "air": frozenset({"bench", "ride"}),
    "spring": frozenset({"volume_spacers", "volume_spacer_cm3", "air_lubricant_cm3", "travel_mm", "stroke_mm"}),
    "limit": frozenset({"max_pressure_psi", "min_pressure_psi"}),
}


def changes_by_cause(changes: Mapping[str, object]) -> list[tuple[str, dict[str, object]]]:
    """Return the changes of a request by their cause, in the order of `CAUSES`, causes without any left out.

    Examples
    --------
    >>> changes_by_cause({"bench": {"temperature_c": 5.0}, "kit_mass_kg": 9.0})
    [('weight', {'kit_mass_kg': 9.0}), ('air', {'bench': {'temperature_c': 5.0}})]
    """
    found: dict[str, dict[str, object]] = {}
    for key, value in changes.items():
        if key in ("front", "rear") and isinstance(value, Mapping):
            for inner, one in value.items():
                end = found.setdefault(_cause_of(str(inner)), {}).setdefault(key, {})
                end[inner] = one  # type: ignore[index]  # a mapping that was just put there
        else:
            found.setdefault(_cause_of(key), {})[key] = value
    return [(cause, found[cause]) for cause in (*CAUSES, "other") if cause in found]


def _cause_of(key: str) -> str:
    return next((cause for cause, keys in CAUSES.items() if key in keys), "other")
