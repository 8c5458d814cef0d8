"""The bounce check: what is seen becomes a damping ratio, and that a turn of the adjuster."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules import BounceCheck, EndSetup, RequestError, Setup, apply_bounce_check, read_request, recommend, what_if
from setup_rules.advice.bounce_check import LARGEST_STEP, clicks_to_turn, seen_ratio
from setup_rules.types.constants import REBOUND_RATIO
from setup_rules.types.feedback import SEEN

FRONT: dict[str, Any] = {"travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16, "compression_clicks": 12}
REAR: dict[str, Any] = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "rebound_clicks": 14}
STYLES = ("cross_country", "trail", "enduro", "downhill", "park")


def setup_of(**front: Any) -> Setup:
    """Return a setup of both ends."""
    data = {"rider_mass_kg": 78, "riding_style": "trail", "front": {**FRONT, **front}, "rear": REAR}
    return recommend(read_request(data))


def front_of(setup: Setup) -> EndSetup:
    """Return the fork, which is there."""
    assert setup.front is not None
    return setup.front


def out_of(setup: Setup) -> int:
    """Return the fork's rebound clicks out."""
    rebound = front_of(setup).rebound
    assert rebound is not None
    return rebound.out


def checked(setup: Setup | None = None, clicks_out: int = 8, **given: Any) -> Setup:
    """Return the setup after a bounce check of the fork."""
    return apply_bounce_check(setup or setup_of(), BounceCheck(end="front", clicks_out=clicks_out, **given))


def refused(clicks_out: int = 8, **given: Any) -> list[str]:
    """Return the fields that a check is refused for."""
    with pytest.raises(RequestError) as error:
        checked(clicks_out=clicks_out, **given)
    assert all(p.message for p in error.value.problems)
    return [p.field for p in error.value.problems]


def test_several_swings_are_answered_with_slower_rebound_and_creeping_back_with_quicker() -> None:
    assert out_of(checked(seen="several_swings")) < 8
    assert out_of(checked(seen="creeps_back")) > 8


def test_one_swing_is_the_aim_of_a_trail_setup_and_keeps_the_clicks() -> None:
    after = checked(seen="one_swing")
    assert out_of(after) == 8
    assert after.advice[0].code == "rebound_right"


def test_the_answer_counts_from_the_clicks_as_set_not_from_those_advised() -> None:
    assert [out_of(checked(clicks_out=n, seen="several_swings")) for n in (6, 10, 16)] == [2, 6, 12]


def test_no_check_turns_more_than_a_quarter_of_the_adjuster() -> None:
    for style in STYLES:
        for total in (4, 16, 60):
            turns = [clicks_to_turn(ratio, style, total) for ratio in (0.05, 5.0)]
            assert turns == [-round(LARGEST_STEP * total), round(LARGEST_STEP * total)]


@given(st.floats(0.05, 3.0), st.floats(1.01, 3.0), st.sampled_from(STYLES), st.integers(1, 60))
def test_the_more_damping_was_seen_the_further_out_it_turns(ratio: float, more: float, style: str, total: int) -> None:
    assert clicks_to_turn(ratio * more, style, total) >= clicks_to_turn(ratio, style, total)


@pytest.mark.parametrize("style", STYLES)
def test_the_styles_own_damping_ratio_needs_no_turn(style: str) -> None:
    assert clicks_to_turn(REBOUND_RATIO[style], style, 20) == 0


def test_a_turn_never_leaves_the_adjuster_and_its_end_is_said() -> None:
    shut = checked(clicks_out=0, seen="several_swings")
    assert out_of(shut) == 0
    assert shut.advice[0].code == "rebound_at_end"
    assert "qualified mechanic" in shut.advice[0].message
    assert checked(clicks_out=16, seen="creeps_back").advice[0].code == "rebound_at_end"
    assert out_of(checked(clicks_out=15, seen="creeps_back")) == 16


@given(st.floats(0.12, 0.9))
def test_a_measured_swing_means_the_ratio_of_an_oscillator_with_that_overshoot(ratio: float) -> None:
    share = math.exp(-math.pi * ratio / math.sqrt(1 - ratio**2))
    check = BounceCheck(end="front", clicks_out=8, dip_mm=60.0, beyond_mm=60.0 * share)
    assert seen_ratio(check, 2.0) == pytest.approx(ratio, rel=1e-9)


@given(st.floats(0.15, 0.9), st.floats(1.0, 4.0))
def test_counted_frames_mean_half_a_damped_period(ratio: float, frequency: float) -> None:
    half_period_s = 0.5 / (frequency * math.sqrt(1.0 - ratio**2))
    frames = round(half_period_s * 10_000)
    check = BounceCheck(end="front", clicks_out=8, frames=frames, frames_per_second=10_000.0)
    assert seen_ratio(check, frequency) == pytest.approx(ratio, abs=0.01)


def test_frames_faster_than_an_undamped_swing_count_as_hardly_damped() -> None:
    check = BounceCheck(end="front", clicks_out=8, frames=10, frames_per_second=240.0)
    assert seen_ratio(check, 2.0) == pytest.approx(0.1)


@pytest.mark.parametrize("seen", sorted(SEEN))
def test_only_the_clicks_of_that_end_change(seen: str) -> None:
    before = setup_of()
    after = checked(before, seen=seen)
    assert after.rear == before.rear
    assert front_of(after).compression == front_of(before).compression
    assert front_of(after).pressure_pa == front_of(before).pressure_pa
    assert front_of(after).sag_expected_mm == front_of(before).sag_expected_mm
    assert after.settled is None


def test_clicks_lost_beyond_the_end_of_the_adjuster_do_not_count() -> None:
    start = setup_of(rebound_offset_clicks=50)
    assert out_of(start) == 16
    after = checked(start, clicks_out=16, seen="several_swings")
    assert out_of(after) == 12
    assert "to 12 of 16" in after.advice[0].message


def test_a_bounce_is_remembered_when_the_rider_changes() -> None:
    before = setup_of()
    turned = checked(before, clicks_out=out_of(before), seen="several_swings")
    by = out_of(turned) - out_of(before)
    assert by < 0
    assert out_of(what_if(turned, {"rider_mass_kg": 90})) == out_of(what_if(before, {"rider_mass_kg": 90})) + by


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({}, "seen"),
        ({"seen": "floats"}, "seen"),
        ({"seen": "one_swing", "dip_mm": 60.0, "beyond_mm": 10.0}, "seen"),
        ({"dip_mm": 60.0}, "beyond_mm"),
        ({"dip_mm": 60.0, "beyond_mm": 60.0}, "beyond_mm"),
        ({"dip_mm": 60.0, "beyond_mm": -1.0}, "beyond_mm"),
        ({"dip_mm": float("nan"), "beyond_mm": 10.0}, "beyond_mm"),
        ({"frames": 40}, "frames"),
        ({"frames": 1, "frames_per_second": 240.0}, "frames"),
        ({"frames": 1000, "frames_per_second": 240.0}, "frames"),
        ({"seen": "one_swing", "clicks_out": 17}, "clicks_out"),
        ({"seen": "one_swing", "clicks_out": -1}, "clicks_out"),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(given: dict[str, Any], field: str) -> None:
    assert refused(**given) == [field]


def test_an_end_that_is_not_there_is_refused() -> None:
    data = {"rider_mass_kg": 78, "riding_style": "trail", "front": FRONT}
    with pytest.raises(RequestError, match="no shock"):
        apply_bounce_check(recommend(read_request(data)), BounceCheck(end="rear", clicks_out=3, seen="one_swing"))


def test_two_known_points_of_the_damper_decide_how_far_a_turn_goes() -> None:
    narrow = setup_of(rebound_points=[[2, 700.0], [14, 500.0]])
    wide = setup_of(rebound_points=[[2, 3000.0], [14, 100.0]])
    turned = [out_of(checked(s, clicks_out=8, seen="straight_back")) for s in (narrow, wide)]
    assert turned[0] > turned[1] > 8
