"""Spacer stacks against brute force for random inventories, and what a changed travel does to a chamber."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules.physics.travel_change import Stack, geometry_change, stacks_for, volume_at_travel_cm3
from setup_rules.types.errors import LimitError

#: Whole and half millimetres, so that sums are exact in floating point.
SIZES = st.integers(2, 60).map(lambda half: half / 2)
INVENTORIES = st.dictionaries(SIZES, st.integers(0, 4), max_size=4)
LONGEST = st.integers(160, 440).map(lambda half: half / 2)


def every_choice(on_hand: dict[float, int]) -> Iterator[dict[float, int]]:
    """Yield every way to take some of the spacers, by counting through all of them."""
    for counts in itertools.product(*(range(n + 1) for n in on_hand.values())):
        yield {size: n for size, n in zip(on_hand, counts, strict=True) if n}


def length(choice: dict[float, int]) -> float:
    """Return how much travel a choice takes away [mm]."""
    return sum(size * n for size, n in choice.items())


@given(LONGEST, INVENTORIES, st.data())
def test_the_stacks_are_those_that_brute_force_finds(
    longest: float, on_hand: dict[float, int], data: st.DataObject
) -> None:
    reachable = sorted({longest - length(c) for c in every_choice(on_hand) if longest - length(c) > 0})
    travel = data.draw(st.sampled_from(reachable) | st.integers(1, int(longest)).map(float))
    wanted = [frozenset(c.items()) for c in every_choice(on_hand) if length(c) == longest - travel]
    found = stacks_for(longest, travel, on_hand)
    assert len(found.exact) == len(wanted)
    assert {frozenset(stack.pieces) for stack in found.exact} == set(wanted)
    assert [s.count for s in found.exact] == sorted(s.count for s in found.exact)
    assert all(stack.travel_mm == travel for stack in found.exact)


@given(LONGEST, INVENTORIES, st.data())
def test_without_a_stack_the_nearest_travels_are_those_that_brute_force_finds(
    longest: float, on_hand: dict[float, int], data: st.DataObject
) -> None:
    travel = data.draw(st.integers(1, int(longest)).map(float))
    lengths = {length(c) for c in every_choice(on_hand)}
    found = stacks_for(longest, travel, on_hand)
    if found.exact:
        assert not found.nearest
        return
    reachable = [longest - taken for taken in lengths if longest - taken > 0]
    shorter = max((t for t in reachable if t < travel), default=None)
    longer = min((t for t in reachable if t > travel), default=None)
    assert {s.travel_mm for s in found.nearest} == {t for t in (shorter, longer) if t is not None}
    for stack in found.nearest:
        assert longest - length(dict(stack.pieces)) == stack.travel_mm
        assert all(n <= on_hand[size] for size, n in stack.pieces)
        best = min(sum(c.values()) for c in every_choice(on_hand) if length(c) == longest - stack.travel_mm)
        assert stack.count == best


def test_ten_and_twenty_make_forty_in_every_way() -> None:
    found = stacks_for(140, 100, {10: 4, 20: 2})
    assert [s.pieces for s in found.exact] == [((20, 2),), ((20, 1), (10, 2)), ((10, 4),)]


def test_the_nearest_travels_take_the_fewest_pieces() -> None:
    # 145 cannot be: 160 - 15 wants a five. 150 is one ten and 140 one twenty, though two tens make it too.
    found = stacks_for(160, 145, {10: 2, 20: 1})
    assert found.exact == ()
    assert [(s.pieces, s.travel_mm) for s in found.nearest] == [(((20, 1),), 140), (((10, 1),), 150)]


def test_the_longest_travel_needs_no_spacer() -> None:
    assert stacks_for(140, 140, {10: 4}).exact == (Stack((), 140),)


@pytest.mark.parametrize(
    ("travel", "on_hand"),
    [(0, {10: 1}), (141, {10: 1}), (120, {-10: 1}), (120, {10: 21}), (120, {float(n): 1 for n in range(1, 10)})],
)
def test_what_cannot_be_is_refused(travel: float, on_hand: dict[float, int]) -> None:
    with pytest.raises(LimitError):
        stacks_for(140, travel, on_hand)


def test_a_chamber_follows_the_travel_there_and_back() -> None:
    there = volume_at_travel_cm3(165.0, 32.0, 140.0, 120.0)
    assert volume_at_travel_cm3(there, 32.0, 120.0, 140.0) == pytest.approx(165)
    with pytest.raises(LimitError, match="no room left at 40 mm"):
        volume_at_travel_cm3(20.0, 40.0, 140.0, 40.0)


@pytest.mark.parametrize(("wheelbase", "angle", "change"), [(600, 66, 10), (1200, 50, 10), (1200, 66, 130)])
def test_a_bike_that_cannot_be_is_refused(wheelbase: float, angle: float, change: float) -> None:
    with pytest.raises(LimitError, match="outside"):
        geometry_change(wheelbase, angle, change)


@pytest.mark.parametrize(
    ("wheelbase", "angle", "change"),
    [(700, 66, 10), (1600, 66, 10), (1200, 55, 10), (1200, 80, 10), (1200, 66, -120), (1200, 66, 120)],
)
def test_a_bike_at_the_ends_of_what_can_be_is_answered(wheelbase: float, angle: float, change: float) -> None:
    slacker = geometry_change(wheelbase, angle, change).head_angle_deg < 0
    assert slacker == (change > 0)


@pytest.mark.parametrize(
    ("wheelbase", "angle", "change"),
    [(699, 66, 10), (1601, 66, 10), (1200, 54, 10), (1200, 81, 10), (1200, 66, -121), (1200, 66, 121)],
)
def test_a_bike_just_beyond_what_can_be_is_refused(wheelbase: float, angle: float, change: float) -> None:
    with pytest.raises(LimitError, match="outside"):
        geometry_change(wheelbase, angle, change)


@pytest.mark.parametrize(
    ("longest", "travel", "on_hand"),
    [(140, 140, {10: 4}), (140, 1, {10: 4}), (140, 100, {10: 20}), (140, 100, dict.fromkeys(range(1, 9), 1))],
)
def test_travel_and_spacers_at_the_ends_of_what_can_be_are_answered(
    longest: float, travel: float, on_hand: dict[float, int]
) -> None:
    found = stacks_for(longest, travel, on_hand)
    assert found.exact or found.nearest


@pytest.mark.parametrize(
    ("travel", "on_hand"),
    [
        (0, {10: 4}),
        (141, {10: 4}),
        (100, {10: 21}),
        (100, {10: -1}),
        (100, {0: 1}),
        (100, dict.fromkeys(range(1, 10), 1)),
    ],
)
def test_travel_and_spacers_just_beyond_are_refused(travel: float, on_hand: dict[float, int]) -> None:
    with pytest.raises(LimitError):
        stacks_for(140, travel, on_hand)
