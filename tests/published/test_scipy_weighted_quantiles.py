"""Quantiles after a check against the distributions that the weights stand for, and against NumPy's.

Source: importance sampling, any text on Bayesian statistics: draws of one distribution, weighted by the ratio of
densities, have the quantiles of another. Densities and quantiles by `scipy.stats`, inverted weighted distribution by
`numpy.quantile`.

Confirmed: recomputed here.

Tolerance: what 512 draws can promise, stated at each test.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from setup_rules.inference.posterior import DRAWS, Posterior

EVEN = (np.arange(DRAWS) + 0.5) / DRAWS
SHARES = (0.05, 0.25, 0.5, 0.75, 0.95)


def weighted(values: np.ndarray, weight: np.ndarray) -> Posterior:
    """Return a posterior of draws with weights that add up to 1."""
    return Posterior(values[:, None], weight / weight.sum())


@pytest.mark.parametrize(("mean", "sigma"), [(0.0, 0.5), (0.8, 0.6), (-0.5, 0.8)])
def test_normal_draws_weighted_to_another_normal_have_its_quantiles(mean: float, sigma: float) -> None:
    draws = stats.norm.ppf(EVEN)
    weight = stats.norm.pdf(draws, mean, sigma) / stats.norm.pdf(draws)
    shuffled = np.random.default_rng(1).permutation(DRAWS)
    posterior = weighted(draws[shuffled], weight[shuffled])
    found = posterior.quantiles(draws[shuffled], SHARES)
    assert found == pytest.approx(stats.norm.ppf(SHARES, mean, sigma), abs=0.01 * sigma + 0.005)
    assert posterior.mean(draws[shuffled]) == pytest.approx(mean, abs=0.01)
    assert float(posterior.centre[0]) == pytest.approx(mean, abs=0.01)


def test_even_draws_weighted_to_a_beta_have_its_quantiles() -> None:
    posterior = weighted(EVEN, stats.beta.pdf(EVEN, 2.5, 4.0))
    assert posterior.quantiles(EVEN, SHARES) == pytest.approx(stats.beta.ppf(SHARES, 2.5, 4.0), abs=1e-4)


@pytest.mark.parametrize("seed", range(5))
def test_a_weighted_quantile_lies_within_a_draw_of_numpys_inverted_distribution(seed: int) -> None:
    rng = np.random.default_rng(seed)
    values, weight = rng.normal(70.0, 9.0, DRAWS), rng.gamma(0.5, size=DRAWS)
    posterior = weighted(values, weight)
    ranked = np.sort(values)
    for share, found in zip(SHARES, posterior.quantiles(values, SHARES), strict=True):
        exact = float(np.quantile(values, share, weights=weight, method="inverted_cdf"))
        place = int(np.searchsorted(ranked, exact))
        assert ranked[max(place - 1, 0)] <= found <= ranked[min(place + 1, DRAWS - 1)]
