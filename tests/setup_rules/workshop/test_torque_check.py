"""Torque against its manual's range: verdicts, wrong units, refusals."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.types.errors import LimitError, UnknownUnitError
from setup_rules.types.units import UNITS, convert
from setup_rules.workshop.torque_check import check_torque

KEYS = [unit.key for unit in UNITS["torque"]]


@pytest.mark.parametrize(
    ("value", "unit", "verdict", "likely"),
    [
        (6, "N·m", "in", ""),
        (8, "N·m", "in", ""),
        (5.9, "N·m", "low", ""),
        (9, "N·m", "high", ""),
        (62, "lbf·in", "in", ""),
        (62, "N·m", "unit", "lbf·in"),
        (7, "lbf·in", "unit", "N·m"),
        (5.2, "N·m", "low", ""),
        (4.5, "N·m", "unit", "lbf·ft"),
        (3, "N·m", "low", ""),
        (30, "N·m", "high", ""),
    ],
)
def test_a_torque_is_judged_by_the_range_six_to_eight(value: float, unit: str, verdict: str, likely: str) -> None:
    result = check_torque(value, unit, 6, 8, "N·m")
    assert (result.verdict, result.likely_unit) == (verdict, likely)


@given(st.floats(0.5, 100), st.floats(1, 3), st.sampled_from(KEYS), st.sampled_from(KEYS))
def test_both_ends_of_the_range_are_in_in_any_unit(low: float, factor: float, given_in: str, manual: str) -> None:
    high = low * factor
    for end in (low, high):
        assert check_torque(convert("torque", end, manual, given_in), given_in, low, high, manual).verdict == "in"


@pytest.mark.parametrize(("value", "low", "high"), [(0, 6, 8), (-1, 6, 8), (7, 8, 6), (7, 0, 8), (float("nan"), 6, 8)])
def test_numbers_that_cannot_be_are_refused(value: float, low: float, high: float) -> None:
    with pytest.raises(LimitError):
        check_torque(value, "N·m", low, high, "N·m")


@pytest.mark.parametrize(("value", "low", "high"), [(10_000, 6, 8), (7, 6, 10_000)])
def test_ten_thousand_is_too_much_for_any_torque(value: float, low: float, high: float) -> None:
    with pytest.raises(LimitError):
        check_torque(value, "N·m", low, high, "N·m")
    assert check_torque(min(value, 9_999.5), "N·m", low, min(high, 9_999.5), "N·m").verdict


def test_an_unknown_unit_is_refused() -> None:
    with pytest.raises(UnknownUnitError):
        check_torque(7, "kgf·m", 6, 8, "N·m")
