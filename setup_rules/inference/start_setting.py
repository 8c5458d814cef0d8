"""The setting for a target sag and the sag that a setting gives, each with its 90 % band."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import BAND, Posterior
from setup_rules.physics.spring import Spring

_SHARES = (BAND[0], 0.5, BAND[1])


@dataclass(frozen=True, slots=True)
class Banded:
    """A middle value with the bounds of 90 % of cases."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class DrawnEnd:
    """Every drawn spring and load of one end, worked out once: springs (arrays) and loads [N]."""

    model: EndModel
    posterior: Posterior
    springs: Spring
    load_n: Any

    @classmethod
    def of(cls, model: EndModel, posterior: Posterior) -> DrawnEnd:
        """Work out the springs and loads of a posterior."""
        return cls(model, posterior, model.springs(posterior.z), model.load_n(posterior.z))


def wanted_setting(drawn: DrawnEnd, sag_m: float) -> Banded:
    """Return the bench setting that gives a settled sag on the ride, with its band.

    Median and band of s(z) over the draws, s(z) the setting that holds W(z)·LR(x) at x with spring z. Pressure and
    sag run opposite ways, so the median is also the setting for which the sag is as likely above the target as
    below, the least expected miss.

    Parameters
    ----------
    drawn : DrawnEnd
        Every drawn spring and load of the end.
    sag_m : float [m]
        Wanted on the ride, between 0 and the travel.

    Returns
    -------
    Banded [Pa, gauge]
        What to pump at the bench; may be below zero.

    Raises
    ------
    LimitError
        When a temperature or an altitude of the request is out of range.

    Examples
    --------
    >>> from setup_rules.inference.posterior import prior
    >>> from setup_rules.types.request import FrontEnd, SetupRequest
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> wanted = wanted_setting(DrawnEnd.of(model, prior()), 0.028)
    >>> wanted.low < wanted.middle < wanted.high
    True

    References
    ----------
    Quantiles of a weighted sample; force balance of the spring.
    """
    model, ride = drawn.model, drawn.model.request.ride
    held = drawn.load_n * model.leverage.at(sag_m)
    acting = drawn.springs.setting_for(sag_m, held, model.setting.site(ride))
    return Banded(*drawn.posterior.quantiles(model.setting.bench_value(acting, ride), _SHARES))


def expected_sag_m(drawn: DrawnEnd, bench_value: float, start_m: float) -> Banded:
    """Return the settled sag on the ride for a bench setting, with its band.

    Median and band over the draws of x with F(x) = W·LR(x)

    Parameters
    ----------
    drawn : DrawnEnd
        Every drawn spring and load of the end.
    bench_value : float [Pa, gauge]
        As the pump reads at the bench.
    start_m : float [m]
        Where the search begins, 0 to the travel.

    Returns
    -------
    Banded [m]

    Raises
    ------
    LimitError
        When a temperature or an altitude of the request is out of range.

    Examples
    --------
    >>> from setup_rules.inference.posterior import prior
    >>> from setup_rules.types.request import FrontEnd, SetupRequest
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> drawn = DrawnEnd.of(model, prior())
    >>> round(1000 * expected_sag_m(drawn, wanted_setting(drawn, 0.028).middle, 0.028).middle)
    28

    References
    ----------
    Quantiles of a weighted sample; force balance of the spring.
    """
    model, ride = drawn.model, drawn.model.request.ride
    acting = model.setting.acting(bench_value, ride)
    sag = drawn.springs.sag_m(acting, drawn.load_n, model.setting.site(ride), model.leverage, start_m)
    return Banded(*drawn.posterior.quantiles(sag, _SHARES))


def chance_near(drawn: DrawnEnd, bench_value: float, target_m: float, near_m: float) -> float:
    """Return the chance that the settled sag on the ride lies near the target at a bench setting.

    Σ wᵢ over draws with F(x_low) ≤ W·LR(x_low) and F(x_high) ≥ W·LR(x_high). A softer spring sags more at the same
    setting, so this compares the load with the force at both ends of the range: no sag has to be solved.

    Parameters
    ----------
    drawn : DrawnEnd
        Every drawn spring and load of the end.
    bench_value : float [Pa, gauge]
        As the pump reads at the bench.
    target_m : float [m]
        Target sag, 0 to the travel.
    near_m : float [m]
        How far from it counts as near, above zero.

    Returns
    -------
    float [-]
        0 to 1.

    Raises
    ------
    LimitError
        When a temperature or an altitude of the request is out of range.

    Examples
    --------
    >>> from setup_rules.inference.posterior import prior
    >>> from setup_rules.types.request import FrontEnd, SetupRequest
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> drawn = DrawnEnd.of(model, prior())
    >>> 0.0 < chance_near(drawn, wanted_setting(drawn, 0.028).middle, 0.028, 0.003) < 1.0
    True

    References
    ----------
    Share of a weighted sample; the force of a spring rises with its compression.
    """
    model, ride = drawn.model, drawn.model.request.ride
    acting, site = model.setting.acting(bench_value, ride), model.setting.site(ride)
    low, high = max(0.0, target_m - near_m), min(model.travel_m, target_m + near_m)
    above = drawn.springs.force_n(low, acting, site) <= drawn.load_n * model.leverage.at(low)
    below = drawn.springs.force_n(high, acting, site) >= drawn.load_n * model.leverage.at(high)
    return drawn.posterior.mean((above & below).astype(float))
