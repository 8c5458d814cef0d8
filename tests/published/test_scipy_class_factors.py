"""How right we are, against SciPy's binomial intervals, the normal-normal pair and simulated shops in plain NumPy.

Source: Clopper and Pearson's interval by `scipy.stats.binomtest`, and by searching the two binomial tails that define
it; the conjugate normal mean by integrating prior times likelihood; DerSimonian and Laird's average by the textbook
moments written out here, and by simulated shops; weighted averages by `numpy.average`.

Confirmed: recomputed here with SciPy and NumPy.

Tolerance: floating point where a closed form is recomputed, 1e-6 where an integral or a root is, stated at each
simulation.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, optimize, stats

import setup_rules as rules
from setup_rules.inference.calibration import (
    average_log,
    bounded_logs,
    class_factor,
    held_share_interval,
    interval_half,
    pool_logs,
    shrink_log,
)
from setup_rules.inference.checked_guess import judge_guess
from setup_rules.inference.class_shift import class_log_weight
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import low_discrepancy_sample
from setup_rules.inference.size_class import COLUMN
from setup_rules.inference.start_setting import held_of
from setup_rules.types.result import TakenCheck

#: Our estimates: how far a shop's springs may lie from ours, what all its checks share, how much our spread weighs.
CENTRE, COMMON, WEIGHT, IDLE = 0.10, 0.02, 10.0, 5


@pytest.mark.parametrize(("held", "checks"), [(0, 1), (0, 12), (9, 10), (27, 30), (43, 43), (180, 200), (1, 2)])
def test_a_share_has_scipys_exact_interval(held: int, checks: int) -> None:
    found = stats.binomtest(held, checks).proportion_ci(0.9, method="exact")
    assert held_share_interval(held, checks) == pytest.approx((found.low, found.high), abs=1e-9)


@pytest.mark.parametrize(("held", "checks"), [(9, 10), (27, 30), (3, 43)])
def test_each_end_of_a_share_leaves_five_per_cent_in_its_tail(held: int, checks: int) -> None:
    low = optimize.brentq(lambda p: stats.binom.sf(held - 1, checks, p) - 0.05, 1e-9, 1 - 1e-9)
    high = optimize.brentq(lambda p: stats.binom.cdf(held, checks, p) - 0.05, 1e-9, 1 - 1e-9)
    assert held_share_interval(held, checks) == pytest.approx((low, high), abs=1e-6)


def test_nine_of_ten_ranges_that_truly_hold_nine_times_in_ten_are_inside() -> None:
    rng = np.random.default_rng(4)
    seen = rng.binomial(40, 0.9, 4000)
    inside = [low <= 0.9 <= high for low, high in (held_share_interval(int(k), 40) for k in seen)]
    assert 0.90 <= float(np.mean(inside)) <= 0.99  # exact intervals hold at least what they say


@pytest.mark.parametrize(("mean", "variance"), [(0.14, 0.0016), (-0.05, 0.01), (0.3, 0.0004)])
def test_shrinking_is_the_normal_prior_times_the_normal_likelihood(mean: float, variance: float) -> None:
    prior, likelihood = stats.norm(0.0, CENTRE), stats.norm(mean, math.sqrt(variance))
    edges = (-1.0, 1.0)
    points = (0.0, mean)
    moment = [
        integrate.quad(lambda g, n=n: g**n * prior.pdf(g) * likelihood.pdf(g), *edges, points=points, epsabs=1e-12)[0]
        for n in range(3)
    ]
    middle = moment[1] / moment[0]
    sigma = math.sqrt(moment[2] / moment[0] - middle**2)
    assert shrink_log(mean, variance) == pytest.approx((middle, sigma), rel=1e-5)


def test_an_average_is_numpys_and_its_variance_the_scaled_inverse_chi_squares_beside_what_is_shared() -> None:
    rng = np.random.default_rng(11)
    sigmas = rng.uniform(0.15, 0.3, 30)
    logs = rng.normal(0.1, sigmas)
    weights = 1.0 / sigmas**2
    middle = float(np.average(logs, weights=weights))
    degrees = WEIGHT + len(logs) - 1
    # Scaled inverse chi-square: prior 1 with WEIGHT degrees, seen spread added; the scale that the posterior has.
    scale = (WEIGHT * 1.0 + float(weights @ (logs - middle) ** 2)) / degrees
    assert average_log(logs, sigmas) == pytest.approx((middle, scale / weights.sum() + COMMON**2), rel=1e-12)
    assert degrees == 39.0
    for variance, checks in ((0.002, 30), (0.0004, 6), (0.02, 200)):
        half = math.sqrt(variance) * stats.t(df=WEIGHT + checks - 1).ppf(0.95)
        assert interval_half(variance, checks) == pytest.approx(half, rel=1e-12)


def test_the_interval_holds_the_truth_of_simulated_shops_nine_times_in_ten() -> None:
    rng, inside = np.random.default_rng(2), []
    for _ in range(600):
        shared = rng.normal(0.0, COMMON)
        found = class_factor(np.exp(0.14 + shared + rng.normal(0.0, 0.18, 30)).tolist(), [0.22] * 30)
        inside.append(found.low <= math.exp(0.14) <= found.high)
    assert 0.87 <= float(np.mean(inside)) <= 0.97  # 0.22 is believed of 0.18, so a little more than nine


def test_bounded_logs_are_numpys_clipped_logarithms() -> None:
    factors = [0.01, 0.5, 0.9, 1.0, 1.7, 2.0, 40.0]
    assert bounded_logs(factors) == pytest.approx(np.clip(np.log(factors), -math.log(2), math.log(2)), rel=1e-12)


def test_shops_are_pooled_by_the_textbooks_moments() -> None:
    means, variances = np.array([0.12, -0.03, 0.2, 0.05]), np.array([0.002, 0.004, 0.0015, 0.006])
    weight = 1 / variances
    fixed = np.average(means, weights=weight)
    q = float(np.sum((means - fixed) ** 2 / variances))
    between = max(0.0, (q - 3) / (weight.sum() - (weight**2).sum() / weight.sum()))
    assert between > 0.0
    final = 1 / (variances + between)
    expected = float(np.average(means, weights=final)), 1 / float(final.sum())
    assert pool_logs(means.tolist(), variances.tolist()) == pytest.approx(expected, rel=1e-12)
    assert pool_logs([0.1], [0.003]) == pytest.approx((0.1, 0.003))
    assert pool_logs([0.1, 0.1], [0.002, 0.002]) == pytest.approx((0.1, 0.001))


def test_pooled_shops_that_differ_have_the_spread_of_what_is_drawn() -> None:
    rng = np.random.default_rng(8)
    found = []
    for _ in range(400):
        truths = rng.normal(0.08, 0.06, 12)
        found.append(pool_logs((truths + rng.normal(0.0, 0.03, 12)).tolist(), [0.03**2] * 12))
    means, variances = np.array(found).T
    assert float(means.mean()) == pytest.approx(0.08, abs=0.004)
    assert float(np.sqrt(variances.mean())) == pytest.approx(float(means.std()), rel=0.12)


def test_the_first_checks_of_a_class_move_nothing_and_later_ones_by_what_is_left_of_them() -> None:
    shifted = [1.15] * 40
    assert class_factor(shifted[:IDLE], [0.2] * IDLE).used == 1.0
    for count in (6, 10, 40):
        mean, variance = average_log(bounded_logs(shifted[:count]), [0.2] * count)
        kept = CENTRE**2 / (CENTRE**2 + variance * count / (count - IDLE))
        assert class_factor(shifted[:count], [0.2] * count).used == pytest.approx(math.exp(kept * mean), rel=1e-12)


def fork(factor: float | None = None, sigma: float = 0.03) -> EndModel:
    """Return a fork of one class, with what its shop's checks say or without."""
    told = {"spring_class": "fork_36_air", "checks": 30, "factor": factor, "factor_sigma": sigma}
    front = {"travel_mm": 150, "stanchion_mm": 36} | ({} if factor is None else {"shop_checks": told})
    request = rules.read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front})
    assert request.front is not None
    return EndModel("front", request.front, request)


def pressures_pa(model: EndModel, z: np.ndarray, gap_m: float) -> np.ndarray:
    """Return the gauge pressure at which each drawn spring shows a gap, by halving: more pressure, less gap."""
    held, site = held_of(model, z), model.setting.site(model.request.ride)
    low, high = np.full(len(z), 1.02e5), np.full(len(z), 4e6)
    for _ in range(50):
        middle = 0.5 * (low + high)
        deeper = held.gap_m(middle, site, 0.03) > gap_m
        low, high = np.where(deeper, middle, low), np.where(deeper, high, middle)
    return low - site.ambient_pa


@pytest.mark.parametrize(("factor", "sigma"), [(1.1, 0.03), (0.9, 0.06), (1.3, 0.02)])
def test_a_shops_factor_weighs_the_draws_by_the_ratio_of_scipys_normal_densities(factor: float, sigma: float) -> None:
    model, z = fork(factor, sigma), low_discrepancy_sample().copy()
    z[:, [COLUMN[name] for name in ("share", "bike", "unsprung")]] = 0.0
    logs = np.log(pressures_pa(model, z, 0.22 * 0.150))
    off = logs - logs.mean()
    wider = math.hypot(float(off.std()), sigma)
    ratio = stats.norm.logpdf(off, math.log(factor), wider) - stats.norm.logpdf(off, 0.0, off.std())
    found = class_log_weight(model)
    assert found - found[0] == pytest.approx(ratio - ratio[0], abs=1e-4)


@pytest.mark.parametrize("read_mm", [26.0, 34.0, 45.0])
def test_a_checks_factor_is_the_pressure_set_over_the_classs_own_median(read_mm: float) -> None:
    """The class's pressure for the sag that was read, by halving; the reading leans by what is expected of it."""
    model, set_pa = fork(), 70 * 6894.757
    check = rules.SagCheck(end="front", pressure_pa=set_pa, readings_mm=(read_mm,))
    judged = judge_guess(TakenCheck(check=check, request=model.request))
    assert judged is not None
    median = float(np.median(pressures_pa(model, low_discrepancy_sample(), read_mm / 1000)))
    assert judged.factor == pytest.approx(set_pa / median, rel=0.05)
