"""Keys and numbers that several messages of an answer share."""

from __future__ import annotations

from typing import Final

from setup_rules.messages.message import Message
from setup_rules.messages.rounding import expected_mm, gauge_psi, places, spring_rate, whole
from setup_rules.types.errors import Problem
from setup_rules.types.request import EndName
from setup_rules.types.result import EndSetup
from setup_rules.types.units import LBF_PER_IN_N_PER_M, PSI_PA

#: How a key says which spring end its sentence is for.
VARIANT: Final[dict[EndName, str]] = {"front": "fork", "rear": "shock"}

#: What a ruler on a preload ring leaves open [mm] (our estimate).
OVER_LIMIT_MM: Final = 0.02


def variant_of(end: EndSetup) -> str:
    """Return how a key says whose sentence it is where a coil has one of its own."""
    return VARIANT[end.end] if end.coil is None else "coil"


def expected_at_bench_mm(end: EndSetup) -> float:
    """Return the sag to expect where the spring is set [mm], as fine as it is shown (`expected_mm`)."""
    there = min(max(end.sag_expected_mm + (end.bench_shift_mm or 0.0), 0.0), end.travel_mm)
    return expected_mm(there, end.bench_target_mm)


def whole_psi(pressure_pa: float) -> float:
    """Return a pressure [Pa] in psi, as every sentence and page says it (`gauge_psi`)."""
    return gauge_psi(pressure_pa / PSI_PA)


def rate_n_per_mm(rate_n_per_m: float) -> float:
    """Return a spring rate [N/m] in N/mm, as every sentence and page says it."""
    return spring_rate(rate_n_per_m / 1000)


def rate_values(rate_n_per_m: float) -> dict[str, float]:
    """Return a spring rate [N/m] for a sentence: `rate` in N/mm and `pounds` in lb/in."""
    return {"rate": rate_n_per_mm(rate_n_per_m), "pounds": whole(rate_n_per_m / LBF_PER_IN_N_PER_M)}


def preload_values(preload_mm: float) -> dict[str, float]:
    """Return a preload [mm] for a sentence: `preload`, as fine as it can be measured."""
    return {"preload": places(preload_mm, 1)}


def is_over_limit(preload_mm: float, limit_mm: float) -> bool:
    """Return whether a preload [mm] is above what a coil may have, by more than a ruler leaves open."""
    return preload_mm > limit_mm + OVER_LIMIT_MM


def is_above(pressure_pa: float, other_pa: float) -> bool:
    """Return whether a pressure [Pa] is above another one as both are shown: 300.2 psi is not above 300."""
    return whole_psi(pressure_pa) > whole_psi(other_pa)


def no_end(name: EndName) -> Problem:
    """Return the refusal of something about an end that the setup does not have."""
    return Problem("end", Message.of(f"problem.no_{VARIANT[name]}"))
