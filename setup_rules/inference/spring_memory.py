"""What earlier riders of a bike taught of its spring, kept without them: a Gaussian factor on its differences.

A drawn spring z differs from the typical one of its class by d(z): in the logarithm of the pressure that it needs for
reference riders (level), in how much more a heavy one needs than a light one (slope), and in its friction. The checks
of one rider, whose front share, stance and habit are integrated out, weigh the drawn springs; what this adds is kept
as the Gaussian factor with the same mean and covariance of d ("moment matching"): a lesson. Lessons add up:

    log w(z) = Σ (η·d − d·Λ·d/2),   Λ = S⁻¹ − S₀⁻¹,   η = S⁻¹·m − S₀⁻¹·m₀

with mean m and covariance S after, m₀ and S₀ before. So a rider's lesson can be taken out again and put back changed,
which is what a further or a struck check does, and forgetting is one factor on both. Since d is a difference from the
typical spring, it goes with the bike to another travel or other volume spacers. The relations: information form of a
Gaussian, expectation propagation.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from typing import Any, Final

import numpy as np

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.measured import Measured, posterior_after
from setup_rules.inference.posterior import DRAWS, central_row
from setup_rules.inference.size_class import COLUMN
from setup_rules.inference.start_setting import held_of
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.spring_memory import DIFFERENCES, SpringEvent, SpringMemory

#: Reference riders [kg] and sag [share of travel] by which springs are compared; any would do, within what is ridden.
REFERENCE_RIDERS_KG: Final = (55.0, 75.0, 95.0)
REFERENCE_SAG: Final = {"front": 0.22, "rear": 0.29}
#: Pressures below this are compared as this [Pa, gauge]: logarithms of next to nothing rule everything.
_LEAST_PA: Final = 20_000.0
#: Digits of what is kept.
_DIGITS: Final = 4
#: A rider's lesson is kept on a grid of this ratio, and its numbers below this share of the largest are left out: what
#: hides a weight and costs no accuracy, tried on the population.
_COARSE: Final = 1.5
_LEAST_SHARE: Final = 1e-3
#: So many ends' differences are kept in memory, 12 kB each.
_MOST_CACHED: Final = 64
_LOWER: Final = np.tril_indices(len(DIFFERENCES))


def keep_after(memory: SpringMemory, event: SpringEvent) -> SpringMemory:
    """Return what a memory still says after something happened to its spring; some things end it."""
    share = c.MEMORY_KEPT[event].value
    return keep_share(memory, share) if share else SpringMemory.nothing()


def keep_share(memory: SpringMemory, share: float) -> SpringMemory:
    """Return a memory that says less: both parts of its factor times `share`, 0 to 1."""
    return _rounded(memory.riders, share * np.array(memory.shift), share * _matrix(memory))


def add_lesson(memory: SpringMemory, lesson: SpringMemory, share: float = 1.0) -> SpringMemory:
    """Return a memory with `share` of a lesson added; with a share below zero it is taken out again."""
    riders = max(0, memory.riders + (lesson.riders if share > 0 else -lesson.riders))
    shift = np.array(memory.shift) + share * np.array(lesson.shift)
    return _rounded(riders, shift, _matrix(memory) + share * _matrix(lesson))


def memory_log_weight(memory: SpringMemory | None, model: EndModel) -> Any:
    """Return what a memory says of every drawn spring of an end, up to a constant; zeros without one.

    log w = η·d − d·Λ·d/2

    Parameters
    ----------
    memory : SpringMemory or None
        η and Λ, as the sum of lessons.
    model : EndModel
        The end whose drawn springs are weighed.

    Returns
    -------
    array [-]
        One a draw.

    Examples
    --------
    >>> from setup_rules.types.request import FrontEnd, SetupRequest
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> stiff = SpringMemory(riders=3, shift=(20.0, 0.0, 0.0), precision=(200.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    >>> memory_log_weight(stiff, model).shape, float(memory_log_weight(None, model).max())
    ((512,), 0.0)

    References
    ----------
    Information form of a Gaussian, any text on Bayesian statistics.
    """
    if memory is None:
        return np.zeros(DRAWS)
    d = differences(model)
    return d @ np.array(memory.shift) - 0.5 * np.einsum("ni,ij,nj->n", d, _matrix(memory), d)


def lesson_between(model: EndModel, before: Any, after: Any) -> SpringMemory:
    """Return as one rider's lesson what took the weights of the drawn springs from `before` to `after`.

    Its numbers lie on a coarse grid, so that neither the rider's weight nor the reading can be solved for.
    """
    d = differences(model)
    (mean_0, spread_0), (mean, spread) = _moments(d, before), _moments(d, after)
    lower = np.linalg.cholesky(spread_0)
    # Seen in units of what was known before, a check may only add: what sampling takes away is left out.
    gained = lower.T @ np.linalg.inv(spread) @ lower - np.eye(len(lower))
    size, way = np.linalg.eigh(gained)
    root = (way * np.sqrt(np.maximum(size, 0.0))) @ way.T @ np.linalg.inv(lower)
    # Rounded by its root, a precision stays one.
    root = _coarse(np.linalg.qr(root, mode="r"))
    precision = root.T @ root
    known = np.linalg.inv(spread_0)
    return _rounded(1, _coarse((known + precision) @ mean - known @ mean_0), precision)


def _coarse(values: Any) -> Any:
    """Return numbers on a grid of equal ratios, the small ones beside the largest of their kind left out."""
    size, step = np.abs(values), np.log(_COARSE)
    least = _LEAST_SHARE * np.max(size)
    told = size > least
    on_grid = np.exp(step * np.round(np.log(np.where(told, size, 1.0)) / step))
    return np.where(told, np.sign(values) * on_grid, 0.0)


def typical_factor(memory: SpringMemory, model: EndModel) -> float:
    """Return how much more pressure a remembered spring needs than one of which nothing is known, as a factor.

    exp(E_w[level] − E[level])

    Parameters
    ----------
    memory : SpringMemory
        What the bike remembers.
    model : EndModel
        The end that it remembers.

    Returns
    -------
    float [-]
        1 where it is typical.

    Examples
    --------
    >>> from setup_rules.types.request import FrontEnd, SetupRequest
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> stiff = SpringMemory(riders=3, shift=(20.0, 0.0, 0.0), precision=(200.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    >>> typical_factor(stiff, model) > 1.0
    True

    References
    ----------
    Weighted mean of a sample; geometric mean of the reference riders' pressures.
    """
    log_weight, level = memory_log_weight(memory, model), differences(model)[:, 0]
    weight = np.exp(log_weight - log_weight.max())
    return float(np.exp(weight @ level / weight.sum() - level.mean()))


def differences(model: EndModel) -> Any:
    """Return how every drawn spring of an end differs from its typical one.

    level: mean of ln(p/p_typical) over the reference riders; slope: that of the heaviest less that of the lightest;
    friction: as a share of its spread, less a half

    Parameters
    ----------
    model : EndModel
        The end with its bike; rider, target, datum and chart play no part.

    Returns
    -------
    array [-]
        Shape (draws, 3), in the order of `DIFFERENCES`.

    Examples
    --------
    >>> from setup_rules.types.request import FrontEnd, SetupRequest
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> differences(model).shape
    (512, 3)

    References
    ----------
    Force balance of the spring; `REFERENCE_RIDERS_KG` and `REFERENCE_SAG` are ours.
    """
    no_rider: Any = {"chart": None, "memory": None, "unit_memory": None, "sag_target_percent": None}
    end = replace(model.end, datum="bike_at_rest", **no_rider)
    return _differences(end, model.request.bike_mass_kg, Measured.of(model))


@lru_cache(maxsize=_MOST_CACHED)
def _differences(end: FrontEnd | RearEnd, bike_mass_kg: float, measured: Measured | None) -> Any:
    z = posterior_after(measured).z.copy()
    z[:, COLUMN["share"]] = 0.0
    logs = _log_pressures(end, bike_mass_kg, np.vstack((z, central_row())))
    of_z, typical = logs[:, :-1], logs[:, -1:]
    level = np.mean(of_z - typical, axis=0)
    slope = (of_z[-1] - typical[-1]) - (of_z[0] - typical[0])
    found = np.stack((level, slope, z[:, COLUMN["friction"]] - 0.5), axis=-1)
    found.setflags(write=False)
    return found


def _log_pressures(end: FrontEnd | RearEnd, bike_mass_kg: float, z: Any) -> Any:
    """Return the logarithm of the pressure that each spring needs at the reference sag, a row a reference rider."""
    rows, anywhere = [], Conditions()
    for rider_kg in REFERENCE_RIDERS_KG:
        request = SetupRequest(rider_mass_kg=rider_kg, kit_mass_kg=0.0, bike_mass_kg=bike_mass_kg, riding_style="trail")
        name = "front" if isinstance(end, FrontEnd) else "rear"
        model = EndModel("front" if name == "front" else "rear", end, request)
        acting = held_of(model, z).acting_for(REFERENCE_SAG[name] * model.travel_m, model.setting.site(anywhere))
        rows.append(np.log(np.maximum(model.setting.bench_value(acting, anywhere), _LEAST_PA)))
    return np.array(rows)


def _moments(d: Any, weight: Any) -> tuple[Any, Any]:
    mean = weight @ d
    off = d - mean
    return mean, (off.T * weight) @ off


def memory_parts(memory: SpringMemory) -> tuple[Any, Any]:
    """Return η, three numbers, and Λ, a symmetric matrix, of a memory."""
    return np.array(memory.shift), _matrix(memory)


def memory_from(riders: int, shift: Any, precision: Any) -> SpringMemory:
    """Return the memory of so many riders with η and Λ, rounded as every memory is."""
    return _rounded(riders, shift, precision)


def _matrix(memory: SpringMemory) -> Any:
    lower = np.zeros((len(DIFFERENCES), len(DIFFERENCES)))
    lower[_LOWER] = memory.precision
    return lower + np.tril(lower, -1).T


def _rounded(riders: int, shift: Iterable[float], precision: Any) -> SpringMemory:
    return SpringMemory(
        riders=riders,
        shift=tuple(_round(one) for one in shift),
        precision=tuple(_round(one) for one in precision[_LOWER]),
    )


def _round(value: float) -> float:
    return float(f"{value:.{_DIGITS - 1}e}") + 0.0
