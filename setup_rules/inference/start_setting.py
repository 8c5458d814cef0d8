"""The set pressure for a target sag and the sag that a set pressure gives, each with its 90 % band."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from setup_rules.inference.posterior import BAND, Belief, EndModel
from setup_rules.physics.air_spring import AirSpring

_SHARES = (BAND[0], 0.5, BAND[1])


@dataclass(frozen=True, slots=True)
class Banded:
    """A middle value with the bounds of 90 % of cases."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Drawn:
    """Every believed spring and load of one end, worked out once: springs (arrays) and loads [N]."""

    model: EndModel
    belief: Belief
    springs: AirSpring
    load_n: Any

    @classmethod
    def of(cls, model: EndModel, belief: Belief) -> Drawn:
        """Work out the springs and loads of a belief."""
        return cls(model, belief, model.springs(belief.z), model.load_n(belief.z))


def wanted_pressure_pa(drawn: Drawn, sag_m: float) -> Banded:
    """Return the bench pressure [Pa, gauge] that gives a settled sag [m] on the ride; may be below zero.

    The middle value is the weighted median over the believed springs: pressure and sag run opposite ways, so it
    is also the pressure for which the sag is as likely above the target as below, the least expected miss.
    """
    model, ride = drawn.model, drawn.model.request.ride
    held = drawn.load_n * model.leverage.at(sag_m)
    set_abs = drawn.springs.set_abs_pa_for(sag_m, held, model.site(ride))
    return Banded(*drawn.belief.quantiles(model.bench_gauge_pa(set_abs, ride), _SHARES))


def expected_sag_m(drawn: Drawn, bench_gauge_pa: float, start_m: float) -> Banded:
    """Return the settled sag [m] on the ride for a bench pressure [Pa, gauge]; the search begins at `start_m`."""
    model, ride = drawn.model, drawn.model.request.ride
    set_abs = model.set_abs_pa(bench_gauge_pa, ride)
    sag = drawn.springs.sag_m(set_abs, drawn.load_n, model.site(ride), model.leverage, start_m)
    return Banded(*drawn.belief.quantiles(sag, _SHARES))


def chance_near(drawn: Drawn, bench_gauge_pa: float, target_m: float, near_m: float) -> float:
    """Return the chance that the settled sag on the ride lies within `near_m` of the target [m] at a bench pressure.

    A softer spring sags more at the same pressure, so this compares the load with the force at both ends of the
    range: no sag has to be solved.
    """
    model, ride = drawn.model, drawn.model.request.ride
    set_abs, site = model.set_abs_pa(bench_gauge_pa, ride), model.site(ride)
    low, high = max(0.0, target_m - near_m), min(model.travel_m, target_m + near_m)
    above = drawn.springs.force_n(low, set_abs, site) <= drawn.load_n * model.leverage.at(low)
    below = drawn.springs.force_n(high, set_abs, site) >= drawn.load_n * model.leverage.at(high)
    return drawn.belief.mean((above & below).astype(float))
