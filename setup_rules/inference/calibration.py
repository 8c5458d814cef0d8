"""How right the rules were: how often a stated range held, and where checks would move the centre of a class.

A check says by its factor what a class is off: the pressure that was set, over the pressure at which the class would
have shown the sag that was read. Factors of several bikes are averaged as logarithms, each by its own spread; the
average is shrunk towards 1 by how far we believe that a shop's springs may lie from our estimate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

#: How far a shop's springs of one class may lie from our estimate: standard deviation of the logarithm of the pressure
#: (our estimate).
CENTRE_SIGMA: Final = 0.10
#: What all checks of a shop have in common, as they come from one pump and the same hands: standard deviation of the
#: logarithm of the pressure (our estimate).
COMMON_SIGMA: Final = 0.02
#: So many first checks of a class move nothing: they only begin to show how far its bikes spread (our estimate).
IDLE_CHECKS: Final = 5
#: How many checks our estimate of the spread counts as, beside the spread that a shop's own checks show (our estimate).
SPREAD_WEIGHT: Final = 10.0
#: How far one bike's factor lies from its class's, where a file does not say: standard deviation of its logarithm, the
#: middle of what the rules expect of forks and shocks (our estimate).
BIKE_SIGMA: Final = 0.22
#: A check's factor beyond this, either way, counts as this: a slip must not rule (our estimate).
LARGEST_FACTOR: Final = 2.0
#: The bounds within which a shop's checks may move a class (our estimate).
FACTOR_RANGE: Final = (0.75, 1.33)
#: Share of cases that every interval here holds.
_SHARE: Final = 0.9


def held_share_interval(held: int, checks: int) -> tuple[float, float]:
    """Return the confidence interval of the share of checks that a range holds (Clopper–Pearson, 90 %).

    Beta quantiles: B(α/2; k, n − k + 1) and B(1 − α/2; k + 1, n − k), 0 at k = 0 and 1 at k = n

    Parameters
    ----------
    held : int [-]
        k, checks that lay inside their range, 0 to n.
    checks : int [-]
        n, all checks, 1 or more.

    Returns
    -------
    tuple of float [-]
        Low and high, 0 to 1.

    Raises
    ------
    ValueError
        When there are no checks, or more held than there are.

    Examples
    --------
    >>> low, high = held_share_interval(9, 10)
    >>> round(low, 3), round(high, 3)
    (0.606, 0.995)

    References
    ----------
    Clopper and Pearson's exact binomial interval, any text on statistics.
    """
    if not 0 <= held <= checks or checks < 1:
        raise ValueError(f"{held} of {checks} is no share of checks.")
    from scipy.stats import beta

    tail = (1.0 - _SHARE) / 2.0
    low = 0.0 if held == 0 else float(beta.ppf(tail, held, checks - held + 1))
    high = 1.0 if held == checks else float(beta.ppf(1.0 - tail, held + 1, checks - held))
    return low, high


@dataclass(frozen=True, slots=True)
class ClassFactor:
    """What checks say of a class's pressure: the factor as measured with its 90 % interval, and as it is used.

    `used` is shrunk towards 1, `used_sigma` the standard deviation of its logarithm; `checks` are bikes.
    """

    checks: int
    measured: float
    low: float
    high: float
    used: float
    used_sigma: float


def class_factor(factors: Sequence[float], sigmas: Sequence[float]) -> ClassFactor:
    """Return what the factors of several bikes say of their class.

    The first `IDLE_CHECKS` do not count towards what is used: the variance is that of n − 5 bikes.
    """
    count = len(factors)
    mean, variance = average_log(bounded_logs(factors), sigmas)
    half = interval_half(variance, count)
    measured = math.exp(mean), math.exp(mean - half), math.exp(mean + half)
    if count <= IDLE_CHECKS:
        return ClassFactor(count, *measured, used=1.0, used_sigma=CENTRE_SIGMA)
    log_used, sigma = shrink_log(mean, variance * count / (count - IDLE_CHECKS))
    return ClassFactor(count, *measured, used=_inside(math.exp(log_used)), used_sigma=sigma)


def _inside(factor: float) -> float:
    return min(max(factor, FACTOR_RANGE[0]), FACTOR_RANGE[1])


def bounded_logs(factors: Sequence[float]) -> list[float]:
    """Return the logarithms of factors, none beyond the largest that counts.

    ln f between −ln f_max and ln f_max

    Parameters
    ----------
    factors : sequence of float [-]
        Above zero.

    Returns
    -------
    list of float [-]

    Examples
    --------
    >>> bounded_logs([1.0, 8.0])
    [0.0, 0.6931471805599453]

    References
    ----------
    Winsorised values, any text on robust statistics; the bound is our estimate.
    """
    most = math.log(LARGEST_FACTOR)
    return [min(max(math.log(one), -most), most) for one in factors]


def average_log(logs: Sequence[float], sigmas: Sequence[float]) -> tuple[float, float]:
    """Return the average of logarithms and its variance, by the spread expected of each and the spread seen.

    m = Σ wᵢxᵢ/Σ wᵢ with w = 1/σ²; variance (ν + Σ wᵢ(xᵢ − m)²)/(ν + n − 1)/Σ wᵢ + κ², ν = `SPREAD_WEIGHT`, κ =
    `COMMON_SIGMA`: the scale of the spreads is taken from our estimate while checks are few, from the checks
    themselves once they are many; what all checks have in common does not average out

    Parameters
    ----------
    logs : sequence of float [-]
        xᵢ, one a bike, at least one.
    sigmas : sequence of float [-]
        σᵢ, the standard deviation expected of each, above zero.

    Returns
    -------
    tuple of float [-]
        Mean and variance.

    Examples
    --------
    >>> mean, variance = average_log([0.0, 0.2], [0.1, 0.1])
    >>> round(mean, 3), round(variance, 5)
    (0.1, 0.00585)

    References
    ----------
    Weighted mean with a scaled inverse chi-square prior of the variance, any text on Bayesian statistics.
    """
    weight: Any = 1.0 / np.square(np.asarray(sigmas, dtype=float))
    values = np.asarray(logs, dtype=float)
    mean = float(weight @ values / weight.sum())
    seen = float(weight @ (values - mean) ** 2)
    scale = (SPREAD_WEIGHT + seen) / (SPREAD_WEIGHT + len(values) - 1)
    return mean, scale / float(weight.sum()) + COMMON_SIGMA**2


def interval_half(variance: float, checks: int) -> float:
    """Return half of the 90 % interval of an average of logarithms.

    t(0.95; ν + n − 1)·√v

    Parameters
    ----------
    variance : float [-]
        v of the average, as `average_log` gives it.
    checks : int [-]
        n, 1 or more.

    Returns
    -------
    float [-]

    Examples
    --------
    >>> round(interval_half(0.0004, 30), 4)
    0.0337

    References
    ----------
    Student's t distribution, any text on statistics.
    """
    from scipy.stats import t

    return float(t.ppf((1.0 + _SHARE) / 2.0, SPREAD_WEIGHT + checks - 1)) * math.sqrt(variance)


def shrink_log(mean: float, variance: float) -> tuple[float, float]:
    """Return an average of logarithms shrunk towards 0, and its standard deviation.

    m·τ²/(τ² + v) and √(v·τ²/(τ² + v)), τ = `CENTRE_SIGMA`

    Parameters
    ----------
    mean : float [-]
        m, the average.
    variance : float [-]
        v, its variance, above zero.

    Returns
    -------
    tuple of float [-]
        Mean and standard deviation.

    Examples
    --------
    >>> mean, sigma = shrink_log(0.1, 0.01)
    >>> round(mean, 3), round(sigma, 4)
    (0.05, 0.0707)

    References
    ----------
    Normal mean with a normal prior, the conjugate pair of any text on Bayesian statistics.
    """
    own = CENTRE_SIGMA**2
    kept = own / (own + variance)
    return kept * mean, math.sqrt(kept * variance)


def pool_logs(means: Sequence[float], variances: Sequence[float]) -> tuple[float, float]:
    """Return the average of several shops' averages and its variance, with how far shops differ.

    Q = Σ wᵢ(mᵢ − m)², w = 1/v; τ² = max(0, (Q − k + 1)/(Σw − Σw²/Σw)); then weights 1/(v + τ²)

    Parameters
    ----------
    means : sequence of float [-]
        One a shop, at least one.
    variances : sequence of float [-]
        Of each, above zero.

    Returns
    -------
    tuple of float [-]
        Mean and variance.

    Examples
    --------
    >>> mean, variance = pool_logs([0.0, 0.2], [0.01, 0.01])
    >>> round(mean, 3), round(variance, 4)
    (0.1, 0.01)

    References
    ----------
    DerSimonian and Laird's random effects, any text on meta-analysis (formula remembered).
    """
    values, own = np.asarray(means, dtype=float), np.asarray(variances, dtype=float)
    weight = 1.0 / own
    middle = float(weight @ values / weight.sum())
    apart = float(weight @ (values - middle) ** 2) - (len(values) - 1)
    room = float(weight.sum() - (weight @ weight) / weight.sum())
    between = max(0.0, apart / room) if room > 0.0 else 0.0
    weight = 1.0 / (own + between)
    return float(weight @ values / weight.sum()), 1.0 / float(weight.sum())
