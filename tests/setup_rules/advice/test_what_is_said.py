"""Which sentence, with which values, an answer says where its code alone would not tell right from wrong."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules import BounceCheck, RequestError, Setup, apply_bounce_check, apply_ride, apply_sag_check, recommend
from setup_rules import read_request as read
from setup_rules.messages.message import Message
from setup_rules.types.result import RideReport, SagCheck

FRONT: dict[str, Any] = {"travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16, "compression_clicks": 12}
BASE: dict[str, Any] = {"rider_mass_kg": 78, "riding_style": "trail", "front": FRONT}
START: Setup = recommend(read(BASE))


def bounced(**given: Any) -> Message:
    """Return the sentence after a bounce check of the fork."""
    return apply_bounce_check(START, BounceCheck(end="front", **given)).advice[0].said


@pytest.mark.parametrize(
    ("given", "key"),
    [
        ({"clicks_out": 16, "seen": "creeps_back"}, "rebound_at_end.open"),
        ({"clicks_out": 0, "seen": "several_swings"}, "rebound_at_end.closed"),
        ({"clicks_out": 8, "seen": "creeps_back"}, "rebound_turn.out"),
        ({"clicks_out": 8, "seen": "several_swings"}, "rebound_turn.in"),
        ({"clicks_out": 8, "seen": "one_swing"}, "rebound_right"),
    ],
)
def test_a_bounce_check_says_which_way_and_at_which_stop(given: dict[str, Any], key: str) -> None:
    assert bounced(**given).key == key


def test_a_measured_bounce_says_the_ratio_and_the_aim_beside_the_turn() -> None:
    """Overshoot 25.38 % is a damping ratio of 0.4 (python-control's table in physics); a trail setup aims at 0.42."""
    said = bounced(clicks_out=8, dip_mm=100.0, beyond_mm=25.4)
    assert said.key == "rebound_right.measured"
    assert said.values["ratio"] == pytest.approx(0.40, abs=0.005)


def test_a_measured_bounce_at_the_stop_says_so_with_the_ratio() -> None:
    assert bounced(clicks_out=0, dip_mm=100.0, beyond_mm=70.0).key == "rebound_at_end.closed.measured"
    assert bounced(clicks_out=16, dip_mm=100.0, beyond_mm=1.0).key == "rebound_at_end.open.measured"


def test_a_volume_spacer_is_named_with_the_work_that_it_adds() -> None:
    after = apply_ride(measured(), RideReport(end="front", felt=("hits_the_end",)))
    said, fork = after.advice[0].said, after.front
    assert fork is not None
    assert said.key == "ride_volume_spacers.more.fork"
    assert said.values["total"] == 1
    assert 1 <= float(said.values["work"]) <= 30  # type: ignore[arg-type]  # per cent more, not the factor's hundred


def test_a_change_of_clicks_is_told_with_its_count_and_where_it_ends() -> None:
    before = START.front
    after = apply_ride(measured(), RideReport(end="front", felt=("kicks_back",)))
    said, fork = after.advice[0].said, after.front
    assert before is not None
    assert fork is not None
    assert before.rebound is not None
    assert fork.rebound is not None
    assert said.key == "ride_rebound.in.fork"
    assert said.values["out"] == fork.rebound.out == before.rebound.out - int(said.values["count"])  # type: ignore[arg-type]
    assert said.values["total"] == 16


def measured() -> Setup:
    """Return the start with the fork's sag read on target."""
    fork = START.front
    assert fork is not None
    readings = (round(fork.sag_expected_mm, 1),) * 3
    return apply_sag_check(START, SagCheck(end="front", pressure_pa=fork.pressure_pa, readings_mm=readings))


def test_readings_that_lie_apart_are_refused_with_both_and_the_difference() -> None:
    fork = START.front
    assert fork is not None
    check = SagCheck(end="front", pressure_pa=fork.pressure_pa, readings_mm=(10.0, 50.0))
    with pytest.raises(RequestError) as refused:
        apply_sag_check(START, check)
    said = refused.value.problems[0].said
    assert isinstance(said, Message)
    assert (said.key, said.values) == ("sag_check.apart", {"low": 10, "high": 50, "apart": 40, "allowed": 35})


def test_a_short_ride_with_travel_left_over_says_nothing_of_itself_once_something_was_felt() -> None:
    quiet = apply_ride(measured(), RideReport(end="front", travel_used_mm=60.0))
    assert quiet.rides[-1].change.kind != "none"
    whole = apply_ride(measured(), RideReport(end="front", travel_used_mm=139.0))
    assert whole.rides[-1].change.kind == "none"
