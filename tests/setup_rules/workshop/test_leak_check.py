"""The leak check: directions, verdicts, refusals."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules import RequestError
from setup_rules.types.units import PSI_PA
from setup_rules.workshop.leak_check import LeakReadings, check_leak

READINGS = LeakReadings(first_pa=84 * PSI_PA, second_pa=84 * PSI_PA, hours=72, reattached=False)


def test_cold_alone_is_no_leak() -> None:
    cold = replace(READINGS, second_c=0.0)
    expected = check_leak(cold).expected_pa
    result = check_leak(replace(cold, second_pa=expected))
    assert result.expected_pa < READINGS.first_pa
    assert result.loss_pa == pytest.approx(0, abs=1e-6)
    assert result.verdict == "tight"


def test_what_is_lost_in_the_same_weather_is_the_difference() -> None:
    result = check_leak(replace(READINGS, second_pa=78 * PSI_PA))
    assert result.loss_pa == pytest.approx(6 * PSI_PA)
    assert result.loss_a_day_pa == pytest.approx(2 * PSI_PA)
    assert result.verdict == "leaks"


def test_after_an_hour_a_coarse_gauge_cannot_tell() -> None:
    result = check_leak(replace(READINGS, hours=1.0))
    assert result.verdict == "cannot_tell"
    assert result.hours_needed > 1


def test_after_the_time_that_it_asks_for_a_tight_spring_counts_as_tight() -> None:
    needed = check_leak(replace(READINGS, hours=1.0)).hours_needed
    assert check_leak(replace(READINGS, hours=needed)).verdict == "tight"


def test_a_finer_gauge_needs_less_time() -> None:
    coarse = check_leak(replace(READINGS, resolution_pa=2 * PSI_PA)).hours_needed
    assert check_leak(replace(READINGS, resolution_pa=0.1 * PSI_PA)).hours_needed < coarse


def test_what_the_hose_took_is_no_leak() -> None:
    hose = replace(READINGS, second_pa=READINGS.first_pa / 1.04, hose_share=0.04)
    assert check_leak(hose).loss_pa == pytest.approx(0, abs=1e-6)
    assert check_leak(hose).uncertainty_a_day_pa > check_leak(READINGS).uncertainty_a_day_pa


@given(st.floats(20, 200), st.floats(0, 1), st.floats(1, 500), st.floats(-20, 40), st.floats(-20, 40))
def test_the_verdict_follows_from_loss_and_uncertainty(
    psi: float, share: float, hours: float, first_c: float, second_c: float
) -> None:
    readings = LeakReadings(
        first_pa=psi * PSI_PA,
        second_pa=max(1.0, psi * share) * PSI_PA,
        first_c=first_c,
        second_c=second_c,
        hours=hours,
        reattached=False,
    )
    result = check_leak(readings)
    low = result.loss_a_day_pa - result.uncertainty_a_day_pa
    high = result.loss_a_day_pa + result.uncertainty_a_day_pa
    assert (result.verdict == "leaks") == (low > result.allowed_a_day_pa)
    slow = low > 0 and 7 * result.loss_a_day_pa >= 0.03 * readings.first_pa and low <= result.allowed_a_day_pa
    assert (result.verdict == "slow") == slow
    assert (result.verdict == "tight") == (not slow and high <= result.allowed_a_day_pa)


def test_a_steady_loss_below_the_proof_is_a_slow_one_with_its_loss_a_week() -> None:
    # Rules 1 said "cannot tell" or "tight" of it.
    result = check_leak(replace(READINGS, second_pa=76 * PSI_PA, hours=240))
    assert result.verdict == "slow"
    assert result.loss_a_week_pa == pytest.approx(8 * PSI_PA / 10 * 7)


@given(st.floats(0.0, 0.12), st.floats(30, 250), st.floats(0.25, 2000))
def test_what_an_unentered_hose_takes_is_never_called_a_leak(share: float, psi: float, hours: float) -> None:
    # Rules 1: a pump put back after an hour took 4 % and was called a leak.
    first = psi * PSI_PA
    readings = LeakReadings(first_pa=first, second_pa=first / (1 + share), hours=hours)
    result = check_leak(readings)
    assert result.hose_assumed
    assert result.verdict not in ("leaks", "slow")


def test_half_the_air_gone_is_a_leak_whatever_the_hose() -> None:
    assert check_leak(LeakReadings(first_pa=84 * PSI_PA, second_pa=42 * PSI_PA, hours=24)).verdict == "leaks"


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"first_pa": 0.0}, "first_pa"),
        ({"second_pa": 5e6}, "second_pa"),
        ({"second_c": 80.0}, "second_c"),
        ({"hours": 0.1}, "hours"),
        ({"hose_share": 1.0}, "hose_share"),
    ],
)
def test_a_reading_out_of_range_is_refused(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(RequestError) as error:
        check_leak(replace(READINGS, **changes))
    assert [problem.field for problem in error.value.problems] == [field]
