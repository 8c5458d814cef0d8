"""The leak check in words: how long to wait, and what is gained is not written as lost."""

from __future__ import annotations

import pytest

from setup_rules.types.units import PSI_PA
from setup_rules.workshop.leak_check import LeakReadings, check_leak
from webapp.workshop.pages.leak_page import duration, present_leak


@pytest.mark.parametrize(
    ("hours", "words"),
    [(0.3, "1 hour"), (1.0, "1 hour"), (1.2, "2 hours"), (48.0, "48 hours"), (48.1, "3 days"), (240.0, "10 days")],
)
def test_a_time_to_wait_is_rounded_up(hours: float, words: str) -> None:
    assert duration(hours) == words


def test_a_pressure_that_rose_is_a_loss_below_zero() -> None:
    readings = LeakReadings(first_pa=80 * PSI_PA, second_pa=82 * PSI_PA, hours=48, reattached=False)
    page = present_leak(readings, check_leak(readings))
    assert page.verdict == "tight"
    assert dict(page.facts)["Pressure lost between the readings"] == "−2.0 psi (−0.14 bar)"


def test_waiting_again_as_long_as_before_is_never_advised() -> None:
    readings = LeakReadings(first_pa=84 * PSI_PA, second_pa=83.05 * PSI_PA, hours=36, reattached=False)
    result = check_leak(readings)
    assert result.verdict == "cannot_tell"
    assert result.hours_needed < 36
    assert "Measure again 3 days after the first reading" in present_leak(readings, result).what_to_do
