"""The drawn sample and its quantiles against the distributions that they stand for.

Source: `scipy.stats` (normal, uniform, Kolmogorov-Smirnov).

Confirmed: recomputed with scipy in this file.

Tolerance: what a sample of 512 can promise, stated at each test.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from scipy.stats import qmc

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import DRAWS, Posterior, low_discrepancy_sample, prior
from setup_rules.inference.size_class import (
    COLUMN,
    LOAD_UNKNOWNS,
    SPRING_UNKNOWNS,
    UNKNOWNS,
    draw_fork,
    draw_shock,
    normal_quantile,
    uniform_quantile,
)
from setup_rules.types.constants import Normal, Spread
from setup_rules.types.request import EndName, FrontEnd, RearEnd, SetupRequest

#: What each unknown is drawn from, as scipy knows it.
DISTRIBUTION = {name: stats.norm() for name in LOAD_UNKNOWNS} | {name: stats.uniform() for name in SPRING_UNKNOWNS}


def test_the_quantile_of_a_uniform_unknown_is_scipys() -> None:
    spread = Spread(36.0, 42.0, "mm")
    for share in (0.0, 0.05, 0.5, 0.95, 1.0):
        assert uniform_quantile(share, spread) == pytest.approx(
            stats.uniform.ppf(share, loc=36.0, scale=6.0), rel=1e-12
        )


def test_the_quantile_of_a_normal_unknown_is_scipys() -> None:
    normal = Normal(0.39, 0.035, "")
    for share in (0.05, 0.5, 0.95):
        found = normal_quantile(stats.norm.ppf(share), normal)
        assert found == pytest.approx(stats.norm.ppf(share, loc=0.39, scale=0.035), rel=1e-12)


@pytest.mark.parametrize("unknown", UNKNOWNS)
def test_each_unknown_of_the_drawn_sample_has_the_mean_and_deviation_that_it_stands_for(unknown: str) -> None:
    column, meant = low_discrepancy_sample()[:, COLUMN[unknown]], DISTRIBUTION[unknown]
    assert float(np.mean(column)) == pytest.approx(float(meant.mean()), abs=1e-6)
    # The deviation of a random sample of this size scatters by 1/√(2n), 3 %.
    assert float(np.std(column)) == pytest.approx(float(meant.std()), rel=0.02)


@pytest.mark.parametrize("unknown", UNKNOWNS)
def test_each_unknown_of_the_drawn_sample_is_spread_no_worse_than_chance_would(unknown: str) -> None:
    # Kolmogorov-Smirnov: a random sample of this size stays under 1.36/√n in 95 of 100 cases.
    distance = stats.kstest(low_discrepancy_sample()[:, COLUMN[unknown]], DISTRIBUTION[unknown].cdf).statistic
    assert distance < 1.36 / DRAWS**0.5


@pytest.mark.parametrize("unknown", UNKNOWNS)
@pytest.mark.parametrize("share", [0.05, 0.5, 0.95])
def test_a_quantile_of_the_drawn_sample_is_scipys(unknown: str, share: float) -> None:
    posterior = prior()
    (found,) = posterior.quantiles(posterior.z[:, COLUMN[unknown]], (share,))
    meant = DISTRIBUTION[unknown]
    assert found == pytest.approx(float(meant.ppf(share)), abs=0.05 * float(meant.std()))


def test_the_drawn_sample_fills_its_space_better_than_random_ones_by_scipys_centred_discrepancy() -> None:
    # Centred, as the sample is mirrored about the middle; seen from one corner (star discrepancy) it is no better.
    sample = low_discrepancy_sample()
    filled = np.column_stack([DISTRIBUTION[name].cdf(sample[:, COLUMN[name]]) for name in UNKNOWNS])
    random = [np.random.default_rng(seed).random(filled.shape) for seed in range(20)]
    assert qmc.discrepancy(filled) < min(qmc.discrepancy(one) for one in random)


def test_no_two_unknowns_of_the_drawn_sample_go_together() -> None:
    together = np.corrcoef(low_discrepancy_sample().T) - np.eye(len(UNKNOWNS))
    # Chance alone would show 1/√n, 0.044, in a single pair and about three times that in the worst of 45.
    assert float(np.max(np.abs(together))) < 0.10


@pytest.mark.parametrize("share", [0.1, 0.25, 0.5, 0.75, 0.9])
def test_a_quantile_with_equal_weights_is_numpys_by_the_same_rule(share: float) -> None:
    # Half of each weight below its own value: the rule that numpy calls "hazen".
    values = np.array([5.0, 1.0, 3.0, 2.0, 4.0, 9.0])
    posterior = Posterior(np.zeros((6, len(UNKNOWNS))), np.full(6, 1 / 6))
    (found,) = posterior.quantiles(values, (share,))
    assert found == pytest.approx(float(np.quantile(values, share, method="hazen")), abs=1e-12)


BOTH = SetupRequest(
    rider_mass_kg=78.0,
    riding_style="trail",
    bike_mass_kg=8.0,
    front=FrontEnd(travel_mm=140.0),
    rear=RearEnd(stroke_mm=55.0, leverage_start=2.9, leverage_end=2.4),
)
#: What is drawn for a standing rider on a bike of 8 kg, of whose unsprung mass eight tenths count: our estimates.
DRAWN_FROM: dict[tuple[str, EndName], object] = {
    ("friction_n", "front"): stats.uniform(8.0, 22.0),
    ("friction_n", "rear"): stats.uniform(15.0, 35.0),
    ("front_share", "front"): stats.norm(0.39, 0.035),
    ("bike_share", "front"): stats.norm(0.475, 0.02),
    ("bike_share", "rear"): stats.norm(0.525, 0.02),
    ("unsprung_kg", "front"): stats.norm(0.8 * 3.2, 0.8 * 0.35),
    ("unsprung_kg", "rear"): stats.norm(0.8 * 4.0, 0.8 * 0.45),
}


@pytest.mark.parametrize(("what", "name"), DRAWN_FROM)
def test_what_is_drawn_for_an_end_has_the_quantiles_of_its_distribution(what: str, name: EndName) -> None:
    model, sample, meant = (
        EndModel(name, dict(BOTH.ends())[name], BOTH),
        low_discrepancy_sample(),
        DRAWN_FROM[what, name],
    )
    drawn = getattr(model, what)(sample[:, COLUMN["share"]] if what == "front_share" else sample)
    for share in (0.02, 0.2, 0.5, 0.8, 0.98):
        exact = float(meant.ppf(share))  # type: ignore[attr-defined]
        assert float(np.quantile(drawn, share, method="hazen")) == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize(("drawn", "low_n", "width_n"), [("fork", 0.0, 30.0), ("shock", 50.0, 80.0)])
def test_the_gas_of_a_drawn_spring_pushes_as_evenly_as_its_spread_says(
    drawn: str, low_n: float, width_n: float
) -> None:
    """Forks push with 0 to 30 N, shocks with 50 to 130 N: our estimates, typed here."""
    z = low_discrepancy_sample()
    fork, shock = FrontEnd(travel_mm=140.0), RearEnd(stroke_mm=55.0, leverage_start=2.9, leverage_end=2.4)
    push = (draw_fork(fork, z) if drawn == "fork" else draw_shock(shock, z)).gas_force_n
    meant = stats.uniform(loc=low_n, scale=width_n)
    for share in (0.05, 0.25, 0.5, 0.75, 0.95):
        # 512 evenly spread draws keep a share to a few of 512, and a share is the width's.
        assert float(np.quantile(push, share)) == pytest.approx(float(meant.ppf(share)), abs=0.01 * width_n)
