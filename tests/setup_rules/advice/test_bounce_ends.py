"""Any order of answers to bounce checks and rides comes to an end, and never stands at a stop without saying so.

Rules 1 read "one small swing" alike for every style: answered every time, it ran a downhill fork from 8 clicks to fully
closed in four checks, an enduro fork in eight, and a cross-country fork from 7 to fully open in nine. The answers are
now relative to the style's aim. "About right" ends a search; whoever finds fault again afterwards begins a new one.
"""

from __future__ import annotations

from itertools import groupby

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setup_rules import BounceCheck, RideReport, Setup, apply_bounce_check, apply_ride
from setup_rules.types.feedback import FELT, SEEN
from tests.examples import examples
from tests.setup_rules.advice.trail_bike import FORK, SHOCK, bike, end_of, told

#: What a bounce check says where no turn is left to do.
NO_TURN = {"rebound_right", "rebound_at_end"}
STYLES = ("cross_country", "trail", "enduro", "downhill", "park")
TOTALS = st.sampled_from([1, 2, 5, 16, 30])
ENDS = st.sampled_from(["front", "rear"])


def bike_of(end: str, total: int, **changes: object) -> Setup:
    """Return a bike with one spring end whose adjusters have so many clicks."""
    clicks = {"rebound_clicks": total, "compression_clicks": total, "volume_spacers": 1}
    if end == "front":
        return bike({**FORK, **clicks}, **changes)
    return bike(None, {**SHOCK, **clicks}, **changes)


def out_of(setup: Setup, end: str) -> int:
    """Return the rebound clicks out."""
    rebound = end_of(setup, end).rebound
    assert rebound is not None
    return rebound.out


def bounced(setup: Setup, end: str, seen: str) -> Setup:
    """Return the setup after a bounce check of the rebound where it stands."""
    return apply_bounce_check(setup, BounceCheck(end=end, clicks_out=out_of(setup, end), seen=seen))  # type: ignore[arg-type]


@settings(max_examples=examples(25))
@given(st.lists(st.sampled_from(sorted(SEEN)), min_size=1, max_size=14), ENDS, TOTALS)
def test_answers_in_any_order_visit_no_place_twice_until_all_is_right(said: list[str], end: str, total: int) -> None:
    """Rules 1 sent a rider who found fault both ways from 4 to 8 and back without end. Now 4, 6, 5: right."""
    setup = bike_of(end, total)
    places = [("start", out_of(setup, end))]
    for seen in said:
        setup = bounced(setup, end, seen)
        assert 0 <= out_of(setup, end) <= total
        places.append((seen, out_of(setup, end)))
    searches = [list(group) for right, group in groupby(places, lambda one: one[0] == "about_right") if not right]
    for search in searches:
        stood = [place for place, _ in groupby(out for _, out in search)]
        assert len(set(stood)) == len(stood) <= total + 1


@settings(max_examples=examples(25))
@given(st.lists(st.sampled_from(["less", "more"]), min_size=1, max_size=14), ENDS, TOTALS)
def test_an_answer_that_turns_nothing_says_why_and_one_that_meets_a_stop_says_so(
    said: list[str], end: str, total: int
) -> None:
    """Rules 1 turned the last click without a word and said so one check later. Now with the turn itself."""
    setup = bike_of(end, total)
    for seen in said:
        before = out_of(setup, end)
        setup = bounced(setup, end, seen)
        now, codes = out_of(setup, end), set(told(setup))
        assert bool(codes & NO_TURN) is (now == before)
        assert ("last_click" in codes) is (now != before and now in (0, total))
        pushed = (before == total and seen == "less") or (before == 0 and seen == "more")
        assert ("rebound_at_end" in codes) is pushed


@settings(max_examples=examples(25))
@given(st.integers(0, 16), st.integers(0, 2), ENDS)
def test_a_rider_with_a_taste_ends_at_it(taste: int, dead_band: int, end: str) -> None:
    """The rider answers by where the rebound stands beside the place that suits: found in 16 clicks by 10 answers."""
    setup = bike_of(end, 16)
    for _ in range(10):
        beside = out_of(setup, end) - taste
        if abs(beside) <= dead_band:
            break
        setup = bounced(setup, end, "more" if beside > 0 else "less")
    assert abs(out_of(setup, end) - taste) <= dead_band
    after = bounced(setup, end, "about_right")
    assert (out_of(after, end), told(after)[0]) == (out_of(setup, end), "rebound_right")


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("seen", ["less", "more"])
def test_the_same_answer_every_time_ends_at_the_stop_and_says_that_nothing_is_left(style: str, seen: str) -> None:
    """For every style alike, in as many answers as a quarter of the clicks goes into them."""
    setup, stop = bike_of("front", 16, riding_style=style), 16 if seen == "less" else 0
    for _ in range(5):
        setup = bounced(setup, "front", seen)
    assert out_of(setup, "front") == stop
    assert told(setup)[0] == "rebound_at_end"


@settings(max_examples=examples(20))
@given(
    st.lists(st.sampled_from([*sorted(SEEN), *(one for one in FELT if one != "feels_right")]), min_size=1, max_size=12),
    ENDS,
    st.sampled_from([1, 4, 16]),
)
def test_bounces_and_rides_mixed_stand_at_no_stop_that_was_not_said(said: list[str], end: str, total: int) -> None:
    """An adjuster that a turn leads to its stop says so with that answer, rebound and compression alike."""
    setup = bike_of(end, total)
    for one in said:
        before = end_of(setup, end)
        ride = RideReport(end=end, felt=(one,))  # type: ignore[arg-type]
        setup = bounced(setup, end, one) if one in SEEN else apply_ride(setup, ride)
        after, codes = end_of(setup, end), told(setup)
        assert codes
        pairs = [(before.rebound, after.rebound)]
        if not {"rebound_follows", "rebound_stays"} & set(codes):  # compression is carried along with these
            pairs.append((before.compression, after.compression))
        for stood, stands in pairs:
            assert stood is not None
            assert stands is not None
            if stands.out != stood.out and stands.out in (0, total):
                assert "last_click" in codes
