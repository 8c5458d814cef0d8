"""What the first sag check of a setup says of the guess that it checked: whether its range held, and by how much."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from setup_rules.inference.calibration import LARGEST_FACTOR
from setup_rules.inference.class_shift import class_log_weight, is_class_alone, spring_class, without_shop_checks
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Expected, Learned, SagLikelihood, expect, learn, sag_likelihood
from setup_rules.inference.posterior import central_row
from setup_rules.inference.pressure_chart import chart_likelihoods
from setup_rules.inference.sag_target import sag_target_percent
from setup_rules.inference.start_setting import DrawnEnd, held_of, wanted_setting
from setup_rules.types.request import EndName
from setup_rules.types.result import TakenCheck
from setup_rules.types.units import PSI_PA

#: Half of a 90 % range, in standard deviations of a normal distribution.
_HALF: Final = 1.6448536
#: Readings are taken to lie between these shares of the travel: beyond, a pressure says nothing [least, most].
_READ: Final = (0.02, 0.9)
#: The spread of a check's factor is never believed to be less than this.
_LEAST_SIGMA: Final = 0.02
#: Where the search for a sag begins, as a share of the travel.
_START: Final = 0.25
#: Share of the sag by which a slope is taken to either side.
_STEP: Final = 0.1
_MOST_KEPT: Final = 2048


@dataclass(frozen=True, slots=True)
class CheckedGuess:
    """One first check, against what was expected of it.

    `held` is whether the reading lay in the 90 % range expected at the pressure that was set; `correction` the pressure
    found after the check over the first guess; `factor` what the class is off by this check, with the standard
    deviation of its logarithm. `of_class` is false where internals or a chart were entered: it then says nothing of
    the class.
    """

    end: EndName
    spring_class: str
    of_class: bool
    held: bool
    correction: float
    factor: float
    factor_sigma: float


@lru_cache(maxsize=_MOST_KEPT)
def judge_guess(taken: TakenCheck) -> CheckedGuess | None:
    """Return what a setup's first check says of its guess, None where its request has no such end, or a coil there."""
    name = taken.check.end
    end = taken.request.front if name == "front" else taken.request.rear
    if end is None or end.spring == "coil":
        return None
    model = EndModel(name, end, taken.request).as_checked(taken.check)
    check = sag_likelihood(taken, model)
    before, stated = _learned(model), _expected(model, check)
    plain = EndModel(name, without_shop_checks(end), taken.request)
    typical = stated if plain.end is end else _expected(plain, check)
    factor, sigma = _class_factor(plain, check, typical)
    return CheckedGuess(
        end=name,
        spring_class=spring_class(end),
        of_class=is_class_alone(end),
        held=abs(stated.surprise) <= _HALF,
        correction=_correction(model, before, check),
        factor=factor,
        factor_sigma=sigma,
    )


def _learned(model: EndModel) -> Learned:
    return learn(chart_likelihoods(model), model, class_log_weight(model))


def _expected(model: EndModel, check: SagLikelihood) -> Expected:
    return expect(_learned(model), replace(check, model=model))


def _reading_m(check: SagLikelihood) -> float:
    return sum(float(np.median(readings)) for _, readings in check.groups) / len(check.groups)


def _correction(model: EndModel, before: Learned, check: SagLikelihood) -> float:
    """Return the pressure that the target sag needs after the check, over the first guess."""
    percent = model.end.sag_target_percent or sag_target_percent(model.request.riding_style, model.name)
    after = learn((*chart_likelihoods(model), check), model, class_log_weight(model))
    target_m = percent / 100 * model.travel_m
    needed, guessed = (wanted_setting(DrawnEnd.of(model, one.posterior), target_m).middle for one in (after, before))
    return max(needed, PSI_PA) / max(guessed, PSI_PA)


def _class_factor(model: EndModel, check: SagLikelihood, typical: Expected) -> tuple[float, float]:
    """Return the pressure set over that at which the class shows the reading, and the spread of its logarithm.

    The reading leans by where it is taken: one from above or below is carried to the middle as it is expected.
    """
    read_m = _within(model, _reading_m(check) + _middle_m(model, check) - typical.reading_m)
    posterior = Learned.nothing().posterior
    at_read = posterior.quantiles(_log_pressures(model, posterior.z, check, read_m), (0.5,))[0]
    set_pa = float(model.setting.bench_value(check.acting, check.conditions))
    factor = max(set_pa, PSI_PA) / math.exp(at_read)
    sigma = typical.sigma_m * _log_slope(model, check, _within(model, typical.reading_m))
    return min(max(factor, 1.0 / LARGEST_FACTOR), LARGEST_FACTOR), max(sigma, _LEAST_SIGMA)


def _middle_m(model: EndModel, check: SagLikelihood) -> float:
    """Return the sag without friction that the class shows at the pressure that was set: median over the draws [m]."""
    posterior = Learned.nothing().posterior
    held = held_of(model, posterior.z, check.datum)
    gaps = held.gap_m(check.acting, model.setting.site(check.conditions), _START * model.travel_m)
    return posterior.quantiles(gaps, (0.5,))[0]


def _log_slope(model: EndModel, check: SagLikelihood, sag_m: float) -> float:
    """Return by how much ln of the class's pressure falls with the sag [1/m], where the class is expected to sag.

    Not where it was read: a bike that sags much would then count for more than one that sags little.
    """
    centre, step = central_row()[None, :], _STEP * sag_m
    less, more = (float(_log_pressures(model, centre, check, sag_m + side * step)[0]) for side in (-1.0, 1.0))
    return (less - more) / (2.0 * step)


def _log_pressures(model: EndModel, z: object, check: SagLikelihood, sag_m: float) -> np.ndarray:
    site = model.setting.site(check.conditions)
    acting = held_of(model, z, check.datum).acting_for(sag_m, site)
    logs: np.ndarray = np.log(np.maximum(model.setting.bench_value(acting, check.conditions), PSI_PA))
    return logs


def _within(model: EndModel, sag_m: float) -> float:
    return min(max(sag_m, _READ[0] * model.travel_m), _READ[1] * model.travel_m)
