"""Keys and numbers that several messages of an answer share."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.message import Message
from setup_rules.messages.rounding import gauge_psi
from setup_rules.types.errors import Problem
from setup_rules.types.request import EndName
from setup_rules.types.units import PSI_PA

#: How a key says which spring end its sentence is for.
VARIANT: Final[dict[EndName, str]] = {"front": "fork", "rear": "shock"}


def whole_psi(pressure_pa: float) -> float:
    """Return a pressure [Pa] in psi, as every sentence and page says it (`gauge_psi`)."""
    return gauge_psi(pressure_pa / PSI_PA)


def is_above(pressure_pa: float, other_pa: float) -> bool:
    """Return whether a pressure [Pa] is above another one as both are shown: 300.2 psi is not above 300."""
    return whole_psi(pressure_pa) > whole_psi(other_pa)


def no_end(name: EndName) -> Problem:
    """Return the refusal of something about an end that the setup does not have."""
    return Problem("end", Message.of(f"problem.no_{VARIANT[name]}"))
