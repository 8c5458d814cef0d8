"""Whether the clicks go back with a struck check is the same question from the lower and from the higher pressure."""

from __future__ import annotations

from dataclasses import replace

import pytest

from setup_rules import Setup, read_request, recommend
from setup_rules.advice.taken_checks import _with_clicks


def setup_at(factor: float, more_clicks: int = 0) -> Setup:
    """Return a fork's setup with its pressure times a factor and its rebound moved by some clicks."""
    data = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140, "rebound_clicks": 16}}
    setup = recommend(read_request(data))
    assert setup.front is not None
    assert setup.front.rebound is not None
    moved = replace(setup.front.rebound, out=setup.front.rebound.out + more_clicks)
    return replace(setup, front=replace(setup.front, pressure_pa=setup.front.pressure_pa * factor, rebound=moved))


@pytest.mark.parametrize("factor", [1.105, 1 / 1.105, 1.3, 1 / 1.3])
def test_clicks_that_followed_the_pressure_go_back_with_it(factor: float) -> None:
    after = setup_at(factor)
    assert _with_clicks(setup_at(1.0, more_clicks=2), after, "front") is after


@pytest.mark.parametrize("factor", [1.095, 1 / 1.095, 1.0])
def test_clicks_that_had_no_reason_to_move_stay_where_they_stand(factor: float) -> None:
    stood = setup_at(1.0, more_clicks=2)
    after = _with_clicks(stood, setup_at(factor), "front")
    assert after.front is not None
    assert after.front.rebound is not None
    assert stood.front is not None
    assert stood.front.rebound is not None
    assert after.front.rebound.out == stood.front.rebound.out
