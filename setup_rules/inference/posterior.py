"""What is known of a spring end: a weighted set of drawn springs and loads, and what follows from it.

Without sag checks the set is a fixed low-discrepancy sample of `size_class.UNKNOWNS`, all of one weight;
`setup_rules.inference.likelihood` says what sag checks make of it.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any, Final

import numpy as np

from setup_rules.inference.size_class import LOAD_UNKNOWNS, SPRING_UNKNOWNS, UNKNOWNS

DRAWS: Final = 512
#: How often the drawn columns are freed of correlation and stratified again: each undoes a little of the other.
_ROUNDS: Final = 4
#: Low and high of every band: 90 % of cases lie between.
BAND: Final = (0.05, 0.95)


@dataclass(frozen=True, slots=True)
class Posterior:
    """Drawn unknowns of one spring end, shape (draws, unknowns), and their weights, which add up to 1."""

    z: Any
    weight: Any

    @property
    def centre(self) -> Any:
        """The weighted mean of the unknowns, shape (unknowns,)."""
        return self.weight @ self.z

    def quantiles(self, values: Any, shares: tuple[float, ...]) -> tuple[float, ...]:
        """Return the values below which the given shares of the weight lie.

        Half of each draw's weight counts as below its own value; linear between draws

        Parameters
        ----------
        values : array [any]
            One a draw.
        shares : tuple of float [-]
            0 to 1 each.

        Returns
        -------
        tuple of float [as values]
            One a share.

        Examples
        --------
        >>> Posterior(np.zeros((4, 1)), np.full(4, 0.25)).quantiles(np.array([3.0, 1.0, 2.0, 4.0]), (0.5,))
        (2.5,)

        References
        ----------
        Weighted quantile; with equal weights Hazen's plotting position.
        """
        order = np.argsort(values)
        ranked, weight = values[order], self.weight[order]
        reached = np.cumsum(weight) - 0.5 * weight
        return tuple(float(v) for v in np.interp(shares, reached, ranked))

    def mean(self, values: Any) -> float:
        """Return the weighted mean of values.

        Σ wᵢ·vᵢ

        Parameters
        ----------
        values : array [any]
            One a draw.

        Returns
        -------
        float [as values]

        Examples
        --------
        >>> Posterior(np.zeros((2, 1)), np.array([0.25, 0.75])).mean(np.array([0.0, 4.0]))
        3.0

        References
        ----------
        Importance sampling, any text on Bayesian statistics.
        """
        return float(self.weight @ values)


@functools.cache
def low_discrepancy_sample() -> Any:
    """Return `DRAWS` evenly filled rows of unknowns: a fixed sample, so that a request always has the same answer.

    An additive recurrence on the generalised golden ratio (remembered), mirrored about the middle
    freed of correlation between the columns, each column stratified; load
    unknowns standard normal, spring unknowns uniform in 0…1.
    """
    # scipy.stats.qmc has Sobol, Halton and Latin hypercube samples, but no additive recurrence: each is another sample,
    # and with it every answer ever given would move. Its own discrepancy measure is asked in tests/published.
    width, half = len(UNKNOWNS), DRAWS // 2
    golden = 2.0
    for _ in range(40):
        golden = (1.0 + golden) ** (1.0 / (width + 1))
    steps = np.array([golden ** -(k + 1) for k in range(width)])
    uniform = np.clip((0.5 + np.outer(np.arange(1, half + 1), steps)) % 1.0, 1e-6, 1 - 1e-6)
    normal = NormalDist()
    upper = np.array([[normal.inv_cdf(float(u)) for u in row] for row in uniform])
    rows = np.concatenate([upper, -upper])
    exact = np.array([normal.inv_cdf((place + 0.5) / DRAWS) for place in range(DRAWS)])
    for _ in range(_ROUNDS):
        rows = np.linalg.solve(np.linalg.cholesky(rows.T @ rows / len(rows)), rows.T).T
        # Each column then takes the quantiles of its distribution in the order that it has: no tail is left thin.
        rows = exact[np.argsort(np.argsort(rows, axis=0), axis=0)]
    loads = len(LOAD_UNKNOWNS)
    rows[:, loads:] = [[normal.cdf(float(z)) for z in row] for row in rows[:, loads:]]
    rows.setflags(write=False)
    return rows


@functools.cache
def spare_sample() -> Any:
    """Return `DRAWS` rows of further standard normal numbers, free of correlation with `low_discrepancy_sample`.

    Halton's sequence in primes that the other does not know (remembered), each column stratified.
    """
    # What pushes are given: an error for each of eight, one for friction, one for the air, one for the masses.
    from scipy.special import ndtri

    places = np.arange(1, DRAWS + 1)
    columns = np.stack([_radical_inverse(places, prime) for prime in _PRIMES], axis=-1)
    rows = ndtri(np.clip(columns, 1e-6, 1 - 1e-6))
    drawn = low_discrepancy_sample().copy()
    loads = len(LOAD_UNKNOWNS)
    drawn[:, loads:] = ndtri(drawn[:, loads:])
    exact = ndtri((np.arange(DRAWS) + 0.5) / DRAWS)
    for _ in range(_ROUNDS):
        rows = rows - drawn @ np.linalg.lstsq(drawn, rows, rcond=None)[0]
        rows = np.linalg.solve(np.linalg.cholesky(rows.T @ rows / len(rows)), rows.T).T
        rows = exact[np.argsort(np.argsort(rows, axis=0), axis=0)]
    rows.setflags(write=False)
    return rows


#: One a column of `spare_sample`.
_PRIMES: Final = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31)


def _radical_inverse(places: Any, base: int) -> Any:
    left, share, value = places.copy(), 1.0 / base, np.zeros(len(places))
    while np.any(left):
        value, left, share = value + share * (left % base), left // base, share / base
    return value


def central_row() -> Any:
    """Return the row of unknowns in which everything has its central value."""
    return np.array([0.0] * len(LOAD_UNKNOWNS) + [0.5] * len(SPRING_UNKNOWNS))


@functools.cache
def prior() -> Posterior:
    """Return what is known before any sag check: the stated spreads."""
    return Posterior(low_discrepancy_sample(), np.full(DRAWS, 1.0 / DRAWS))
