"""What is told of a ride report that does not go together, and which earlier rides close a way: numbers on paper."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice.ride_report import next_change, report_problems
from setup_rules.messages.message import Message
from setup_rules.types.feedback import FELT
from setup_rules.types.request import RearEnd
from setup_rules.types.result import EndSetup, RideReport, Setup, TakenBounce
from tests.setup_rules.advice.test_next_change import COMPLETE, RESULT, SETUP, asked, ridden

#: A shock that stands as the fork of `SETUP` does, on 140 mm of a stroke.
SHOCK = RearEnd(stroke_mm=140.0, leverage_start=2.8, rebound_clicks=16, compression_clicks=12, volume_spacers=1)
REAR = replace(SETUP, request=replace(SETUP.request, rear=SHOCK), rear=replace(RESULT, end="rear"))


def told(report: RideReport, setup: Setup = SETUP) -> list[tuple[str, str, dict[str, Any]]]:
    """Return field, key and values of what is wrong with a report."""
    found = report_problems(setup, report)
    return [(one.field, one.said.key, dict(one.said.values)) for one in found if isinstance(one.said, Message)]


@pytest.mark.parametrize(
    ("felt", "given", "key", "values"),
    [
        ((), {"travel_used_mm": 141.5}, "ride.travel_used", {"used": 141.5, "travel": 140}),
        ((), {"hard_hits": -1}, "ride.hard_hits", {"hits": -1}),
        (("travel_left_over",), {"hard_hits": 3}, "ride.hits.travel_left_over", {"hits": 3}),
        ((), {"travel_used_mm": 120.0, "hard_hits": 1}, "ride.hits_with_travel_left", {"used": 120, "travel": 140}),
        (
            ("travel_left_over",),
            {"travel_used_mm": 136.0},
            "ride.left_over_with_travel_used",
            {"used": 136, "travel": 140},
        ),
        (("floats",), {}, "problem.unknown_choice", {"found": "'floats'", "choices": ", ".join(FELT)}),
    ],
)
def test_what_does_not_go_together_is_told_with_its_numbers(
    felt: tuple[str, ...], given: dict[str, Any], key: str, values: dict[str, Any]
) -> None:
    assert [said[1:] for said in told(RideReport(end="front", felt=felt, **given))] == [(key, values)]


def test_everything_that_is_wrong_is_told_at_once() -> None:
    report = RideReport(end="front", felt=("floats", "sinks"), travel_used_mm=150.0, hard_hits=2000)
    assert [field for field, _, _ in told(report)] == ["felt", "felt", "travel_used_mm", "hard_hits"]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("kicks_back", "packs_down"),
        ("hits_the_end", "travel_left_over"),
        ("dives", "travel_left_over"),
        ("wallows", "harsh_small_hits"),
    ],
)
def test_opposite_feelings_are_told_in_either_order(one: str, other: str) -> None:
    wanted: list[tuple[str, str, dict[str, Any]]] = [("felt", f"ride.opposite.{one}.{other}", {})]
    assert told(RideReport(end="front", felt=(one, other))) == wanted
    assert told(RideReport(end="front", felt=(other, one))) == wanted


def test_an_end_that_is_not_there_was_not_ridden() -> None:
    assert told(RideReport(end="rear", felt=("dives",))) == [("end", "problem.no_shock", {})]
    assert told(RideReport(end="front", felt=("dives",)), replace(SETUP, front=None)) == [
        ("end", "problem.no_fork", {})
    ]
    assert told(RideReport(end="rear", felt=("dives",)), REAR) == []
    # Each end is judged by its own travel and its own spring.
    short: EndSetup = replace(RESULT, end="rear", travel_mm=60.0)
    assert told(RideReport(end="rear", travel_used_mm=100.0), replace(REAR, rear=short))[0][1] == "ride.travel_used"
    stiff = replace(RESULT, end="rear", coil=replace(COMPLETE, stroke_needed_mm=70.0))
    assert [said[0] for said in told(RideReport(end="rear", felt=("dives",)), replace(REAR, rear=stiff))] == ["end"]


@pytest.mark.parametrize("kind", ["sag_target", "volume_spacers", "spring_rate", "compression", "none", "workshop"])
def test_only_rides_that_turned_the_same_adjuster_close_its_way(kind: str) -> None:
    # A rebound left at 9 clicks for slower would leave no way out from 8; anything else that was 9 says nothing of it.
    assert asked("packs_down", setup=replace(SETUP, rides=(ridden(9.0, -1.0, kind=kind),))) == ("rebound", 2.0)


@pytest.mark.parametrize("kind", ["rebound", "sag_target", "volume_spacers", "spring_rate", "none"])
def test_nor_do_others_close_the_way_of_compression(kind: str) -> None:
    rides = replace(SETUP, rides=(ridden(5.0, 1.0, kind=kind),), front=replace(RESULT, pressure_pa=120.0))
    assert asked("wallows", setup=rides) == ("compression", -2.0)
    left = replace(rides, rides=(ridden(5.0, 1.0, kind="compression"),))
    assert asked("wallows", setup=left) == ("workshop", 0.0)


def test_a_bounce_check_of_the_other_end_closes_nothing() -> None:
    bounces = (
        TakenBounce(end="rear", clicks_out=9, direction=-1),
        TakenBounce(end="front", clicks_out=11, direction=-1),
    )
    assert asked("packs_down", setup=replace(SETUP, bounces=bounces)) == ("rebound", 2.0)


@pytest.mark.parametrize(("before", "amount"), [(24.0, 1.0), (23.0, 0.0), (25.0, 2.0), (24.5, 2.0)])
def test_a_target_that_was_left_is_not_gone_back_to(before: float, amount: float) -> None:
    # From 22 % two points more are 24 %: where 24 was left for less, one point; where 23 was, none.
    setup = replace(SETUP, rides=(ridden(before, -2.0, kind="sag_target"),))
    assert asked("harsh_small_hits", setup=setup) == (("sag_target", amount) if amount else ("compression", 2.0))


def test_the_end_of_a_ride_is_judged_by_its_own_numbers() -> None:
    rear = next_change(REAR, RideReport(end="rear", felt=("kicks_back",)))
    assert (rear.end, rear.kind, rear.amount, rear.before) == ("rear", "rebound", -2.0, 8.0)
    with pytest.raises(KeyError, match="rear"):
        next_change(SETUP, RideReport(end="rear", felt=("kicks_back",)))
    with pytest.raises(KeyError, match="front"):
        next_change(replace(SETUP, front=None), RideReport(end="front", felt=("kicks_back",)))


def test_a_coil_takes_no_volume_spacers_and_air_no_spring() -> None:
    on_coil = {"coil": COMPLETE, "compression": None, "limited": True}
    assert asked("hits_the_end", end=on_coil) == ("workshop", 0.0)
    assert asked("travel_left_over", end=on_coil) == ("workshop", 0.0)


def test_what_the_other_end_was_ridden_and_bounced_with_closes_nothing() -> None:
    # From 8 clicks out two more are 10: a fork left at 9 says nothing of its shock.
    fork = replace(REAR, rides=(ridden(9.0, -1.0),), bounces=(TakenBounce(end="front", clicks_out=9, direction=-1),))
    assert next_change(fork, RideReport(end="rear", felt=("packs_down",))).amount == 2.0
    # Its own ride does, and its sag is the least that trail has behind: 25 to 30 %, and 3 points beyond.
    own = replace(REAR, rides=(ridden(9.0, -1.0, end="rear"),))
    assert next_change(own, RideReport(end="rear", felt=("packs_down",))).kind == "workshop"
    own = replace(REAR, bounces=(TakenBounce(end="rear", clicks_out=10, direction=-1),))
    assert next_change(own, RideReport(end="rear", felt=("packs_down",))).amount == 1.0
