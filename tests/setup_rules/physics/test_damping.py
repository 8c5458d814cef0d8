"""Damping ratio, clicks and their ends; values of the oscillator are tested in tests/published."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.physics.damping import (
    clicks_between,
    clicks_for,
    damping_n_s_per_m,
    overshoot_from_ratio,
    ratio_from_overshoot,
)
from setup_rules.types.constants import CLICK_RANGE
from setup_rules.types.errors import LimitError


@given(st.floats(0.001, 0.999), st.floats(0.001, 0.999))
def test_the_larger_overshoot_is_never_the_calmer_oscillator(one: float, other: float) -> None:
    small, large = sorted((one, other))
    assert ratio_from_overshoot(large) <= ratio_from_overshoot(small)


@given(st.floats(1e-3, 1e6), st.floats(1e-3, 1e6), st.integers(1, 60))
def test_clicks_never_leave_the_adjuster_and_say_when_they_would(need: float, middle: float, total: int) -> None:
    start = clicks_for(need, middle, total)
    assert 0 <= start.out <= start.total == total


@given(st.floats(1, 1000), st.floats(1.01, 5), st.integers(1, 60))
def test_more_damping_is_never_more_clicks_out(need: float, more: float, total: int) -> None:
    assert clicks_for(need * more, 100.0, total).out <= clicks_for(need, 100.0, total).out


def test_the_middle_need_sits_at_half_of_the_clicks() -> None:
    assert clicks_for(100.0, 100.0, 16).out == 8
    assert not clicks_for(100.0, 100.0, 16).clamped


def test_a_need_at_either_end_of_the_range_is_the_adjusters_end() -> None:
    edge = CLICK_RANGE.value**0.5
    assert clicks_for(100.0 * edge, 100.0, 16).out == 0
    assert clicks_for(100.0 / edge, 100.0, 16).out == 16


def test_a_need_beyond_the_adjuster_is_clamped_and_said_so() -> None:
    hard, soft = clicks_for(1e4, 100.0, 16), clicks_for(1.0, 100.0, 16)
    assert (hard.out, hard.clamped, soft.out, soft.clamped) == (0, True, 16, True)


@given(st.floats(0.01, 0.95))
def test_a_ratio_comes_back_from_its_own_overshoot(ratio: float) -> None:
    assert ratio_from_overshoot(overshoot_from_ratio(ratio)) == pytest.approx(ratio, rel=1e-9)


@pytest.mark.parametrize("ratio", [0.0, 1.0, -0.2, float("nan")])
def test_a_ratio_without_an_overshoot_is_refused(ratio: float) -> None:
    with pytest.raises(LimitError):
        overshoot_from_ratio(ratio)


@pytest.mark.parametrize("share", [0.0, 1.0, -0.2, 1.5, float("nan")])
def test_an_overshoot_that_cannot_be_is_refused(share: float) -> None:
    with pytest.raises(LimitError):
        ratio_from_overshoot(share)


def test_an_oscillator_without_rate_or_mass_is_refused() -> None:
    with pytest.raises(LimitError, match="above zero"):
        damping_n_s_per_m(0.0, 30.0, 0.4)
    with pytest.raises(LimitError, match="above zero"):
        damping_n_s_per_m(8000.0, -1.0, 0.4)


def test_a_damping_ratio_below_zero_is_refused() -> None:
    with pytest.raises(LimitError, match="below zero"):
        damping_n_s_per_m(8000.0, 30.0, -0.1)


@pytest.mark.parametrize(("damping", "other", "spread"), [(0.0, 1.0, 6.0), (1.0, -1.0, 6.0), (1.0, 1.0, 1.0)])
def test_clicks_between_dampings_that_cannot_be_are_refused(damping: float, other: float, spread: float) -> None:
    with pytest.raises(LimitError, match="above zero"):
        clicks_between(damping, other, 16, spread)


@pytest.mark.parametrize("spread", [0.0, -1.0, 1.0])
def test_an_adjuster_that_is_none_is_refused(spread: float) -> None:
    with pytest.raises(LimitError):
        clicks_between(400.0, 200.0, 16, spread)


def test_an_adjuster_that_closes_outwards_counts_backwards() -> None:
    assert clicks_between(400.0, 100.0, 16, spread=1 / 256) == pytest.approx(-4.0)
