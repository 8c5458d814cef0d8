"""Two known points of a damper instead of the usual adjuster."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules import RequestError, read_request, recommend
from setup_rules.physics.damping import clicks_for, known_adjuster

BODY: dict[str, Any] = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140, "rebound_clicks": 16}}


def with_points(points: Any) -> dict[str, Any]:
    return {**BODY, "front": {**BODY["front"], "rebound_points": points}}


@pytest.mark.parametrize(("damping", "clicks"), [(900.0, 3), (200.0, 13)])
def test_a_damping_at_a_known_point_gives_its_clicks(damping: float, clicks: int) -> None:
    middle, spread = known_adjuster(((3.0, 900.0), (13.0, 200.0)), 16)
    assert clicks_for(damping, middle, 16, spread=spread).out == clicks


def test_known_points_move_the_rebound_and_the_reason_says_so() -> None:
    usual = recommend(read_request(BODY)).front
    known = recommend(read_request(with_points([[2, 900], [14, 200]])))
    assert usual is not None
    assert usual.rebound is not None
    assert known.front is not None
    assert known.front.rebound is not None
    wanted = usual.rebound.damping_n_s_per_m
    # Between the points the clicks are even in ratio: 900 falls to 200 over 12 clicks.
    step = (900 / 200) ** (1 / 12)
    out = known.front.rebound.out
    assert 900 / step ** (out - 2 + 0.5) < wanted < 900 / step ** (out - 2 - 0.5)
    assert any("between the two points entered" in note.message for note in known.reasons)


@pytest.mark.parametrize(
    "points",
    [[], [[2, 900]], [[2, 200], [14, 900]], [[14, 900], [2, 200]], [[2, 900], [61, 200]], [[2, 5], [14, 2]], "ab", 7],
)
def test_points_that_cannot_be_are_refused(points: Any) -> None:
    with pytest.raises(RequestError) as refused:
        read_request(with_points(points))
    assert [p.field for p in refused.value.problems] == ["front.rebound_points"]


def test_a_point_beyond_the_adjuster_is_refused() -> None:
    with pytest.raises(RequestError, match="beyond all 16"):
        read_request(with_points([[2, 900], [20, 200]]))
