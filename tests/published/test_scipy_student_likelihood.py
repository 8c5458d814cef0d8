"""The weight that readings give a drawn spring, against SciPy's Student distribution, a Kalman step and a random walk.

Source: Student's t density, `scipy.stats.t`; the linear Gaussian update of any text on state estimation, written here
with NumPy's own solver; the variance of a random walk by 200,000 walks drawn here, and what two readings of each walk
say of the rider at its end by NumPy's least squares.

Confirmed: recomputed here with SciPy and NumPy.

Tolerance: floating point; of the walks 2 %, six standard errors of a sample variance, and 0.5 % of a slope, more than
six standard errors of one fitted to them.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from setup_rules.inference.likelihood import Group, Rider, fit_rider, with_drift

#: Our estimates: a rider's settling habit, degrees of freedom of a reading's error, least weight of a reading.
HABIT_SIGMA, STUDENT, LEAST_WEIGHT = 0.45, 4.0, 0.02
#: Our estimates: what a rider's load and habit gain in variance from one check to the next.
DRIFT = (0.02, 0.01)


def group(reading: float, expected: float, per_state: tuple[float, float], variance: float) -> Group:
    """Return one group of one reading against one drawn spring."""
    return Group(
        reading,
        np.array([expected]),
        np.array([per_state]),
        np.array([variance]),
        np.array([variance]),
        np.array([reading]),
    )


@pytest.mark.parametrize("miss_mm", [0.0, 1.0, 3.0, 12.0, 60.0])
def test_a_draws_weight_is_the_student_density_of_its_miss(miss_mm: float) -> None:
    slope, variance = (0.004, 0.003), 0.0015**2
    spread = slope[0] ** 2 + (HABIT_SIGMA * slope[1]) ** 2 + variance
    _, gained = fit_rider(Rider.unknown(1), group(0.030 + miss_mm / 1000, 0.030, slope, variance))
    _, exact = fit_rider(Rider.unknown(1), group(0.030, 0.030, slope, variance))
    density = stats.t(df=STUDENT, scale=np.sqrt(spread))
    assert gained[0] - exact[0] == pytest.approx(density.logpdf(miss_mm / 1000) - density.logpdf(0.0), abs=1e-9)


@pytest.mark.parametrize("miss_mm", [0.5, 4.0, 60.0])
def test_the_rider_is_updated_by_the_reading_at_its_student_weight(miss_mm: float) -> None:
    slope, variance = np.array([0.004, 0.003]), 0.0015**2
    prior = np.diag([1.0, HABIT_SIGMA**2])
    total = slope @ prior @ slope + variance
    square = (miss_mm / 1000) ** 2 / total
    weight = min(1.0, max(LEAST_WEIGHT, (STUDENT + 1.0) / (STUDENT + square)))
    noise = variance / weight
    mean = np.linalg.solve(np.linalg.inv(prior) + np.outer(slope, slope) / noise, slope * miss_mm / 1000 / noise)
    covariance = np.linalg.inv(np.linalg.inv(prior) + np.outer(slope, slope) / noise)
    found, _ = fit_rider(Rider.unknown(1), group(0.030 + miss_mm / 1000, 0.030, tuple(slope), variance))
    assert found.mean[0] == pytest.approx(mean, rel=1e-9)
    assert found.covariance[0] == pytest.approx(covariance, rel=1e-9)


def test_one_slip_of_the_pen_moves_less_than_a_believable_reading() -> None:
    slope, variance = (0.004, 0.003), 0.0015**2
    believable, _ = fit_rider(Rider.unknown(1), group(0.038, 0.030, slope, variance))
    slipped, _ = fit_rider(Rider.unknown(1), group(0.310, 0.030, slope, variance))
    gaussian_share = 0.004 / (0.004**2 + (HABIT_SIGMA * 0.003) ** 2 + variance)
    assert slipped.mean[0, 0] < 0.6 * gaussian_share * 0.280
    assert believable.mean[0, 0] == pytest.approx(gaussian_share * 0.008, rel=0.05)


@pytest.mark.parametrize("later", [1, 4])
@pytest.mark.parametrize("slope", [(0.004, 0.0), (0.0, 0.006), (0.004, 0.003)])
def test_an_older_reading_is_as_uncertain_as_a_rider_who_has_walked_on_since(
    later: int, slope: tuple[float, float]
) -> None:
    draws, variance = np.random.default_rng(7), 0.0004**2
    steps = draws.normal(0.0, np.sqrt(DRIFT), size=(200_000, later, 2))
    reading = steps.sum(axis=1) @ np.array(slope) + draws.normal(0.0, np.sqrt(variance), 200_000)
    found = with_drift(group(0.030, 0.030, slope, variance), later)
    assert found.variance_m2[0] == pytest.approx(np.var(reading), rel=0.02)


def test_the_newest_reading_does_not_walk() -> None:
    newest = group(0.030, 0.030, (0.004, 0.003), 0.0015**2)
    assert with_drift(newest, 0).variance_m2[0] == newest.variance_m2[0]


@pytest.mark.parametrize("later", [1, 5])
@pytest.mark.parametrize("slope", [(0.004, 0.003), (0.0012, 0.006), (-0.004, 0.0008)])
def test_an_older_reading_depends_on_the_rider_of_today_by_the_slope_it_was_taken_at(
    later: int, slope: tuple[float, float]
) -> None:
    draws, walks = np.random.default_rng(8), 200_000
    # The newest check is weighed first: the rider of today is what is known, and the walk leads back from there.
    today = draws.normal(0.0, (1.0, HABIT_SIGMA), size=(walks, 2))
    then = today - draws.normal(0.0, np.sqrt(DRIFT), size=(later, walks, 2)).sum(axis=0)
    reading = then @ np.array(slope) + draws.normal(0.0, 0.0004, walks)
    fitted, *_ = np.linalg.lstsq(today, reading, rcond=None)
    found = with_drift(group(0.030, 0.030, slope, 0.0004**2), later)
    assert found.per_state[0] == pytest.approx(fitted, rel=0.005, abs=1.5e-5)


@pytest.mark.parametrize("later", [1, 5])
@pytest.mark.parametrize("sigma", [0.0004, 0.0021])
def test_the_readings_of_an_older_check_lie_as_far_apart_as_they_did(later: int, sigma: float) -> None:
    draws, walks, slope = np.random.default_rng(9), 200_000, (0.004, 0.003)
    walked = draws.normal(0.0, np.sqrt(DRIFT), size=(walks, later, 2)).sum(axis=1) @ np.array(slope)
    readings = 0.030 + walked[:, None] + draws.normal(0.0, sigma, size=(walks, 3))
    taken = (0.0284, 0.0311, 0.0305)
    of_then = Group(
        0.030, np.array([0.030]), np.array([slope]), np.array([sigma**2 / 3]), np.array([sigma**2]), np.array(taken)
    )
    found = with_drift(of_then, later)
    # What drifted since moves the three together: their variance about their own middle is what one reading's is.
    assert found.single_m2[0] == pytest.approx(np.mean(np.var(readings, axis=1, ddof=1)), rel=0.02)
    assert found.readings_m == pytest.approx(taken, rel=1e-12)
