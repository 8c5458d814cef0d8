"""Words and numbers that several sentences of the rules share."""

from __future__ import annotations

from setup_rules.types.request import EndName
from setup_rules.types.units import PSI_PA

#: What a spring end is called in a sentence.
UNIT_WORD: dict[EndName, str] = {"front": "fork", "rear": "shock"}


def whole_psi(pressure_pa: float) -> str:
    """Return a pressure [Pa] in whole psi, for a sentence."""
    return f"{pressure_pa / PSI_PA:.0f}"


def half_mm(length_mm: float) -> str:
    """Return a length [mm] to the nearest half, for a sentence: as fine as a sag can be read."""
    return f"{round(2 * length_mm) / 2:g}"
