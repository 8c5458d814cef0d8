"""The set pressure for a target sag and the sag that a set pressure gives, each with its 90 % band.

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
from setup_rules.physics.spring import Site, Spring
from setup_rules.types.request import Conditions, Datum

_SHARES = (BAND[0], 0.5, BAND[1])
#: The search for a resting place ends when no drawn spring moves further than this [m].
_CLOSE_M: Final = 1e-7
_MOST_STEPS: Final = 30
#: Where the search for a resting place begins, as a share of the travel.
_REST_START: Final = 0.05
#: The compression under the rider stays below this share of the travel while the pressure is sought.
_DEEPEST: Final = 0.97
#: Least absolute pressure [Pa] at which a resting place is sought: below, the search passes through a vacuum.
_LEAST_ABS_PA: Final = 20_000.0


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

    def rest_m(self, set_abs_pa: Any, site: Site, start_m: Any | None = None) -> Any:
        """Return the compression [m] where the gap is read, at an absolute set pressure [Pa]."""
        start = _REST_START * self.travel_m if start_m is None else start_m
        pressure = np.maximum(set_abs_pa, _LEAST_ABS_PA)
        return self.springs.sag_m(pressure, self.rest_load_n, site, self.leverage, start)

    def gap_m(self, set_abs_pa: Any, site: Site, start_m: Any) -> Any:
        """Return the sag [m], x_rider − x_rest, at an absolute set pressure [Pa]; the search begins at `start_m`."""
        rider = self.springs.sag_m(set_abs_pa, self.load_n, site, self.leverage, start_m)
        return rider - self.rest_m(set_abs_pa, site)

    def acting_for(self, gap_m: float, site: Site) -> Any:
        """Return the absolute set pressure [Pa] at which the sag is `gap_m`; may be below zero.

        For a resting place r the pressure follows from the load under the rider at r + gap in closed form. What the
        spring then holds at r, less the resting load, rises with r: its root is sought by Newton steps kept inside a
        closing bracket. Where the spring holds the resting load at full extension, r is 0.
        """
        shape = np.shape(self.load_n)
        low, high = np.zeros(shape), np.full(shape, max(_DEEPEST * self.travel_m - gap_m, 0.0))
        _, miss, _ = self._at_rest(low, gap_m, site)
        topped = miss >= 0.0
        high = np.where(topped, 0.0, high)
        rest = np.minimum(_REST_START * self.travel_m, high)
        for _ in range(_MOST_STEPS):
            _, miss, slope = self._at_rest(rest, gap_m, site)
            above = miss >= 0.0
            high, low = np.where(above, rest, high), np.where(above, low, rest)
            step = rest - miss / np.maximum(slope, 1.0)
            following = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
            moved, rest = np.max(np.abs(following - rest)), following
            if moved < _CLOSE_M:
                break
        return self._at_rest(rest, gap_m, site)[0]

    def _at_rest(self, rest: Any, gap_m: float, site: Site) -> tuple[Any, Any, Any]:
        """Return for a resting place [m] the pressure [Pa], the force there over the load [N], and its slope [N/m]."""
        x, lever = rest + gap_m, self.leverage
        gain, gain_slope, offset, offset_slope = self.springs.settled_parts(x, site)
        pressure = (self.load_n * lever.at(x) - offset) / gain
        net = pressure * gain_slope + offset_slope - self.load_n * lever.slope_at(x)
        gain_r, slope_r, offset_r, offset_slope_r = self.springs.settled_parts(rest, site)
        miss = pressure * gain_r + offset_r - self.rest_load_n * lever.at(rest)
        net_r = pressure * slope_r + offset_slope_r - self.rest_load_n * lever.slope_at(rest)
        return pressure, miss, net_r - gain_r * net / gain


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


def held_of(model: EndModel, z: Any, datum: Datum | None = None) -> Held:
    """Return the springs and loads of an end for rows of unknowns z, the gap read at `datum` or the end's own."""
    springs, where = model.springs(z), datum or model.end.datum
    return Held(springs, model.load_n(z), model.rest_load_n(z, where), model.leverage, model.travel_m)


def wanted_setting(drawn: DrawnEnd, sag_m: float) -> Banded:
    """Return the bench pressure [Pa, gauge] that gives a settled sag [m] on the ride; may be below zero.

    The middle value is the weighted median over the believed springs: pressure and sag run opposite ways, so it
    is also the pressure for which the sag is as likely above the target as below, the least expected miss.
    """
    model, ride = drawn.model, drawn.model.request.ride
    set_abs = drawn.held.acting_for(sag_m, model.setting.site(ride))
    return Banded(*drawn.posterior.quantiles(model.setting.bench_value(set_abs, ride), _SHARES))


def sags_m(drawn: DrawnEnd, bench_value: float, start_m: float, conditions: Conditions | None = None) -> Any:
    """Return the settled sag [m] of every believed spring for a bench pressure [Pa, gauge], on the ride by default."""
    model, there = drawn.model, conditions or drawn.model.request.ride
    return drawn.held.gap_m(model.setting.acting(bench_value, there), model.setting.site(there), start_m)


def expected_sag_m(drawn: DrawnEnd, bench_value: float, start_m: float) -> Banded:
    """Return the settled sag [m] on the ride for a bench pressure [Pa, gauge]; the search begins at `start_m`."""
    return Banded(*drawn.posterior.quantiles(sags_m(drawn, bench_value, start_m), _SHARES))


def chance_near(drawn: DrawnEnd, bench_value: float, target_m: float, near_m: float) -> float:
    """Return the chance that the settled sag on the ride lies within `near_m` of the target [m] at a bench pressure."""
    miss = np.abs(sags_m(drawn, bench_value, target_m) - target_m)
    return drawn.posterior.mean((miss <= near_m).astype(float))
