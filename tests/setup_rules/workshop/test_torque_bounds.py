"""The edges of a torque's verdict: a range of one value, the last number taken, which units are asked, near misses."""

from __future__ import annotations

import pytest

from setup_rules.messages.message import Message
from setup_rules.types.errors import LimitError
from setup_rules.workshop.torque_check import check_torque


def test_a_manual_may_give_one_torque_instead_of_a_range() -> None:
    assert check_torque(7, "N·m", 7, 7, "N·m").verdict == "in"
    assert check_torque(6.9, "N·m", 7, 7, "N·m").verdict == "low"
    assert check_torque(7.1, "N·m", 7, 7, "N·m").verdict == "high"


@pytest.mark.parametrize(
    ("value", "low", "high"), [(10_000, 9_000, 9_999), (9_000, 9_000, 10_000), (12_000, 6, 8), (7, 6, 12_000)]
)
def test_neither_a_torque_nor_a_range_reaches_ten_thousand(value: float, low: float, high: float) -> None:
    with pytest.raises(LimitError):
        check_torque(value, "N·m", low, high, "N·m")


@pytest.mark.parametrize(("value", "low", "high"), [(7, -1, 8), (7, 0, 8), (0, 6, 8), (-7, 6, 8)])
def test_nothing_of_a_torque_is_zero_or_less(value: float, low: float, high: float) -> None:
    with pytest.raises(LimitError):
        check_torque(value, "N·m", low, high, "N·m")


def test_less_than_one_is_still_a_torque() -> None:
    assert check_torque(0.7, "N·m", 0.6, 0.8, "N·m").verdict == "in"


def test_a_refusal_names_the_three_numbers_as_typed() -> None:
    with pytest.raises(LimitError) as refused:
        check_torque(7.0, "N·m", 8.5, 6.0, "N·m")
    assert refused.value.said == Message.of("torque.range", torque=7, low=8.5, high=6)


@pytest.mark.parametrize(("low", "high"), [(60.0, 62.0), (62.0, 80.0), (62.0, 62.0)])
def test_another_unit_is_right_up_to_and_with_both_ends_of_the_range(low: float, high: float) -> None:
    # 62 lbf·in entered as 62 N·m: the manual's range is in lbf·in, so the number is right as it stands.
    result = check_torque(62.0, "N·m", low, high, "lbf·in")
    assert (result.verdict, result.likely_unit) == ("unit", "lbf·in")
    # What was applied is 62 N·m = 62/0.1129848 lbf·in (NIST SP 811).
    assert result.value == pytest.approx(62.0 / 0.112_984_8, rel=1e-6)


@pytest.mark.parametrize(("low", "high"), [(60.0, 61.9), (62.1, 80.0)])
def test_just_outside_its_range_another_unit_is_not_right(low: float, high: float) -> None:
    assert check_torque(62.0, "N·m", low, high, "lbf·in").verdict == "high"


def test_of_two_other_units_the_one_that_fits_is_named() -> None:
    # 10 lbf·ft are 13.56 N·m, 10 lbf·in 1.13 N·m.
    assert check_torque(10, "N·m", 13, 14, "N·m").likely_unit == "lbf·ft"
    assert check_torque(10, "N·m", 1.0, 1.2, "N·m").likely_unit == "lbf·in"
    assert check_torque(10, "lbf·in", 9, 11, "N·m").likely_unit == "N·m"


def test_a_quarter_off_is_a_slip_of_the_wrench_and_more_one_of_the_unit() -> None:
    # 8/1.25 = 6.4 and 10·1.25 = 12.5 N·m; read in lbf·ft 6.4 would be 8.7 N·m, which is in.
    assert check_torque(6.4, "N·m", 8, 10, "N·m").verdict == "low"
    assert check_torque(6.39, "N·m", 8, 10, "N·m").likely_unit == "lbf·ft"
    # 12.5 lbf·ft given where the range is 8 to 10 lbf·ft: read in N·m it would be 9.2 lbf·ft.
    assert check_torque(12.5, "lbf·ft", 8, 10, "lbf·ft").verdict == "high"
    assert check_torque(12.51, "lbf·ft", 8, 10, "lbf·ft").likely_unit == "N·m"
    assert check_torque(12.51, "lbf·ft", 8, 10, "lbf·ft").value == 12.51


def test_a_verdict_without_another_unit_names_none() -> None:
    assert [check_torque(torque, "N·m", 6, 8, "N·m").likely_unit for torque in (5.5, 7.0, 9.0)] == ["", "", ""]


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(0.999_999_999, "in"), (0.999_999_998, "low"), (2.000_000_002, "in"), (2.000_000_004, "high")],
)
def test_what_a_billionth_is_off_came_of_converting_and_is_in(value: float, verdict: str) -> None:
    assert check_torque(value, "N·m", 1, 2, "N·m").verdict == verdict
