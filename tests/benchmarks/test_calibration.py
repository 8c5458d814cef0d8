"""A few simulated shops of the table that `python -m tests.benchmarks.calibration` prints, with few bikes each.

Few shops cannot show a third; they can show that the factor goes the right way, that five checks move nothing, and that
a shop whose springs are as we think is left alone.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.benchmarks.calibration import (
    AS_CLASS,
    Shop,
    bikes,
    first_check,
    follow_shop,
    judge_guess,
    one_class,
    true_factor,
    what_checks_say,
)

pytestmark = pytest.mark.benchmark
#: One maker's springs that need 15 % more than the class gives.
SHIFT, ALIKE = 1.165, 0.2


@pytest.fixture(scope="module")
def truth() -> float:
    return true_factor(one_class(SHIFT, alike=ALIKE), 60)


@pytest.fixture(scope="module")
def shops(truth: float) -> list[Shop]:
    return [follow_shop(seed, one_class(SHIFT, alike=ALIKE), 30, 6, truth) for seed in (31, 32)]


def test_the_shop_is_shifted_by_what_the_table_says(truth: float) -> None:
    assert truth == pytest.approx(1.15, abs=0.05)


def test_thirty_checks_bring_the_next_guess_nearer(shops: list[Shop]) -> None:
    for shop in shops:
        assert 1.04 < shop.found.used < shop.found.measured
    plain, moved = (
        float(np.mean([one for shop in shops for one in getattr(shop, name)])) for name in ("plain", "moved")
    )
    assert moved < 0.8 * plain


def test_five_checks_move_nothing() -> None:
    drawn = bikes(33, one_class(SHIFT, alike=ALIKE))
    assert what_checks_say([first_check(next(drawn)) for _ in range(5)]).used == 1.0


def test_a_shop_as_we_think_is_left_alone() -> None:
    drawn = bikes(34, one_class(AS_CLASS))
    assert what_checks_say([first_check(next(drawn)) for _ in range(25)]).used == pytest.approx(1.0, abs=0.08)


def test_a_checks_spread_is_that_of_bikes() -> None:
    drawn = bikes(35, one_class(AS_CLASS))
    judged = [one for one in (judge_guess(first_check(next(drawn))) for _ in range(40)) if one is not None]
    off = [np.log(one.factor) / one.factor_sigma for one in judged]
    assert float(np.std(off)) == pytest.approx(1.0, abs=0.3)
