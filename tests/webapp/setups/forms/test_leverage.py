"""Leverage from wheel travel."""

from __future__ import annotations

import pytest

from setup_rules.physics.linkage import Leverage
from webapp.setups.forms.leverage import ASSUMED_FALL, disagrees, leverage_from_travel


@pytest.mark.parametrize(("travel", "stroke"), [(145.0, 55.0), (100.0, 38.0), (200.0, 75.0)])
def test_the_leverage_gives_back_the_wheel_travel(travel: float, stroke: float) -> None:
    start, end = leverage_from_travel(travel, stroke)
    curve = Leverage.from_points(((0.0, start), (stroke, end)))
    assert curve.wheel_travel_m(stroke / 1000) * 1000 == pytest.approx(travel)
    assert 1 - end / start == pytest.approx(ASSUMED_FALL)


def test_a_slip_between_leverage_and_wheel_travel_is_noticed() -> None:
    assert not disagrees(2.9, 2.4, 145.0, 55.0)
    assert disagrees(2.9, 2.4, 200.0, 55.0)
    assert disagrees(2.9, 2.4, 55.0, 145.0)
