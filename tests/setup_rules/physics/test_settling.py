"""Where a spring comes to rest: roots that can be read off, the ends of the travel, and how few questions it takes.

A straight spring behind a straight linkage leaves a straight line, on which Newton's method arrives with one step; the
question after it shows that nothing is left.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from setup_rules.physics.linkage import Leverage
from setup_rules.physics.settling import settle

FORK = Leverage()
TRAVEL = np.asarray(0.14)


class Asked:
    """A spring of a force and a rate over compression, which keeps where it was asked."""

    def __init__(self, force_n: Callable[[Any], Any], rate_n_per_m: float | Callable[[Any], Any]) -> None:
        self.force_n, self.rate_n_per_m = force_n, rate_n_per_m
        self.at: list[float] = []

    def __call__(self, x: Any) -> tuple[Any, Any]:
        """Return force and rate at x [m]."""
        self.at.append(float(np.max(x)))
        return self.force_n(x), self.rate_n_per_m(x) if callable(self.rate_n_per_m) else self.rate_n_per_m


def straight(rate_n_per_m: float, at_rest_n: float = 0.0) -> Asked:
    """Return a coil of one rate that pushes with a force at full extension."""
    return Asked(lambda x: at_rest_n + rate_n_per_m * x, rate_n_per_m)


@pytest.mark.parametrize("rate", [8000.0, 1.5])
def test_a_straight_spring_is_asked_at_full_extension_a_quarter_in_and_at_its_rest(rate: float) -> None:
    spring = straight(rate)
    # 0.03 m of it.
    assert float(settle(spring, 0.03 * rate, FORK, TRAVEL, None)) == pytest.approx(0.03, abs=1e-12)
    assert spring.at == pytest.approx([0.0, 0.035, 0.03], abs=1e-12)


@pytest.mark.parametrize("slope", [-20.0, 20.0])
def test_behind_a_straight_linkage_it_takes_as_few(slope: float) -> None:
    # 200 N at the wheel: 40,000·x = 200·(2.5 ± 20·x), x = 500/(40,000 ∓ 4,000).
    spring = straight(40_000.0)
    linkage = Leverage((0.0, 0.05), (2.5, 2.5 + 0.05 * slope))
    rest = 500.0 / (40_000.0 - 200.0 * slope)
    assert float(settle(spring, 200.0, linkage, np.asarray(0.06), None)) == pytest.approx(rest, abs=1e-12)
    assert spring.at == pytest.approx([0.0, 0.015, rest], abs=1e-12)


def test_a_spring_that_pushes_more_than_the_load_but_less_than_the_leverage_makes_of_it_gives_way() -> None:
    # 300 N at full extension hold 200 N at a fork and not behind a leverage of 2: 400 N, with 10 N/mm after 10 mm.
    behind = Leverage((0.0, 0.05), (2.0, 2.0))
    assert float(settle(straight(10_000.0, 300.0), 200.0, FORK, TRAVEL, None)) == 0.0
    assert float(settle(straight(10_000.0, 300.0), 200.0, behind, TRAVEL, None)) == pytest.approx(0.01)


def test_behind_less_than_one_a_load_takes_less_of_the_stroke() -> None:
    # 200 N at a leverage of 0.5 are 100 N: 10 mm of 10 N/mm.
    assert float(settle(straight(10_000.0), 200.0, Leverage((0.0, 1.0), (0.5, 0.5)), TRAVEL, None)) == pytest.approx(
        0.01
    )


def test_a_search_from_full_extension_asks_there_once() -> None:
    spring = straight(8000.0)
    assert float(settle(spring, 240.0, FORK, TRAVEL, 0.0)) == pytest.approx(0.03, abs=1e-12)
    assert spring.at == pytest.approx([0.0, 0.03], abs=1e-12)


@pytest.mark.parametrize(("start", "begins"), [(-0.01, 0.0), (0.05, 0.05), (0.2, 0.14)])
def test_a_search_begins_where_it_is_told_within_the_travel(start: float, begins: float) -> None:
    spring = straight(8000.0)
    assert float(settle(spring, 240.0, FORK, TRAVEL, start)) == pytest.approx(0.03, abs=1e-12)
    assert spring.at[-2] == begins


@pytest.mark.parametrize("start", [None, 0.0, 0.1])
def test_what_holds_its_load_stays_out_and_what_does_not_goes_in_all_the_way(start: float | None) -> None:
    spring = Asked(lambda x: np.array([300.0, 50.0, 0.0]) + 1000.0 * x, 1000.0)
    rest = settle(spring, np.array([299.0, 110.0, 500.0]), FORK, np.full(3, 0.14), start)
    assert rest == pytest.approx([0.0, 0.06, 0.14], abs=2e-6)


def test_a_load_below_zero_leaves_the_spring_extended() -> None:
    assert float(settle(straight(8000.0), -30.0, FORK, TRAVEL, None)) == 0.0


def test_a_load_that_takes_exactly_the_whole_travel_finds_its_end() -> None:
    # 0.125 and 8192 so that 1024 N come out to the last bit.
    spring = straight(8192.0)
    assert float(settle(spring, 1024.0, FORK, np.asarray(0.125), None)) == 0.125
    assert spring.at == [0.0, 0.03125, 0.125]


def test_a_spring_that_just_holds_its_load_stays_out_though_it_gives_way_further_in() -> None:
    # 240 − 1000·x + 20,000·x² N: 240 N again at 50 mm.
    soft = Asked(lambda x: 240.0 - 1000.0 * x + 20_000.0 * x * x, lambda x: 40_000.0 * x - 1000.0)
    assert float(settle(soft, 240.0, FORK, TRAVEL, None)) == 0.0
    assert float(settle(soft, 240.1, FORK, TRAVEL, None)) == pytest.approx(0.0501, abs=1e-4)


def test_a_spring_without_a_rate_is_found_by_halving() -> None:
    # No rate and a step of the force at 20 mm: the bracket closes on it.
    step = Asked(lambda x: np.where(x < 0.02, 100.0, 300.0), 0.0)
    assert float(settle(step, 200.0, FORK, TRAVEL, None)) == pytest.approx(0.02, abs=2e-6)


@pytest.mark.parametrize(("step_m", "questions"), [(0.99e-6, 1), (1e-6, 2), (1.01e-6, 2)])
def test_a_step_below_a_micrometre_is_the_last(step_m: float, questions: int) -> None:
    # A rate of 1 N/m and a load of as many newtons as the step has metres.
    spring = straight(1.0)
    assert float(settle(spring, step_m, FORK, TRAVEL, 0.0)) == pytest.approx(step_m, rel=1e-12)
    assert len(spring.at) == questions


def test_a_rate_that_is_far_too_high_ends_after_sixty_steps_on_the_way() -> None:
    # Told a thousand times its rate, the search covers a thousandth of what is left with every step.
    spring = Asked(lambda x: 8000.0 * x, 8_000_000.0)
    found = float(settle(spring, 800.0, FORK, TRAVEL, 0.0))
    assert len(spring.at) == 60
    assert found == pytest.approx(0.1 * (1.0 - 0.999**60), rel=1e-9)
