"""Sag is the gap that the O-ring shows; a check remembers where it was read, and old ones keep their meaning."""

from __future__ import annotations

from dataclasses import replace

import pytest

from setup_rules import read_sag_check, recommend, what_if
from tests.setup_rules.advice.trail_bike import FORK, SHOCK, START_PSI, bike, end_of, psi_of, read_at

RESTING, LIFTED = "bike_at_rest", "wheel_off_ground"


def test_target_and_expectation_are_the_gap_beside_the_bikes_own_rest() -> None:
    """Rules 1 aimed at 31.5 mm from full extension: 87 psi, where the O-ring shows 26. Now the gap: 72 psi."""
    front = end_of(bike())
    assert front.sag_expected_mm == pytest.approx(front.sag_target_mm, abs=0.2)
    assert 4 < front.rest_mm < 11
    shock = end_of(bike(None, SHOCK), "rear")
    assert 0 <= shock.rest_mm < 0.05 * 55


@pytest.mark.parametrize(("end", "psi"), [("front", START_PSI), ("rear", 213)])
def test_with_the_wheel_lifted_the_same_spring_shows_more_sag(end: str, psi: float) -> None:
    """New: rules 1 knew one datum. The same reading says less load, so less pressure (65 for 72 psi in front)."""
    setup = bike(rear=SHOCK)
    mm = round(end_of(setup, end).sag_target_mm)
    resting, lifted = (read_at(setup, psi, mm, mm, mm, end=end, datum=datum) for datum in (RESTING, LIFTED))
    free = [recommend(one.request, one.checks) for one in (resting, lifted)]
    assert psi_of(free[1], end) < 0.98 * psi_of(free[0], end)


@pytest.mark.parametrize("end", ["front", "rear"])
def test_a_target_read_with_the_wheel_lifted_asks_for_more_pressure(end: str) -> None:
    """New. The same 31.5 mm from full extension are less load on the spring: 80 psi for 72."""
    resting = bike(rear=SHOCK)
    lifted = bike({**FORK, "datum": LIFTED}, {**SHOCK, "datum": LIFTED})
    assert psi_of(lifted, end) > psi_of(resting, end)
    assert end_of(lifted, end).rest_mm <= end_of(resting, end).rest_mm
    assert end_of(lifted, end).datum == LIFTED


def test_a_check_keeps_where_its_gap_was_read() -> None:
    """Rules 1 had no such key. Now it is read, kept with the check, and None where nobody said."""
    data = {"end": "front", "pressure_psi": START_PSI, "readings_mm": [31]}
    assert read_sag_check(data).datum is None
    assert read_sag_check({**data, "datum": LIFTED}).datum == LIFTED
    assert read_at(bike(), START_PSI, 31.0, datum=LIFTED).checks[0].check.datum == LIFTED


def test_a_check_without_a_datum_means_the_standing_bike_as_its_instructions_said() -> None:
    """Checks of rules 1 carry none. They were read as told, on the standing bike, and mean that gap to the digit."""
    old, told = (read_at(bike(), START_PSI, 34.0, 35.0, 34.0, **given) for given in ({}, {"datum": RESTING}))
    assert old.front == told.front


def test_a_check_without_a_datum_keeps_its_meaning_when_the_setup_is_read_another_way_later() -> None:
    """The datum of the request that was in force counts, not today's."""
    old, told = (read_at(bike(), START_PSI, 34.0, 35.0, 34.0, **given) for given in ({}, {"datum": RESTING}))
    later = [what_if(one, {"front": {"datum": LIFTED}}) for one in (old, told)]
    assert later[0].front == later[1].front
    misread = [replace(one, request=later[0].request) for one in old.checks]
    assert psi_of(recommend(later[0].request, tuple(misread))) != pytest.approx(psi_of(later[0]), rel=0.02)
