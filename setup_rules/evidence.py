"""From sag readings to what they say of a spring end: likelihood, most likely point, weighted set.

A reading is the settled sag of the spring, moved by stick friction either way, by reading error and by rounding.
Readings of one check share part of the friction (the spring tends to stop on the same side) and each has its own
part. Readings *from above* stop short by most of the friction, *from below* long by as much; one of each brackets
it, which is why a check with both says far more than three readings of neither.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np

from setup_rules.atmosphere import ambient_pressure_pa
from setup_rules.belief import Belief, EndModel, even_normals
from setup_rules.constants import READING_SIGMA_MM
from setup_rules.request import Conditions
from setup_rules.result import SagCheck, TakenCheck
from setup_rules.size_class import UNKNOWNS

#: Share of the friction's variance that the readings of one check have in common (our estimate).
COMMON_SHARE: Final = 0.3
#: A one-sided reading stops at this share of the friction (mean, standard deviation; our estimate).
ONE_SIDED: Final = (0.9, 0.12)
#: Gauge and pump: standard deviation of a set pressure as read, as a share (our estimate).
GAUGE_SIGMA: Final = 0.006
#: How far beyond the likely point the drawn set reaches, in its own standard deviations.
_REACH: Final = 1.25
_STEPS: Final = 6


@dataclass(frozen=True, slots=True)
class Evidence:
    """One sag check made ready: its end model, surroundings, absolute set pressure and groups of readings [m].

    `side` of a group is −1 from above, +1 from below, 0 either.
    """

    model: EndModel
    conditions: Conditions
    set_abs_pa: float
    groups: tuple[tuple[int, Any], ...]
    reading_sigma_m: float = field(default=0.001)

    @property
    def middle_m(self) -> float:
        """Mean reading [m], sides balanced where both were taken."""
        sides = {side: float(np.mean(values)) for side, values in self.groups}
        if -1 in sides and 1 in sides:
            return 0.5 * (sides[-1] + sides[1])
        return float(np.mean(list(sides.values())))

    def sag_and_slack_m(self, z: Any) -> tuple[Any, Any]:
        """Return (settled sag without friction [m], displacement by the whole friction [m]) for drawn unknowns."""
        springs, load = self.model.springs(z), self.model.load_n(z)
        site, leverage = self.model.site(self.conditions), self.model.leverage
        sag = springs.sag_m(self.set_abs_pa, load, site, leverage, self.middle_m)
        slope = springs.rate_n_per_m(sag, self.set_abs_pa, site) - load * leverage.slope_at(sag)
        return sag, self.model.friction_n(z) / np.maximum(slope, 1.0)

    def group_terms(self, z: Any) -> list[tuple[Any, Any, Any, int]]:
        """Return for each group (residual of the mean [m], its variance [m²], single variance [m²], count)."""
        sag, slack = self.sag_and_slack_m(z)
        gauge_m2 = (GAUGE_SIGMA * self.middle_m) ** 2
        terms = []
        for side, values in self.groups:
            count = len(values)
            if side:
                shared, own = (ONE_SIDED[1] * slack) ** 2, 0.0
            else:
                shared, own = COMMON_SHARE * slack**2 / 3.0, (1.0 - COMMON_SHARE) * slack**2 / 3.0
            single = self.reading_sigma_m**2 + own
            expected = sag + side * ONE_SIDED[0] * slack
            terms.append(
                (float(np.mean(values)) - expected, single / count + shared + gauge_m2, single, count)
            )
        return terms


def evidence_from(taken: TakenCheck, model: EndModel) -> Evidence:
    """Make a taken check ready, translated by the request that was in force when it was taken."""
    check = taken.check
    bench = model.request.bench
    conditions = Conditions(
        temperature_c=bench.temperature_c if check.temperature_c is None else check.temperature_c,
        altitude_m=bench.altitude_m if check.altitude_m is None else check.altitude_m,
    )
    set_abs_pa = check.pressure_pa + ambient_pressure_pa(conditions.altitude_m)
    named = ((0, check.readings_mm), (-1, check.readings_from_above_mm), (1, check.readings_from_below_mm))
    sigma_mm = math.hypot(READING_SIGMA_MM[check.end].value, rounding_mm(check) / math.sqrt(12.0))
    groups = tuple((side, _without_slips(np.array(mm) / 1000, sigma_mm / 1000)) for side, mm in named if mm)
    return Evidence(model, conditions, set_abs_pa, groups, sigma_mm / 1000)


def rounding_mm(check: SagCheck) -> float:
    """Return the step [mm] to which the readings of a check seem rounded: 1, 0.5 or 0.1."""
    values = [*check.readings_mm, *check.readings_from_above_mm, *check.readings_from_below_mm]
    for step in (1.0, 0.5):
        if all(abs(v / step - round(v / step)) < 1e-6 for v in values):
            return step
    return 0.1


def _without_slips(values_m: Any, sigma_m: float) -> Any:
    """Pull a reading that lies far off the others' middle towards it: a slipped O-ring counts as a doubtful reading."""
    if len(values_m) < 3:
        return values_m
    middle = float(np.median(values_m))
    return np.clip(values_m, middle - 3.5 * sigma_m, middle + 3.5 * sigma_m)


def learned_belief(evidence: tuple[Evidence, ...]) -> Belief:
    """Return what is believed of an end after its checks: a weighted set drawn about the most likely point."""
    centre, spread = _likely_point(evidence)
    rows = even_normals()
    z = centre + _REACH * rows @ spread.T
    log_weight = 0.5 * np.sum(rows**2, axis=1) - 0.5 * np.sum(z**2, axis=1)
    for one in evidence:
        log_weight = log_weight + _log_likelihood(one, z)
    weight = np.exp(log_weight - np.max(log_weight))
    return Belief(z, weight / np.sum(weight))


def _log_likelihood(evidence: Evidence, z: Any) -> Any:
    total = 0.0
    for (_, values), (miss, variance, single, count) in zip(
        evidence.groups, evidence.group_terms(z), strict=True
    ):
        total = total - 0.5 * (miss**2 / variance + np.log(variance))
        if count > 1:
            scatter = float(np.sum((values - np.mean(values)) ** 2))
            total = total - 0.5 * ((count - 1) * np.log(single) + scatter / single)
    return total


def _likely_point(evidence: tuple[Evidence, ...]) -> tuple[Any, Any]:
    """Return the most likely unknowns and a square root of their covariance, by damped Gauss-Newton steps."""
    width = len(UNKNOWNS)
    z = np.zeros(width)
    nudged = 1e-3 * np.vstack([np.zeros(width), np.eye(width)])
    for _ in range(_STEPS):
        residual, slope = _residuals(evidence, z + nudged)
        hessian = np.eye(width) + slope.T @ slope
        step = np.linalg.solve(hessian, -(z + slope.T @ residual))
        z = z + step * min(1.0, 2.0 / max(1e-9, float(np.max(np.abs(step)))))
        if float(np.max(np.abs(step))) < 1e-3:
            break
    _, slope = _residuals(evidence, z + nudged)
    return z, np.linalg.cholesky(np.linalg.inv(np.eye(width) + slope.T @ slope))


def _residuals(evidence: tuple[Evidence, ...], rows: Any) -> tuple[Any, Any]:
    """Return scaled residuals at the first row and their slopes along each unknown (rows nudged by 1e-3)."""
    columns = []
    for one in evidence:
        for miss, variance, _, _ in one.group_terms(rows):
            columns.append(miss / np.sqrt(variance[0] if np.ndim(variance) else variance))
    stacked = np.array(columns)
    return stacked[:, 0], (stacked[:, 1:] - stacked[:, :1]) / 1e-3
