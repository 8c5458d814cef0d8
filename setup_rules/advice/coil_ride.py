"""What a ride asks of a coil main spring: the next spring that is to be had, since it takes no volume spacers."""

from __future__ import annotations

from setup_rules.advice.wording import preload_values, rate_values
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, halves
from setup_rules.types.result import Change, CoilChoice, CoilSetup, EndSetup, Way


def find_next(coil: CoilSetup, direction: int) -> CoilChoice | None:
    """Return the next firmer (1) or softer (−1) of the springs that are to be had, None without one."""
    there = [one for one in coil.choices if (one.rate_n_per_m - coil.rate_n_per_m) * direction > 0]
    return min(there, key=lambda one: abs(one.rate_n_per_m - coil.rate_n_per_m), default=None)


def next_spring(result: EndSetup, change: Change) -> dict[str, float]:
    """Return the keys of a request that fit the spring which a change asks for, with the sag at its least preload."""
    found = None if result.coil is None else find_next(result.coil, 1 if change.amount > 0 else -1)
    if found is None:
        return {}
    percent = 100 * found.least_preload_sag_mm / result.travel_mm
    return {"fitted_rate_n_per_mm": found.rate_n_per_m / 1000, "sag_target_percent": round(percent, 2)}


def coil_change(change: Change, way: Way, after: EndSetup, coil: CoilSetup) -> Message:
    """Return what to do with the spring after a ride: another sag, or the next spring."""
    values = rate_values(coil.rate_n_per_m) | preload_values(coil.preload_mm) | {"sag": halves(after.sag_target_mm)}
    if change.kind == "spring_rate":
        return Message.of(f"ride_spring_rate.{way}", **values)
    return Message.of(f"ride_sag_target.{way}.coil", **values, points=as_typed(abs(change.amount)))
