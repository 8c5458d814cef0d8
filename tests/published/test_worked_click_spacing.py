"""Clicks against an adjuster written out click by click.

Source: geometric spacing, every click the same share less than the one before (our estimate; powers by hand).

Confirmed: each click's damping is multiplied out here, no logarithm taken.

Tolerance: none for clicks, rounding of doubles for dampings.
"""

from __future__ import annotations

import pytest

from setup_rules.physics.damping import clicks_between, clicks_for, known_adjuster

#: Closed over open, total, and the share of one click: the 16th root of 6, the 20th root of 6, the 8th root of 16.
ADJUSTERS = [(6.0, 16, 1.118496046), (6.0, 20, 1.093723548), (16.0, 8, 1.414_213_56)]


def click_by_click(closed: float, share: float, total: int) -> list[float]:
    """Return the damping at 0 … total clicks out, one division a click."""
    dampings = [closed]
    for _ in range(total):
        dampings.append(dampings[-1] / share)
    return dampings


@pytest.mark.parametrize(("spread", "total", "share"), ADJUSTERS)
def test_every_click_of_the_written_out_adjuster_is_found(spread: float, total: int, share: float) -> None:
    dampings = click_by_click(1200.0, share, total)
    assert dampings[0] / dampings[-1] == pytest.approx(spread, rel=1e-6)
    middle = dampings[total // 2]
    for out, damping in enumerate(dampings):
        # Anything within half a click of it goes there, too.
        for near in (0.999, share**0.49, share**-0.49):
            assert clicks_for(damping * near, middle, total, spread=spread).out == out
        assert clicks_between(damping, middle, total, spread) == pytest.approx(total / 2 - out, abs=1e-5)


@pytest.mark.parametrize(("spread", "total", "share"), ADJUSTERS)
def test_two_known_points_give_back_the_adjuster_that_they_lie_on(spread: float, total: int, share: float) -> None:
    dampings = click_by_click(1200.0, share, total)
    for near, far in ((0, total), (1, total - 2), (3, 4)):
        found = known_adjuster(((near, dampings[near]), (far, dampings[far])), total)
        assert found == (pytest.approx(dampings[total // 2], rel=1e-6), pytest.approx(spread, rel=1e-5))


@pytest.mark.parametrize(
    ("damping", "offset", "out", "clamped", "beyond"),
    [
        # 400 in the middle of 16 clicks, closed over open 16, so 2^(1/4) a click: 800 is 4 further in, 4 clicks out.
        (800.0, 0, 4, False, 0),
        (800.0, 3, 7, False, 0),
        (800.0, -6, 0, True, -2),
        # 3200 would be 12 clicks further in than the middle: 4 past closed. Learned clicks count from the stop.
        (3200.0, 0, 0, True, 0),
        (3200.0, 2, 2, False, 0),
        # 50 would be 12 further out: 4 past open.
        (50.0, 0, 16, True, 0),
        (50.0, 1, 16, True, 1),
        (50.0, -3, 13, False, 0),
    ],
)
def test_an_adjuster_ends_where_it_ends(damping: float, offset: int, out: int, clamped: bool, beyond: int) -> None:
    found = clicks_for(damping, 400.0, 16, offset, 16.0)
    assert (found.out, found.clamped, found.beyond, found.total) == (out, clamped, beyond, 16)
    assert found.damping_n_s_per_m == damping
