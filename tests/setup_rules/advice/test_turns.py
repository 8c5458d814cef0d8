"""The turn that a bounce check asks for, called by itself: every bound at its number, worked out on paper.

A damping ratio ζ swings exp(−πζ/√(1 − ζ²)) of a dip beyond standing height; trail aims at 0.42, which is 23.4 %.
"""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules.advice.bounce_check import (
    Turn,
    aimed_swing,
    bounce_problems,
    find_turn,
    first_step,
    places_left,
    remember,
)
from setup_rules.types.request import SetupRequest
from setup_rules.types.result import BounceCheck, Change, RideReport, Setup, TakenBounce, TakenRide


def check_of(clicks_out: int = 8, **given: Any) -> BounceCheck:
    """Return a check of the fork."""
    return BounceCheck(end="front", clicks_out=clicks_out, **given)


def refused(clicks_out: int = 8, **given: Any) -> list[tuple[str, str, dict[str, Any]]]:
    """Return field, key and values of what is wrong with a check on 16 clicks."""
    found = []
    for problem in bounce_problems(check_of(clicks_out, **given), 16):
        assert not isinstance(problem.said, str)
        found.append((problem.field, problem.said.key, dict(problem.said.values)))
    return found


@pytest.mark.parametrize(("out", "wrong"), [(0, False), (16, False), (-1, True), (17, True)])
def test_clicks_are_on_the_adjuster(out: int, wrong: bool) -> None:
    found = refused(out, seen="less")
    assert found == [("clicks_out", "bounce.clicks", {"clicks": out, "total": 16})] * wrong


def test_a_check_is_seen_or_measured_not_both_and_not_neither() -> None:
    assert refused() == refused(seen="less", dip_mm=60.0) == [("seen", "bounce.one_way", {})]


def test_an_unknown_word_is_refused_with_the_choices_and_cut() -> None:
    (problem,) = refused(seen="x" * 50)
    shown = "'" + "x" * 40 + "'"
    assert problem == ("seen", "problem.unknown_choice", {"found": shown, "choices": "less, about_right, more"})
    assert refused(seen="one_swing") == []


@pytest.mark.parametrize(
    ("dip", "beyond", "wrong"),
    [
        (60.0, 20.0, False),
        (60.0, 0.0, True),
        (60.0, 0.5, False),
        (60.0, None, True),
        (60.0, 60.0, True),
        (60.0, 59.5, False),
        (250.0, 20.0, False),
        (250.5, 20.0, True),
    ],
)
def test_a_swing_is_smaller_than_its_dip_and_the_dip_than_a_quarter_metre(
    dip: float, beyond: float | None, wrong: bool
) -> None:
    found = refused(dip_mm=dip, beyond_mm=beyond)
    assert found == [("beyond_mm", "bounce.swing", {"beyond": beyond or 0, "dip": dip})] * wrong


def test_trail_aims_at_a_swing_of_a_quarter() -> None:
    assert aimed_swing("trail") == pytest.approx(0.2337, abs=5e-4)


@pytest.mark.parametrize(("total", "clicks"), [(16, 4), (1, 1), (2, 1), (6, 2), (7, 2), (30, 8)])
def test_a_first_turn_is_a_quarter_of_the_clicks(total: int, clicks: int) -> None:
    assert first_step(total) == clicks


def turn(out: int = 8, closed: tuple[int, ...] = (), **given: Any) -> Turn:
    """Return the turn on an adjuster of 16 clicks whose damping closed is 6 times that open, for trail."""
    return find_turn(check_of(out, **given), "trail", 16, closed, 6.0)


@pytest.mark.parametrize(
    ("seen", "wanted"),
    [
        ("less", Turn(1, 4)),
        ("more", Turn(-1, 4)),
        ("about_right", Turn(0)),
        ("creeps_back", Turn(1, 4)),
        ("several_swings", Turn(-1, 4)),
        ("one_swing", Turn(0)),
        (None, Turn(0)),
    ],
)
def test_less_swing_asks_for_quicker_and_more_for_slower(seen: str | None, wanted: Turn) -> None:
    assert turn(seen=seen) == wanted


@pytest.mark.parametrize(
    ("out", "seen", "wanted"),
    [
        (13, "less", Turn(1, 3)),
        (15, "less", Turn(1, 1)),
        (16, "less", Turn(1, at_end=True)),
        (3, "more", Turn(-1, 3)),
        (1, "more", Turn(-1, 1)),
        (0, "more", Turn(-1, at_end=True)),
        (0, "less", Turn(1, 4)),
        (16, "more", Turn(-1, 4)),
    ],
)
def test_a_turn_ends_at_the_end_of_the_adjuster(out: int, seen: str, wanted: Turn) -> None:
    assert turn(out, seen=seen) == wanted


@pytest.mark.parametrize(("closed", "clicks"), [((13,), 4), ((12,), 2), ((10,), 1), ((9,), 0), ((13, 10), 1)])
def test_a_turn_is_halved_until_it_stays_clear_of_places_left_before(closed: tuple[int, ...], clicks: int) -> None:
    assert turn(closed=closed, seen="less") == Turn(1, clicks)


@pytest.mark.parametrize(
    ("beyond", "ratio", "direction", "clicks"),
    [
        # 0.42·1.3 = 0.546 swings 12.91 %; 16·ln 1.3/ln 6 = 2.3 clicks.
        (12.91, 0.546, 1, 2),
        # 0.42/1.3 = 0.323 swings 34.2 %.
        (34.21, 0.323, -1, 2),
        # 0.504, a fifth above the aim, swings 16.0 %; 0.336, a fifth below, 32.6 %.
        (16.1, 0.503, 0, 0),
        (15.9, 0.505, 1, 2),
        (32.5, 0.337, 0, 0),
        (32.7, 0.335, -1, 2),
        # Far off a turn is no larger than a quarter.
        (1.0, 0.826, 1, 4),
        (80.0, 0.071, -1, 4),
    ],
)
def test_a_measured_swing_turns_as_far_as_its_ratio_asks(
    beyond: float, ratio: float, direction: int, clicks: int
) -> None:
    found = turn(dip_mm=100.0, beyond_mm=beyond)
    assert (found.direction, found.clicks, found.at_end) == (direction, clicks, False)
    assert found.ratio == pytest.approx(ratio, abs=1.5e-3)


def test_a_measured_swing_outside_of_the_dead_band_turns_one_click_at_least() -> None:
    # On 2 clicks 2·ln 1.3/ln 6 = 0.3 clicks.
    assert find_turn(check_of(1, dip_mm=100.0, beyond_mm=12.91), "trail", 2, (), 6.0).clicks == 1
    # At the end of the adjuster the ratio is still told.
    found = turn(16, dip_mm=100.0, beyond_mm=12.91)
    assert (found.at_end, found.clicks) == (True, 0)
    assert found.ratio == pytest.approx(0.546, abs=1e-3)


# What was tried before


def bounce(out: int, direction: int, end: Any = "front") -> TakenBounce:
    """Return a bounce check that was taken."""
    return TakenBounce(end=end, clicks_out=out, direction=direction)


def ride(before: float | None, amount: float, kind: Any = "rebound", end: Any = "front") -> TakenRide:
    """Return a ride that asked for a change."""
    return TakenRide(report=RideReport(end=end), change=Change(end=end, kind=kind, amount=amount, before=before))


def setup_with(*bounces: TakenBounce, rides: tuple[TakenRide, ...] = ()) -> Setup:
    """Return an answer with what was tried before."""
    request = SetupRequest(rider_mass_kg=78.0, riding_style="trail")
    return Setup(request=request, front=None, rear=None, cautions=(), reasons=(), bounces=bounces, rides=rides)


@pytest.mark.parametrize(("direction", "places"), [(1, (10, 9)), (-1, (6, 7))])
def test_places_ahead_that_were_left_for_the_other_way_are_closed(direction: int, places: tuple[int, ...]) -> None:
    setup = setup_with(
        *(bounce(10, -1), bounce(9, -1), bounce(8, -1), bounce(8, 1), bounce(7, -1), bounce(11, 1), bounce(12, 0)),
        *(bounce(6, 1), bounce(7, 1), bounce(10, -1, "rear"), bounce(6, 1, "rear")),
    )
    assert places_left(setup, "front", 8, direction) == places


def test_rides_leave_places_too() -> None:
    rides = (
        *(ride(10.0, -2.0), ride(11.0, 2.0), ride(None, -1.0)),
        *(ride(9.0, -1.0, "compression"), ride(9.0, -1.0, end="rear")),
    )
    assert places_left(setup_with(bounce(12, -1), rides=rides), "front", 8, 1) == (12, 10)


def test_an_answer_is_remembered_once_and_all_is_right_ends_its_ends_search() -> None:
    before = (bounce(8, 1), bounce(10, -1), bounce(7, 1, "rear"))
    setup = setup_with(*before)
    assert remember(setup, check_of(9), 1) == (*before, bounce(9, 1))
    assert remember(setup, check_of(8), 1) == (bounce(10, -1), bounce(7, 1, "rear"), bounce(8, 1))
    assert remember(setup, check_of(9), 0) == (bounce(7, 1, "rear"), bounce(9, 0))
