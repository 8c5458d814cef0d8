"""A check that is struck out: kept in the history, not counted, and nothing of it is left in the numbers.

Rules 1 could strike nothing out: a slip stayed until it was outweighed.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from setup_rules import Setup, apply_bounce_check, strike_check, what_if
from setup_rules.messages.message import Message
from setup_rules.types.errors import RequestError
from setup_rules.types.result import BounceCheck
from tests.setup_rules.advice.trail_bike import SHOCK, START_PSI, bike, end_of, psi_of, read_at


def same_numbers(one: Setup, other: Setup) -> bool:
    """Return whether two setups ask a rider for exactly the same, and go on from the same request."""
    return (one.front, one.rear, one.request) == (other.front, other.rear, other.request)


@pytest.mark.parametrize("mm", [3.1, 24.0, 28.0, 33.0, 34.0, 35.0, 62.0])
def test_the_only_check_struck_out_leaves_the_setup_as_if_it_was_never_taken(mm: float) -> None:
    """34 mm moved the pressure by 8.8 % with the clicks left standing at 8: struck out, they stand at 8, not at 9."""
    before = bike(rear=SHOCK)
    after = strike_check(read_at(before, START_PSI, mm, mm, mm), 0)
    assert same_numbers(after, before)
    assert [taken.struck for taken in after.checks] == [True]
    assert end_of(after).checks_used == 0


@pytest.mark.parametrize("slip_mm", [3.1, 24.0, 45.0, 62.0])
@pytest.mark.parametrize("honest_mm", [28.0, 31.0, 33.0, 40.0])
def test_the_newest_check_struck_out_leaves_the_one_before_to_say_whether_it_is_done(
    honest_mm: float, slip_mm: float
) -> None:
    """At 31 mm the pump stayed at 72 psi, done; a slip struck out leaves 72 psi, not the 71.8 that are computed."""
    honest = read_at(bike(rear=SHOCK), START_PSI, *[honest_mm] * 3)
    after = strike_check(read_at(honest, START_PSI, *[slip_mm] * 3), 1)
    assert psi_of(after) == pytest.approx(psi_of(honest))
    assert same_numbers(after, honest)


def test_an_older_check_struck_out_leaves_what_the_others_teach() -> None:
    """A slip first, two honest checks after it: as if only these had been taken."""
    honest = read_at(read_at(bike(), START_PSI, 33.0, 33.0), START_PSI, 34.0, 34.0)
    slipped = read_at(read_at(read_at(bike(), START_PSI, 62.0), START_PSI, 33.0, 33.0), START_PSI, 34.0, 34.0)
    after = strike_check(slipped, 0)
    assert psi_of(after) == pytest.approx(psi_of(honest), rel=1e-9)
    assert end_of(after).sag_low_mm == pytest.approx(end_of(honest).sag_low_mm, rel=1e-9)
    assert end_of(after).checks_used == 2


def test_a_struck_check_can_be_counted_again() -> None:
    """Struck out and counted again: the numbers that it led to."""
    taken = read_at(bike(), START_PSI, 40.0, 41.0)
    again = strike_check(strike_check(taken, 0), 0, struck=False)
    assert same_numbers(again, taken)


def test_striking_a_check_out_leaves_the_other_end_and_later_clicks_alone() -> None:
    """A check of the fork struck out after one of the shock and a bounce check of the fork."""
    both = read_at(bike(rear=SHOCK), START_PSI, 33.0, 33.0)
    both = read_at(both, 213, 17.0, 17.0, end="rear")
    turned = apply_bounce_check(both, BounceCheck(end="front", clicks_out=8, seen="more"))
    after = strike_check(turned, 0)
    assert after.rear == both.rear
    assert end_of(after).rebound == replace(
        end_of(turned).rebound,  # type: ignore[type-var]
        damping_n_s_per_m=end_of(after).rebound.damping_n_s_per_m,  # type: ignore[union-attr]
    )


def test_a_check_of_another_rider_is_not_judged_again_for_this_one() -> None:
    """Done at 72 psi, then another rider: what was right for the first is not kept for the second."""
    done = read_at(bike(), START_PSI, 31.0, 31.0, 31.0)
    heavier = what_if(done, {"rider_mass_kg": 95})
    after = strike_check(read_at(heavier, psi_of(heavier), 62.0), 1)
    assert psi_of(after) == pytest.approx(psi_of(heavier), rel=1e-9)
    assert psi_of(after) > 1.15 * psi_of(done)


@pytest.mark.parametrize("index", [-1, 2, 3])
def test_only_a_check_that_was_taken_can_be_struck_out(index: int) -> None:
    """Two were taken, numbers 0 and 1; a number from behind would strike the wrong one."""
    setup = read_at(read_at(bike(), START_PSI, 33.0), START_PSI, 34.0)
    with pytest.raises(RequestError) as refused:
        strike_check(setup, index)
    assert [problem.said for problem in refused.value.problems] == [Message.of("sag_check.unknown")]


def test_what_is_struck_or_counted_already_is_said_to_be() -> None:
    counted = read_at(bike(), START_PSI, 33.0)
    for setup, struck, key in (
        (strike_check(counted, 0), True, "sag_check.struck_already"),
        (counted, False, "sag_check.counted_already"),
    ):
        with pytest.raises(RequestError) as refused:
            strike_check(setup, 0, struck=struck)
        assert [problem.said for problem in refused.value.problems] == [Message.of(key)]
