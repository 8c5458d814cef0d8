"""The setting for a target sag and the sag that a setting gives, each with its 90 % band.

Sag is what the O-ring shows: the compression under the rider less the compression where the gap is read (`Datum`),
x_rider − x_rest. Both follow from the same force balance, F(x) = W·LR(x), with the rider's load and with the load of
the bike alone or of the hanging wheel.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import BAND, Posterior
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.spring import Parts, Site, Spring
from setup_rules.types.request import Datum

#: The shares of a sample below the three values of a `Banded`.
MIDDLE_AND_BAND: Final = (BAND[0], 0.5, BAND[1])
#: The search for a resting place ends when no drawn spring moves further than this [m]; what is left is its square.
_CLOSE_M: Final = 1e-7
_MOST_STEPS: Final = 30
#: The compression under the rider stays below this share of the travel while the setting is sought.
_DEEPEST: Final = 0.97


@dataclass(frozen=True, slots=True)
class Banded:
    """A middle value with the bounds of 90 % of cases."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Held:
    """Springs with the loads that they hold: arrays of one length, one entry a drawn spring (or floats).

    `load_n` is that under the rider, `rest_load_n` that where the gap is read: at the wheel behind, along the legs in
    front.
    """

    springs: Spring
    load_n: Any
    rest_load_n: Any
    leverage: Leverage
    travel_m: float

    def rest_m(self, acting: Any, site: Site) -> Any:
        """Return the compression where the gap is read, at an acting setting.

        x_rest with F(x_rest) = W_rest·LR(x_rest), 0 where the spring holds the resting load at full extension

        Parameters
        ----------
        acting : float or array [Pa, absolute]
            Set pressure, fully extended after equalising.
        site : Site
            Surroundings.

        Returns
        -------
        float or array [m]

        Examples
        --------
        >>> from setup_rules.physics.air_spring import FORK, AirSpring
        >>> spring = AirSpring(0.14, 8e-4, 7.5e-5, negative_area_m2=7.4e-4, negative_volume_m3=2e-5, port_m=0.006)
        >>> held = Held(spring, 300.0, 31.0, FORK, 0.14)
        >>> round(1000 * float(held.rest_m(601_325.0, Site(101_325.0, 101_325.0))), 2)
        6.0

        References
        ----------
        Force balance of the spring without the rider.
        """
        acting = np.maximum(acting, self.springs.least_acting)
        return self.springs.sag_m(acting, self.rest_load_n, site, self.leverage, 0.0)

    def gap_m(self, acting: Any, site: Site, start_m: Any) -> Any:
        """Return the sag at an acting setting.

        s = x_rider − x_rest

        Parameters
        ----------
        acting : float or array [Pa, absolute]
            Set pressure, fully extended after equalising.
        site : Site
            Surroundings.
        start_m : float or array [m]
            Sag at which the search begins, 0 to the travel.

        Returns
        -------
        float or array [m]

        Examples
        --------
        >>> from setup_rules.physics.air_spring import FORK, AirSpring
        >>> spring = AirSpring(0.14, 8e-4, 7.5e-5, negative_area_m2=7.4e-4, negative_volume_m3=2e-5, port_m=0.006)
        >>> held = Held(spring, 300.0, 31.0, FORK, 0.14)
        >>> round(1000 * float(held.gap_m(601_325.0, Site(101_325.0, 101_325.0), 0.03)), 1)
        26.6

        References
        ----------
        What the O-ring shows after the rider has stepped off; force balance of the spring with and without the rider.
        """
        rest = self.rest_m(acting, site)
        rider = self.springs.sag_m(acting, self.load_n, site, self.leverage, rest + start_m)
        return np.maximum(rider - rest, 0.0)

    def acting_for(self, gap_m: float, site: Site) -> Any:
        """Return the acting setting at which the sag is a given gap.

        P(r) = (W·LR(r + s) − offset(r + s))/gain(r + s), with r = x_rest the root of F(r; P(r)) = W_rest·LR(r).
        The left side less the right rises with r: Newton steps kept inside a closing bracket find its root. Where the
        spring holds the resting load at full extension, r is 0.

        Parameters
        ----------
        gap_m : float [m]
            Wanted sag s, 0 to 0.97 of the travel.
        site : Site
            Surroundings.

        Returns
        -------
        float or array [Pa, absolute]
            Far below ambient where no pressure does it: the negative spring is too strong.

        Examples
        --------
        >>> from setup_rules.physics.air_spring import FORK, AirSpring
        >>> spring = AirSpring(0.14, 8e-4, 7.5e-5, negative_area_m2=7.4e-4, negative_volume_m3=2e-5, port_m=0.006)
        >>> held, site = Held(spring, 300.0, 31.0, FORK, 0.14), Site(101_325.0, 101_325.0)
        >>> round(1000 * float(held.gap_m(held.acting_for(0.028, site), site, 0.03)), 6)
        28.0

        References
        ----------
        Force balance of the spring with and without the rider; Newton's method with bisection.
        """
        parts = self.springs.prepare_parts(site)
        # From full extension: a resting place lies near it, and where there is none the bracket closes on it at once.
        rest = low = np.zeros(np.shape(self.load_n))
        high = np.full_like(low, max(_DEEPEST * self.travel_m - gap_m, 0.0))
        for _ in range(_MOST_STEPS):
            miss, slope = self._miss_at(rest, gap_m, parts)
            above = miss >= 0.0
            high, low = np.where(above, rest, high), np.where(above, low, rest)
            step = rest - miss / np.maximum(slope, 1.0)
            following = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
            moved, rest = np.max(np.abs(following - rest)), following
            if moved < _CLOSE_M:
                break
        return self._acting_at(rest + gap_m, parts)[0]

    def _acting_at(self, x: Any, parts: Parts) -> tuple[Any, Any, Any]:
        """Return the acting setting that holds the rider at a compression [m], its slope, and whether any does."""
        gain, gain_slope, offset, offset_slope = parts(x)
        # At and below the balance of the chambers no pressure holds the load.
        holds = gain > 0.0
        gain = np.where(holds, gain, 1.0)
        acting = (self.load_n * self.leverage.at(x) - offset) / gain
        return acting, (self.load_n * self.leverage.slope_at(x) - acting * gain_slope - offset_slope) / gain, holds

    def _miss_at(self, rest: Any, gap_m: float, parts: Parts) -> tuple[Any, Any]:
        """Return for a resting place [m] the force there over the load [N], and its slope [N/m]."""
        acting, acting_slope, holds = self._acting_at(rest + gap_m, parts)
        gain, gain_slope, offset, offset_slope = parts(rest)
        miss = acting * gain + offset - self.rest_load_n * self.leverage.at(rest)
        own_slope = acting * gain_slope + offset_slope - self.rest_load_n * self.leverage.slope_at(rest)
        # Where no pressure holds the rider it is short of the root.
        return np.where(holds, miss, -np.inf), np.where(holds, own_slope + gain * acting_slope, 1.0)


@dataclass(frozen=True, slots=True)
class DrawnEnd:
    """Every drawn spring and load of one end, worked out once."""

    model: EndModel
    posterior: Posterior
    held: Held

    @classmethod
    def of(cls, model: EndModel, posterior: Posterior, datum: Datum | None = None) -> DrawnEnd:
        """Work out the springs and loads of a posterior; the gap is read at `datum`, the end's own where None."""
        return cls(model, posterior, held_of(model, posterior.z, datum))

    def pumped(self, first_pa: float) -> DrawnEnd:
        """Return the same with a second chamber pumped to go with a bench pressure [Pa, gauge]; itself without one."""
        model = self.model.pumped(first_pa)
        return self if model is self.model else DrawnEnd.of(model, self.posterior)


def held_of(model: EndModel, z: Any, datum: Datum | None = None) -> Held:
    """Return the springs and loads of an end for rows of unknowns z, the gap read at `datum` or the end's own."""
    springs, where = model.springs(z), datum or model.end.datum
    return Held(springs, model.load_n(z), model.rest_load_n(z, where), model.leverage, model.travel_m)


def wanted_setting(drawn: DrawnEnd, sag_m: float) -> Banded:
    """Return the bench setting that gives a settled sag on the ride, with its band.

    Median and band of p(z) over the draws, p(z) the setting at which spring z sags by s. Pressure and sag run opposite
    ways, so the median is also the setting for which the sag is as likely above the target as below, the least
    expected miss.

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
    acting = drawn.held.acting_for(sag_m, model.setting.site(ride))
    return Banded(*drawn.posterior.quantiles(model.setting.bench_value(acting, ride), MIDDLE_AND_BAND))


def sags_m(drawn: DrawnEnd, bench_value: float, start_m: float) -> Any:
    """Return the settled sag on the ride of every drawn spring for a bench setting.

    s = x_rider − x_rest, draw by draw

    Parameters
    ----------
    drawn : DrawnEnd
        Every drawn spring and load of the end.
    bench_value : float [Pa, gauge]
        As the pump reads at the bench.
    start_m : float [m]
        Sag at which the search begins, 0 to the travel.

    Returns
    -------
    array [m]

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
    >>> sags_m(DrawnEnd.of(model, prior()), 500_000.0, 0.028).shape
    (512,)

    References
    ----------
    Force balance of the spring with and without the rider.
    """
    setting, ride = drawn.model.setting, drawn.model.request.ride
    return drawn.held.gap_m(setting.acting(bench_value, ride), setting.site(ride), start_m)


def expected_sag_m(drawn: DrawnEnd, bench_value: float, start_m: float) -> Banded:
    """Return the settled sag on the ride for a bench setting, with its band.

    Median and band over the draws of s = x_rider − x_rest

    Parameters
    ----------
    drawn : DrawnEnd
        Every drawn spring and load of the end.
    bench_value : float [Pa, gauge]
        As the pump reads at the bench.
    start_m : float [m]
        Sag at which the search begins, 0 to the travel.

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
    return Banded(*drawn.posterior.quantiles(sags_m(drawn, bench_value, start_m), MIDDLE_AND_BAND))


def chance_near(drawn: DrawnEnd, bench_value: float, target_m: float, near_m: float) -> float:
    """Return the chance that the settled sag on the ride lies near the target at a bench setting.

    Σ wᵢ over draws with |sᵢ − target| ≤ near

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
    Share of a weighted sample.
    """
    miss = np.abs(sags_m(drawn, bench_value, target_m) - target_m)
    return drawn.posterior.mean((miss <= near_m).astype(float))
