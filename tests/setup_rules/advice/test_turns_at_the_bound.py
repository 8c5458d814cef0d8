"""A measured swing at the very edge of right: figures that a computer holds exactly, so that no rounding decides."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules.advice import bounce_check as module
from setup_rules.advice.bounce_check import Turn, bounce_problems, find_turn, places_left
from setup_rules.types.request import SetupRequest
from setup_rules.types.result import BounceCheck, Change, RideReport, Setup, TakenBounce, TakenRide


def turn(monkeypatch: pytest.MonkeyPatch, ratio: float, out: int = 8, closed: tuple[int, ...] = ()) -> Turn:
    """Return the turn for a measured damping ratio where 0.625 is aimed at, on 16 clicks of 1 to 16."""
    monkeypatch.setattr(module, "REBOUND_RATIO", {"trail": 0.625})
    monkeypatch.setattr(module, "ratio_from_overshoot", lambda _share: ratio)
    return find_turn(BounceCheck(end="front", clicks_out=out, dip_mm=60.0, beyond_mm=12.0), "trail", 16, closed, 16.0)


@pytest.mark.parametrize(
    ("ratio", "direction"),
    [
        (0.625, 0),
        (0.75, 0),  # a fifth of 0.625 is 0.125
        (0.5, 0),
        (0.7501, 1),
        (0.4999, -1),
    ],
)
def test_a_ratio_within_a_fifth_of_the_aim_is_right(
    monkeypatch: pytest.MonkeyPatch, ratio: float, direction: int
) -> None:
    found = turn(monkeypatch, ratio)
    assert (found.direction, found.ratio) == (direction, ratio)
    assert (found.clicks > 0) is (direction != 0)


@pytest.mark.parametrize(
    ("ratio", "clicks"),
    [
        # 16·ln(r/0.625)/ln 16: a factor of √2 is two clicks, 2 are four, which is a quarter of all.
        (0.8839, 2),
        (1.25, 4),
        (2.5, 4),
        (0.4419, -2),
        (0.3125, -4),
        (0.1, -4),
        (0.76, 1),
    ],
)
def test_the_turn_is_as_large_as_the_ratio_asks_up_to_a_quarter(
    monkeypatch: pytest.MonkeyPatch, ratio: float, clicks: int
) -> None:
    found = turn(monkeypatch, ratio)
    assert found.direction * found.clicks == clicks
    assert not found.at_end


@pytest.mark.parametrize(
    ("ratio", "out", "closed", "found"),
    [
        (1.25, 14, (), Turn(1, 2, ratio=1.25)),
        (1.25, 16, (), Turn(1, at_end=True, ratio=1.25)),
        (0.3125, 3, (), Turn(-1, 3, ratio=0.3125)),
        (0.3125, 0, (), Turn(-1, at_end=True, ratio=0.3125)),
        (1.25, 8, (12,), Turn(1, 2, ratio=1.25)),  # not back to 12: half of the way
        (1.25, 8, (13,), Turn(1, 4, ratio=1.25)),
        (1.25, 8, (9,), Turn(1, 0, ratio=1.25)),
        (0.3125, 8, (6,), Turn(-1, 1, ratio=0.3125)),
    ],
)
def test_a_turn_ends_at_the_adjuster_and_before_what_was_left(
    monkeypatch: pytest.MonkeyPatch, ratio: float, out: int, closed: tuple[int, ...], found: Turn
) -> None:
    assert turn(monkeypatch, ratio, out, closed) == found


@pytest.mark.parametrize(
    ("given", "direction"),
    [
        ({"seen": "less"}, 1),
        ({"seen": "about_right"}, 0),
        ({"seen": "more"}, -1),
        ({"seen": "several_swings"}, -1),
    ],
)
def test_what_was_seen_has_no_ratio(given: dict[str, Any], direction: int) -> None:
    clicks = 4 if direction else 0
    assert find_turn(BounceCheck(end="front", clicks_out=8, **given), "trail", 16, (), 6.0) == Turn(direction, clicks)


@pytest.mark.parametrize(("name", "other"), [("front", "rear"), ("rear", "front")])
def test_only_what_the_own_end_left_is_closed(name: Any, other: Any) -> None:
    def left(end: Any) -> tuple[int, ...]:
        change = Change(end=end, kind="rebound", amount=-2.0, before=11.0)
        rides = (TakenRide(report=RideReport(end=end), change=change),)
        bounces = (TakenBounce(end=end, clicks_out=10, direction=-1),)
        request = SetupRequest(rider_mass_kg=78.0, riding_style="trail")
        setup = Setup(request=request, front=None, rear=None, cautions=(), reasons=(), rides=rides, bounces=bounces)
        return places_left(setup, name, 8, 1)

    assert left(name) == (10, 11)
    assert left(other) == ()


@pytest.mark.parametrize(("beyond", "wrong"), [(12.0, False), (-5.0, True), (70.0, True)])
def test_a_swing_lies_between_nothing_and_the_dip(beyond: float, wrong: bool) -> None:
    found = bounce_problems(BounceCheck(end="front", clicks_out=8, dip_mm=60.0, beyond_mm=beyond), 16)
    assert [one.field for one in found] == ["beyond_mm"] * wrong
