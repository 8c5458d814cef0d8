"""The leak check at its bounds: what it still takes, what it refuses and says, and where one verdict ends."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules import RequestError
from setup_rules.messages.message import Message
from setup_rules.types.units import PSI_PA
from setup_rules.workshop.leak_check import LeakReadings, Verdict, _judge_loss, check_leak

READINGS = LeakReadings(first_pa=84 * PSI_PA, second_pa=84 * PSI_PA, hours=240, reattached=False)


def refused(**changes: Any) -> Message:
    """Return what readings changed so are refused with."""
    with pytest.raises(RequestError) as error:
        check_leak(replace(READINGS, **changes))
    (problem,) = error.value.problems
    assert isinstance(problem.said, Message)
    return problem.said


@pytest.mark.parametrize("name", ["first_pa", "second_pa"])
@pytest.mark.parametrize("pascals", [-1.0, 0.0, 4e6, float("nan")])
def test_no_pressure_and_40_bar_are_refused(name: str, pascals: float) -> None:
    assert refused(**{name: pascals}).key == "leak.pressure"


@pytest.mark.parametrize(
    "changes",
    [
        {"second_pa": 0.5},
        {"second_pa": 3_999_999.0},
        {"first_c": -30.0},
        {"second_c": 60.0},
        {"hours": 0.25},
        {"hours": 2000.0},
        {"hose_share": 0.999},
    ],
)
def test_the_last_value_inside_is_taken(changes: dict[str, Any]) -> None:
    assert check_leak(replace(READINGS, **changes)).verdict


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"first_c": -30.5}, "leak.temperature"),
        ({"first_c": 60.5}, "leak.temperature"),
        ({"hours": 0.24}, "leak.hours"),
        ({"hours": 2000.5}, "leak.hours"),
        ({"hose_share": -0.1}, "leak.hose"),
        ({"hose_share": 1.5}, "leak.hose"),
    ],
)
def test_the_first_value_outside_is_refused(changes: dict[str, Any], key: str) -> None:
    assert refused(**changes).key == key


def test_a_refused_pressure_is_told_in_bar_to_a_hundredth() -> None:
    # 1 bar = 100,000 Pa.
    assert refused(first_pa=4_123_456.0).values == {"bar": 41.23}
    assert refused(first_pa=1e9).values == {"bar": 10_000.0}


def test_a_hose_below_nothing_is_no_hose_that_nobody_entered() -> None:
    assert LeakReadings(first_pa=1e5, second_pa=1e5, hours=1).hose_assumed
    assert not LeakReadings(first_pa=1e5, second_pa=1e5, hours=1, hose_share=-0.1).hose_assumed


@pytest.mark.parametrize(("percent_a_week", "verdict"), [(3.1, "slow"), (2.9, "tight")])
def test_a_loss_counts_as_slow_from_three_per_cent_a_week_on(percent_a_week: float, verdict: str) -> None:
    # Over 10 days 3.1 % a week of 84 psi are 3.72 psi, 2.9 % are 3.48 psi; 95 % of either is known to 1.3 psi.
    lost = percent_a_week / 100 * 84 * 10 / 7
    assert check_leak(replace(READINGS, second_pa=(84 - lost) * PSI_PA)).verdict == verdict


@pytest.mark.parametrize(
    ("loss", "spread", "allowed", "slow", "verdict"),
    [
        (3.0, 1.0, 2.0, 9.0, "cannot_tell"),  # at least 2: as much as is allowed is no proven leak
        (3.1, 1.0, 2.0, 9.0, "leaks"),
        (1.0, 1.0, 5.0, 0.5, "tight"),  # it may be nothing at all
        (2.0, 0.5, 5.0, 2.0, "slow"),  # worth topping up from here on
        (2.0, 1.5, 5.0, 1.0, "slow"),  # at least half a pascal is surely there
        (1.0, 2.0, 3.0, 9.0, "tight"),  # at most 3: as much as is allowed
        (1.0, 2.1, 3.0, 9.0, "cannot_tell"),
    ],
)
def test_where_one_verdict_ends_and_the_next_begins(
    loss: float, spread: float, allowed: float, slow: float, verdict: Verdict
) -> None:
    assert _judge_loss(loss, spread, allowed, slow) == verdict
