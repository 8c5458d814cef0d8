"""Travel spacers at their bounds: the smallest, the nearly right, too many to list; and a fork's length by default."""

from __future__ import annotations

import math

import pytest

from setup_rules.physics.travel_change import (
    MOST_STACKS,
    Stack,
    _find_fillings,
    geometry_change,
    stacks_for,
    volume_at_travel_cm3,
)
from setup_rules.types.errors import LimitError


def test_half_a_millimetre_of_travel_and_of_spacer_are_answered() -> None:
    assert stacks_for(1.0, 0.5, {0.5: 1}).exact == (Stack(((0.5, 1),), 0.5),)
    assert stacks_for(140.0, 139.5, {0.5: 2, 20: 1}).exact == (Stack(((0.5, 1),), 139.5),)


def test_up_to_a_twentieth_of_a_millimetre_a_stack_is_right() -> None:
    assert stacks_for(0.1, 0.05, {10: 1}).exact == (Stack((), 0.05),)
    assert stacks_for(0.2, 0.1, {0.05: 1}).exact == (Stack(((0.05, 1),), 0.1),)
    assert stacks_for(140.0, 130.0, {9.96: 1}).exact == (Stack(((9.96, 1),), 130.0),)
    assert stacks_for(140.0, 130.0, {10.04: 1}).exact == (Stack(((10.04, 1),), 130.0),)
    for size in (9.9, 10.0501, 10.05, 10.1):  # 10 - 10.05 is a little more than 0.05 off in a computer's numbers
        assert not stacks_for(140.0, 130.0, {size: 1}).exact


def test_a_size_of_which_there_is_none_is_no_choice() -> None:
    found = stacks_for(140.0, 130.0, {10: 0, 5: 2})
    assert found.exact == (Stack(((5, 2),), 130.0),)
    assert stacks_for(140.0, 130.0, {10: 0}).nearest == (Stack((), 140.0),)


def test_no_more_than_two_hundred_stacks_are_listed_fewest_pieces_first() -> None:
    on_hand = dict.fromkeys(map(float, range(1, 9)), 20)
    found = stacks_for(140.0, 100.0, on_hand).exact
    assert len(found) == MOST_STACKS == 200
    assert found[0] == Stack(((8.0, 5),), 100.0)
    counts = [stack.count for stack in found]
    assert counts == sorted(counts)


def test_the_search_itself_ends_with_twenty_times_as_many() -> None:
    on_hand = dict.fromkeys(map(float, range(1, 9)), 20)
    assert len(_find_fillings(60.0, sorted(on_hand, reverse=True), on_hand)) == 4000


def test_nearest_travels_leave_some_travel() -> None:
    # Two of 70 would leave none of 140, three less than none.
    found = stacks_for(140.0, 30.0, {70: 3})
    assert found.nearest == (Stack(((70, 1),), 70.0),)


def test_a_usual_trail_bike_stands_for_what_is_not_given() -> None:
    # Rear axle to bottom bracket 435 mm, 25 mm of drop: our estimates.
    assert geometry_change(1200.0, 66.0, 10.0) == geometry_change(1200.0, 66.0, 10.0, 435.0, 25.0)


def test_a_longer_fork_lifts_the_bottom_bracket_by_the_turn_about_the_rear_axle() -> None:
    # The fork's end goes 20·cos 66° = 8.1347 mm ahead and 20·sin 66° = 18.2709 mm down: a turn of
    # atan(18.2709/1208.1347) = 0.015122 rad. 435 mm behind turns 435·0.015121 = 6.578 mm up, 25 mm below turns
    # 25·(1 − cos) = 0.003 mm.
    change = geometry_change(1200.0, 66.0, 20.0)
    assert change.bottom_bracket_mm == pytest.approx(6.581, abs=2e-3)
    # √(1208.1347² + 18.2709²) − 1200.
    assert change.wheelbase_mm == pytest.approx(8.2728, abs=1e-3)
    # From bottom bracket to front axle: √(773.1347² + 6.7291²) − √(765² + 25²) = 773.1640 − 765.4084.
    assert change.front_centre_mm == pytest.approx(7.7556, abs=2e-3)
    assert change.head_angle_deg == pytest.approx(-math.degrees(0.015122), abs=1e-4)


def test_a_chamber_without_any_room_is_refused_and_next_to_nothing_is_not() -> None:
    with pytest.raises(LimitError):
        volume_at_travel_cm3(0.0, 32.0, 140.0, 140.0)
    assert volume_at_travel_cm3(0.0005, 32.0, 140.0, 140.0) == pytest.approx(0.0005)
    # 32 mm: 804.248 mm², 10 mm of it 8.042 cm³.
    assert volume_at_travel_cm3(165.0, 32.0, 140.0, 150.0) == pytest.approx(173.042, abs=1e-3)
