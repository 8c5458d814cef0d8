"""One order of work for fork and shock: pump both, measure both, then rebound; both ends' readings at once."""

from __future__ import annotations

import pytest

from setup_rules import BounceCheck, RequestError, SagCheck, Setup, apply_bounce_check, apply_sag_checks
from tests.setup_rules.advice.trail_bike import SHOCK, bike, end_of, read_at, told


def measured(front_mm: float, rear_mm: float) -> Setup:
    """Return the setup after one check of each end at its own pressure."""
    setup = bike(rear=SHOCK)
    ends = (("front", front_mm), ("rear", rear_mm))
    checks = [SagCheck(end=n, pressure_pa=end_of(setup, n).pressure_pa, readings_mm=(mm, mm)) for n, mm in ends]  # type: ignore[arg-type]
    return apply_sag_checks(setup, checks)


@pytest.mark.parametrize(
    ("front_mm", "rear_mm", "settled"),
    [(40.0, 18.0, False), (31.5, 18.0, False), (40.0, 15.0, False), (31.5, 15.0, True)],
)
def test_both_ends_are_answered_at_once_and_the_order_is_said_once_until_both_are_done(
    front_mm: float, rear_mm: float, settled: bool
) -> None:
    """Rules 1 took one end at a time and said no order. Now one answer, with the order while an end is not done."""
    after = measured(front_mm, rear_mm)
    assert after.settled is settled
    assert told(after).count("order_of_work") == (0 if settled else 1)
    assert {note.end for note in after.advice if note.code.startswith("sag_")} == {"front", "rear"}
    said = [note.message for note in after.advice if note.code == "order_of_work"]
    for message in said:
        assert message.index("pump") < message.index("measure") < message.index("rebound")


def test_the_checks_of_both_ends_equal_one_after_the_other() -> None:
    """New with rules 2: the numbers do not depend on how the readings were handed in."""
    at_once, setup = measured(40.0, 18.0), bike(rear=SHOCK)
    in_turn = apply_sag_checks(apply_sag_checks(setup, [first(setup, "front", 40.0)]), [first(setup, "rear", 18.0)])
    assert (at_once.front, at_once.rear, at_once.checks) == (in_turn.front, in_turn.rear, in_turn.checks)


def first(setup: Setup, name: str, mm: float) -> SagCheck:
    """Return a check of one end at the pressure that a setup asks for."""
    return SagCheck(end=name, pressure_pa=end_of(setup, name).pressure_pa, readings_mm=(mm, mm))  # type: ignore[arg-type]


def test_one_bad_reading_refuses_both_ends_and_says_which() -> None:
    """New with rules 2: all or none."""
    setup = bike(rear=SHOCK)
    with pytest.raises(RequestError) as refused:
        apply_sag_checks(setup, [first(setup, "front", 40.0), first(setup, "rear", 70.0)])
    assert {p.field for p in refused.value.problems} == {"rear.readings_mm"}


@pytest.mark.parametrize("end", ["front", "rear"])
def test_rebound_before_sag_is_told_that_sag_comes_first(end: str) -> None:
    """Rules 1 turned clicks without a word of sag. Now said until that end's sag is known."""
    setup = bike(rear=SHOCK)
    bounce = BounceCheck(end=end, clicks_out=7, seen="more")  # type: ignore[arg-type]
    assert "sag_before_rebound" in told(apply_bounce_check(setup, bounce))
    known = read_at(setup, 72 if end == "front" else 213, round(end_of(setup, end).sag_target_mm), end=end)
    assert "sag_before_rebound" not in told(apply_bounce_check(known, bounce))


def test_a_bike_with_one_spring_end_is_told_no_order() -> None:
    """There is none."""
    assert "order_of_work" not in told(read_at(bike(), 72, 40.0, 40.0))
