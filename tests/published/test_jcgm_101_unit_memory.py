"""What specimens of one fork teach of the next one, against draws that are added and weighed one by one.

Source: JCGM 101:2008 (propagation of distributions by Monte Carlo) and Bayes' theorem, any text; JCGM 101 was
remembered, not opened. Each specimen's knowledge is drawn as 400,000 forks, another specimen's scatter is taken off
each, which gives draws of the model; the draws of one specimen are weighed by SciPy's normal densities of the others,
and a new specimen's scatter is added to each draw. Nothing is inverted or multiplied in information form here.

Confirmed: drawn and weighed here, the spreads of specimens typed here.

Tolerance: means within 0.03 of their standard deviations and standard deviations within 2 %, three times the scatter
of so many weighed draws; correlations within 0.02.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from setup_rules import SpringMemory, memory_of_unit

DRAWS = 400_000
SCATTER = np.diag((0.03, 0.02, 0.20)) ** 2

#: Mean and covariance of (level, slope, friction), as riders of one specimen each taught them.
FIRST = (np.array([0.10, -0.01, 0.15]), np.array([[25e-4, -3e-4, 2e-3], [-3e-4, 9e-4, 0.0], [2e-3, 0.0, 0.04]]))
SECOND = (np.array([0.05, 0.02, -0.10]), np.array([[16e-4, 2e-4, -1e-3], [2e-4, 16e-4, 1e-3], [-1e-3, 1e-3, 0.06]]))
THIRD = (np.array([0.12, 0.00, 0.05]), np.array([[4e-4, 0.0, 0.0], [0.0, 6e-4, 0.0], [0.0, 0.0, 0.03]]))


def memory(mean: np.ndarray, covariance: np.ndarray) -> SpringMemory:
    """Return a mean and covariance as a memory."""
    precision = np.linalg.inv(covariance)
    lower = tuple(float(precision[row, column]) for row in range(3) for column in range(row + 1))
    return SpringMemory(riders=2, shift=tuple(map(float, precision @ mean)), precision=lower)


def normal_of(found: SpringMemory) -> tuple[np.ndarray, np.ndarray]:
    """Return the mean and covariance that a memory stands for."""
    precision = np.zeros((3, 3))
    precision[np.tril_indices(3)] = found.precision
    covariance = np.linalg.inv(precision + np.tril(precision, -1).T)
    return covariance @ np.array(found.shift), covariance


def next_specimen(specimens: list[tuple[np.ndarray, np.ndarray]]) -> tuple[np.ndarray, np.ndarray]:
    """Return mean and covariance of a new specimen by draws."""
    rng = np.random.default_rng(5)
    models = [
        rng.multivariate_normal(*one, DRAWS) - rng.multivariate_normal(np.zeros(3), SCATTER, DRAWS) for one in specimens
    ]
    weight = np.ones(DRAWS)
    for others in models[1:]:
        weight *= multivariate_normal(others.mean(axis=0), np.cov(others.T)).pdf(models[0])
    drawn = models[0] + rng.multivariate_normal(np.zeros(3), SCATTER, DRAWS)
    return np.average(drawn, axis=0, weights=weight), np.cov(drawn.T, aweights=weight)


@pytest.mark.parametrize("specimens", [[FIRST], [FIRST, SECOND], [FIRST, SECOND, THIRD]], ids=["one", "two", "three"])
def test_the_next_specimen_is_known_as_draws_say(specimens: list[tuple[np.ndarray, np.ndarray]]) -> None:
    found = memory_of_unit([memory(*one) for one in specimens])
    assert found is not None
    assert found.riders == 2 * len(specimens)
    mean, covariance = normal_of(found)
    expected_mean, expected = next_specimen(specimens)
    spread, expected_spread = np.sqrt(np.diag(covariance)), np.sqrt(np.diag(expected))
    assert np.abs(mean - expected_mean) / expected_spread == pytest.approx(np.zeros(3), abs=0.03)
    assert spread == pytest.approx(expected_spread, rel=0.02)
    together = covariance / np.outer(spread, spread)
    assert together == pytest.approx(expected / np.outer(expected_spread, expected_spread), abs=0.02)


def test_however_many_taught_the_next_specimen_may_differ() -> None:
    found = memory_of_unit([memory(*THIRD)] * 10_000)
    assert found is not None
    mean, covariance = normal_of(found)
    assert mean == pytest.approx(THIRD[0], abs=1e-3)
    assert np.sqrt(np.diag(covariance)) == pytest.approx([0.03, 0.02, 0.20], rel=0.01)


def test_what_nobody_measured_stays_open() -> None:
    level_only = SpringMemory(riders=1, shift=(40.0, 0.0, 0.0), precision=(400.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    found = memory_of_unit([level_only])
    assert found is not None
    # A variance of 1/400 is made wider by one specimen's on the way to the model, and by one on the way back.
    assert 1.0 / found.precision[0] == pytest.approx(1 / 400 + 2 * 0.03**2, rel=1e-3)
    assert found.precision[1:] == (0.0,) * 5
