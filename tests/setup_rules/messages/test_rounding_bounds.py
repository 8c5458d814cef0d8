"""Numbers at the bounds between two ways of showing them."""

from __future__ import annotations

import pytest

from setup_rules.messages.rounding import as_typed, turns


@pytest.mark.parametrize(
    ("value", "whole"), [(999_999_000_000_000.0, True), (1e15, False), (2e15, False), (-2e15, False), (-9e14, True)]
)
def test_a_number_beyond_what_anybody_types_stays_in_short_figures(value: float, whole: bool) -> None:
    # As a whole number it would be written out digit by digit.
    assert as_typed(value) == value
    assert isinstance(as_typed(value), int) is whole


@pytest.mark.parametrize(("count", "told"), [(0.22, 0.25), (0.2199, 0.2), (1.97, 2), (1.96, 2.0), (1.94, 1.9)])
def test_turns_within_three_hundredths_of_a_quarter_are_that_quarter(count: float, told: float) -> None:
    assert turns(count) == told
