"""The two fixed samples: even in every unknown, free of each other, in the order of the sequences that they come from.

Stratified quantiles from `scipy.stats`; the sequences are written out here from their definitions (an additive
recurrence on the root of gᵈ⁺¹ = g + 1, and van der Corput's mirrored digits).
"""

from __future__ import annotations

import functools

import numpy as np
import pytest
from scipy import stats

from setup_rules.inference.posterior import (
    Posterior,
    _radical_inverse,
    central_row,
    low_discrepancy_sample,
    prior,
    spare_sample,
)

DRAWS, LOADS, UNKNOWNS = 512, 4, 13
#: One draw in the middle of each 512th of a distribution.
EVEN = (np.arange(DRAWS) + 0.5) / DRAWS


@functools.cache
def golden() -> float:
    """Return the root above 1 of gᵈ⁺¹ = g + 1 for thirteen unknowns."""
    roots = np.roots([1.0, *[0.0] * (UNKNOWNS - 1), -1.0, -1.0])
    return float(max(root.real for root in roots if abs(root.imag) < 1e-9))


def mirrored(number: int, base: int) -> float:
    """Return the digits of a number in a base behind the point, the last one first."""
    digits = np.base_repr(number, base)
    return sum(int(digit, base) * float(base) ** -(place + 1) for place, digit in enumerate(reversed(digits)))


def test_every_column_has_one_draw_in_the_middle_of_each_512th() -> None:
    z = low_discrepancy_sample()
    assert z.shape == (DRAWS, UNKNOWNS)
    for column in range(UNKNOWNS):
        exact = stats.norm.ppf(EVEN) if column < LOADS else EVEN
        assert np.sort(z[:, column]) == pytest.approx(exact, abs=1e-9), column


def test_the_second_half_is_the_first_one_mirrored() -> None:
    z = low_discrepancy_sample()
    assert z[256:, :LOADS] == pytest.approx(-z[:256, :LOADS], abs=1e-9)
    assert z[256:, LOADS:] == pytest.approx(1.0 - z[:256, LOADS:], abs=1e-9)


@pytest.mark.parametrize("column", range(UNKNOWNS))
def test_the_draws_come_in_the_order_of_a_recurrence_on_the_golden_ratio_of_thirteen(column: int) -> None:
    recurrence = (0.5 + np.arange(1, 257) * golden() ** -(column + 1)) % 1.0
    order = stats.spearmanr(low_discrepancy_sample()[:256, column], recurrence).statistic
    assert order > 0.95


def test_no_column_goes_with_another() -> None:
    # What stratifying gives back. Random columns go together by 1/√512 = 0.044, the worst of 78 pairs three times that.
    together = np.corrcoef(low_discrepancy_sample().T) - np.eye(UNKNOWNS)
    assert float(np.sqrt(np.mean(together**2))) < 0.02
    assert float(np.abs(together).max()) < 0.05


def test_a_spare_column_is_normal_and_free_of_the_others_and_of_the_sample() -> None:
    spare, z = spare_sample(), low_discrepancy_sample()
    assert spare.shape == (DRAWS, 11)
    for column in spare.T:
        assert np.sort(column) == pytest.approx(stats.norm.ppf(EVEN), abs=1e-9)
    normal = np.column_stack([z[:, :LOADS], stats.norm.ppf(z[:, LOADS:])])
    together = np.corrcoef(np.column_stack([normal, spare]).T) - np.eye(UNKNOWNS + 11)
    assert float(np.abs(together).max()) < 0.01


@pytest.mark.parametrize(("column", "base"), list(enumerate((2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31))))
def test_spare_draws_come_in_the_order_of_haltons_sequence(column: int, base: int) -> None:
    halton = [mirrored(number, base) for number in range(1, DRAWS + 1)]
    assert stats.spearmanr(spare_sample()[:, column], halton).statistic > 0.9


@pytest.mark.parametrize("base", [2, 3, 31])
def test_digits_are_mirrored_at_the_point(base: int) -> None:
    # As 6 = 110 in base 2 becomes 0.011 = 3/8.
    assert _radical_inverse(np.array([6]), 2).tolist() == [0.375]
    numbers = np.arange(1, 100)
    assert _radical_inverse(numbers, base) == pytest.approx([mirrored(int(one), base) for one in numbers], rel=1e-12)


def test_nobody_can_change_a_sample_by_accident() -> None:
    for sample in (low_discrepancy_sample(), spare_sample()):
        with pytest.raises(ValueError, match="read-only"):
            sample[0, 0] = 0.0


def test_the_central_row_is_the_middle_of_every_unknown() -> None:
    assert central_row().tolist() == [0.0] * LOADS + [0.5] * (UNKNOWNS - LOADS)


def test_before_any_check_every_draw_weighs_a_512th() -> None:
    assert prior().weight.tolist() == [1.0 / 512.0] * DRAWS
    assert prior().z is low_discrepancy_sample()


def test_a_quantile_lies_where_half_of_a_draws_own_weight_is_below_it() -> None:
    # Weights 0.1, 0.5 and 0.4 of 1, 2 and 4: their middles at 0.05, 0.35 and 0.8 of all; 0.575 lies half-way to 4.
    posterior, values = Posterior(np.zeros((3, 1)), np.array([0.5, 0.1, 0.4])), np.array([2.0, 1.0, 4.0])
    assert posterior.quantiles(values, (0.05, 0.2, 0.35, 0.575, 0.8)) == pytest.approx((1.0, 1.5, 2.0, 3.0, 4.0))
    assert posterior.quantiles(values, (0.01, 0.99)) == (1.0, 4.0)
    assert posterior.mean(values) == pytest.approx(2.7)
