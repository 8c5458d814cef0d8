"""The set pressure for a target sag and the sag that a set pressure gives, each with its 90 % band."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules.belief import BAND, Belief, EndModel

_SHARES = (BAND[0], 0.5, BAND[1])


@dataclass(frozen=True, slots=True)
class Banded:
    """A middle value with the bounds of 90 % of cases."""

    low: float
    middle: float
    high: float


def wanted_pressure_pa(model: EndModel, belief: Belief, sag_m: float) -> Banded:
    """Return the bench pressure [Pa, gauge] that gives a settled sag [m] on the ride; may be below zero.

    The middle value is the weighted median over the believed springs: pressure and sag run opposite ways, so it
    is also the pressure for which the sag is as likely above the target as below, the least expected miss.
    """
    springs, load = model.springs(belief.z), model.load_n(belief.z)
    held = load * model.leverage.at(sag_m)
    site = model.site(model.request.ride)
    gauge = model.bench_gauge_pa(springs.set_abs_pa_for(sag_m, held, site), model.request.ride)
    return Banded(*belief.quantiles(gauge, _SHARES))


def expected_sag_m(
    model: EndModel, belief: Belief, bench_gauge_pa: float, start_m: float, extra_sigma_m: float = 0.0
) -> Banded:
    """Return the settled sag [m] on the ride for a bench pressure [Pa, gauge].

    `start_m` is where the search begins. `extra_sigma_m` widens the band about the middle for what the drawn
    springs do not carry, added in squares.
    """
    springs, load = model.springs(belief.z), model.load_n(belief.z)
    ride = model.request.ride
    sag = springs.sag_m(model.set_abs_pa(bench_gauge_pa, ride), load, model.site(ride), model.leverage, start_m)
    low, middle, high = belief.quantiles(sag, _SHARES)
    extra = 1.645 * extra_sigma_m
    low = middle - ((middle - low) ** 2 + extra**2) ** 0.5
    high = middle + ((high - middle) ** 2 + extra**2) ** 0.5
    return Banded(max(0.0, low), middle, min(model.travel_m, high))
