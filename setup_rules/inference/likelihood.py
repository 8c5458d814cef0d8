"""From sag readings to what they say of a spring end: a weighted set of springs and loads.

A reading is the settled sag of the spring, moved by stick friction either way, by reading error and by rounding.
Readings of one check share part of the friction (the spring tends to stop on the same side) and each has its own
part. Readings *from above* stop short by most of the friction, *from below* long by as much; one of each brackets
it, which is why a check with both says far more than three readings of neither.

How the set is made: the spring's internals and its friction are the fixed low-discrepancy sample; for each of them
the load follows in closed form, since the miss of a reading is linear in the load (a Kalman step a group of
readings), and the sample is weighted by how likely the readings are with that spring. Plain weighting of drawn loads
would starve after one good check, a Gaussian about the most likely point bends the tails of the negative chamber;
this does neither, and many checks in a row only sharpen it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import Posterior, central_row, low_discrepancy_sample
from setup_rules.inference.size_class import LOAD_UNKNOWNS
from setup_rules.physics.rider_load import weight_n
from setup_rules.types.constants import READING_SIGMA_MM
from setup_rules.types.request import Conditions
from setup_rules.types.result import SagCheck, TakenCheck

#: Share of the friction's variance that the readings of one check have in common (our estimate).
COMMON_SHARE: Final = 0.5
#: How differently a rider stands from one check to the next: standard deviation of the front share (our estimate).
STANCE_SIGMA: Final = 0.008
#: Air not quite settled, O-ring pushed on while getting on: standard deviation as a share of the sag (our estimate).
SETTLING_SIGMA: Final = 0.02
#: A one-sided reading stops at this share of the friction (mean, standard deviation; our estimate).
ONE_SIDED: Final = (0.9, 0.12)
#: Gauge and pump: standard deviation of a set pressure as read, as a share (our estimate).
GAUGE_SIGMA: Final = 0.006
#: How many of the unknowns make the load; they are the first columns.
LOAD: Final = len(LOAD_UNKNOWNS)


@dataclass(frozen=True, slots=True)
class SagLikelihood:
    """One sag check made ready: its end model, surroundings, the setting as it acted, and groups of readings [m].

    `side` of a group is −1 from above, +1 from below, 0 either. A frictionless one is not a measured sag but one
    that somebody else worked out.
    """

    model: EndModel
    conditions: Conditions
    acting: float
    groups: tuple[tuple[int, Any], ...]
    reading_sigma_m: float
    frictionless: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """One group of readings against every drawn spring: miss [m] = `miss_m` − `per_load` · (load unknowns).

    `variance_m2` is that of the mean reading's miss, `single_m2` of one reading about the mean.
    """

    miss_m: Any
    per_load: Any
    variance_m2: Any
    single_m2: Any
    readings_m: Any


def compare_readings(check: SagLikelihood, z: Any) -> list[Group]:
    """Return each group of readings of a check against drawn springs z, shape (draws, unknowns)."""
    model, leverage = check.model, check.model.leverage
    springs, site, friction = model.springs(z), model.setting.site(check.conditions), model.friction_n(z)
    load, per_unknown = _split_load(model)
    compared = []
    for side, readings in check.groups:
        at, count = float(np.mean(readings)), len(readings)
        ratio = float(leverage.at(at))
        slope = springs.rate_n_per_m(at, check.acting, site) - load * float(leverage.slope_at(at))
        # With every internal entered the slope is one number: still one a draw, as the friction is.
        slope = np.maximum(slope, 1.0) * np.ones(len(z))
        slack = 0.0 * slope if check.frictionless else friction / slope
        miss = (springs.force_n(at, check.acting, site) - load * ratio) / slope - side * ONE_SIDED[0] * slack
        if side:
            shared, own = (ONE_SIDED[1] * slack) ** 2, 0.0
        else:
            shared, own = COMMON_SHARE * slack**2 / 3.0, (1.0 - COMMON_SHARE) * slack**2 / 3.0
        single = check.reading_sigma_m**2 + own
        stance = STANCE_SIGMA * weight_n(model.rider_and_kit_kg) * ratio / slope
        whole_check = stance**2 + ((GAUGE_SIGMA + SETTLING_SIGMA) * at) ** 2
        # What a check's groups have in common is counted once for the check, though each group carries it.
        variance = single / count + shared + (0.0 if check.frictionless else len(check.groups) * whole_check)
        compared.append(Group(miss, (ratio / slope)[:, None] * per_unknown, variance, single, readings))
    return compared


def _split_load(model: EndModel) -> tuple[float, Any]:
    """Return the central load [N] and what each load unknown adds to it [N for 1], shape (3,)."""
    rows = np.tile(central_row(), (1 + LOAD, 1))
    rows[1:, :LOAD] = np.eye(LOAD)
    loads = model.load_n(rows)
    return float(loads[0]), loads[1:] - loads[0]


def sag_likelihood(taken: TakenCheck, model: EndModel) -> SagLikelihood:
    """Make a taken check ready, translated by the request that was in force when it was taken."""
    check = taken.check
    bench = model.request.bench
    conditions = Conditions(
        temperature_c=bench.temperature_c if check.temperature_c is None else check.temperature_c,
        altitude_m=bench.altitude_m if check.altitude_m is None else check.altitude_m,
    )
    acting = model.setting_at(conditions).acting(check.pressure_pa, conditions)
    named = ((0, check.readings_mm), (-1, check.readings_from_above_mm), (1, check.readings_from_below_mm))
    sigma_mm = math.hypot(READING_SIGMA_MM[check.end].value, _find_rounding_mm(check) / math.sqrt(12.0))
    groups = tuple((side, _pull_slips_in(np.array(mm) / 1000, sigma_mm / 1000)) for side, mm in named if mm)
    return SagLikelihood(model, conditions, acting, groups, sigma_mm / 1000)


def _find_rounding_mm(check: SagCheck) -> float:
    """Return the step [mm] to which the readings of a check seem rounded: 1, 0.5 or 0.1."""
    values = [*check.readings_mm, *check.readings_from_above_mm, *check.readings_from_below_mm]
    for step in (1.0, 0.5):
        if all(abs(v / step - round(v / step)) < 1e-6 for v in values):
            return step
    return 0.1


def _pull_slips_in(values_m: Any, sigma_m: float) -> Any:
    """Pull a reading that lies far off the others' middle towards it: a slipped O-ring counts as a doubtful reading."""
    if len(values_m) < 3:
        return values_m
    middle = float(np.median(values_m))
    return np.clip(values_m, middle - 3.5 * sigma_m, middle + 3.5 * sigma_m)


def weigh_draws(checks: tuple[SagLikelihood, ...]) -> Posterior:
    """Return the posterior of an end after its checks: drawn springs with fitting loads, weighted."""
    z = low_discrepancy_sample().copy()
    draws = len(z)
    mean, covariance = np.zeros((draws, LOAD)), np.broadcast_to(np.eye(LOAD), (draws, LOAD, LOAD))
    log_weight = np.zeros(draws)
    for check in checks:
        for group in compare_readings(check, z):
            mean, covariance, gained = _fit_load(mean, covariance, group)
            log_weight = log_weight + gained + _scatter_log_likelihood(group)
    root = np.linalg.cholesky(covariance)
    z[:, :LOAD] = mean + np.einsum("nij,nj->ni", root, z[:, :LOAD])
    weight = np.exp(log_weight - np.max(log_weight))
    return Posterior(z, weight / np.sum(weight))


def _fit_load(mean: Any, covariance: Any, group: Group) -> tuple[Any, Any, Any]:
    """One Kalman step a draw: new mean and covariance of the load unknowns, and the log likelihood gained."""
    reach = np.einsum("nij,nj->ni", covariance, group.per_load)
    variance = np.einsum("ni,ni->n", reach, group.per_load) + group.variance_m2
    surprise = group.miss_m - np.einsum("ni,ni->n", group.per_load, mean)
    gain = reach / variance[:, None]
    mean = mean + gain * surprise[:, None]
    covariance = covariance - gain[:, :, None] * reach[:, None, :]
    return mean, covariance, -0.5 * (surprise**2 / variance + np.log(variance))


def _scatter_log_likelihood(group: Group) -> Any:
    """Log likelihood of how far the readings of a group lie apart: it speaks of the friction."""
    count = len(group.readings_m)
    if count < 2:
        return 0.0
    squares = float(np.sum((group.readings_m - np.mean(group.readings_m)) ** 2))
    return -0.5 * ((count - 1) * np.log(group.single_m2) + squares / group.single_m2)
