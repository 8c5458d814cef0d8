"""The search for a setting on springs of paper: roots that can be read off, tangents, and where it gives up.

A spring of paper pushes with setting·gain + offset; a coil is the one whose setting is its rate [N/m] and whose gain is
the compression [m].
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any, cast

import numpy as np
import pytest

from setup_rules.inference.start_setting import Held
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.spring import Site, Spring

FORK = Leverage()
SITE = Site(101_325.0, 101_325.0)
TRAVEL = 0.14

Curve = Callable[[Any], Any]


class Paper:
    """A spring of a gain and an offset over compression, each with its slope; it keeps what it was asked."""

    least_acting = 1000.0

    def __init__(self, gain: Curve, gain_slope: Curve, offset: Curve, offset_slope: Curve) -> None:
        self.curves = (gain, gain_slope, offset, offset_slope)
        self.at: list[float] = []
        self.searches: list[tuple[float, float, float]] = []

    def prepare_parts(self, site: Site) -> Callable[[Any], tuple[Any, ...]]:
        """Return what the spring is made of, for the site that it is asked for."""
        assert site is SITE

        def parts(x: Any) -> tuple[Any, ...]:
            self.at.append(float(x))
            return tuple(np.asarray(curve(x), dtype=float) for curve in self.curves)

        return parts

    def sag_m(self, acting: Any, load_n: Any, site: Site, leverage: Leverage, start_m: Any) -> Any:
        """Return a tenth of a millimetre a newton."""
        assert (site, leverage) == (SITE, FORK)
        self.searches.append((float(acting), float(load_n), float(start_m)))
        return 1e-4 * load_n

    @property
    def rests(self) -> list[float]:
        """The resting places [m] that were tried: each after the place under the rider that belongs to it."""
        return self.at[1:-1:2]


def nothing(x: Any) -> Any:
    """Return zero everywhere."""
    return 0.0 * x


def coil() -> Paper:
    """Return a coil: its rate is the setting."""
    return Paper(lambda x: x, lambda x: 1.0 + nothing(x), nothing, nothing)


def beside(rate: float, told: float | None = None) -> Paper:
    """Return a piston that pushes alike everywhere, beside a coil that ends before the rider's place is reached."""
    slope = rate if told is None else told
    return Paper(
        lambda x: 1.0 + nothing(x),
        nothing,
        lambda x: np.where(x < 0.05, rate * x, 0.0),
        lambda x: np.where(x < 0.05, slope, 0.0),
    )


def held(spring: Paper, load_n: float, rest_load_n: float, leverage: Leverage = FORK, travel_m: float = TRAVEL) -> Held:
    return Held(cast(Spring, spring), load_n, rest_load_n, leverage, travel_m)


def test_the_resting_place_is_sought_from_full_extension_and_the_riders_from_beyond_it() -> None:
    spring = coil()
    # 60 N go in 6 mm and 300 N 30 mm: 24 mm between.
    assert float(held(spring, 300.0, 60.0).gap_m(8000.0, SITE, 0.02)) == pytest.approx(0.024)
    assert spring.searches == [pytest.approx((8000.0, 60.0, 0.0)), pytest.approx((8000.0, 300.0, 0.026))]


def test_a_resting_place_is_sought_at_no_less_than_the_least_setting() -> None:
    spring = coil()
    held(spring, 300.0, 60.0).rest_m(900.0, SITE)
    held(spring, 300.0, 60.0).rest_m(1100.0, SITE)
    assert [acting for acting, _, _ in spring.searches] == [1000.0, 1100.0]


def test_a_coil_for_a_gap_carries_what_the_rider_adds_over_it() -> None:
    # 240 N more over 28 mm.
    assert float(held(coil(), 300.0, 60.0).acting_for(0.028, SITE)) == pytest.approx(240.0 / 0.028, rel=1e-9)


def test_a_wheel_that_hangs_leaves_the_coil_extended_at_once() -> None:
    for rest_load in (0.0, -0.5, -60.0):
        spring = coil()
        assert float(held(spring, 300.0, rest_load).acting_for(0.028, SITE)) == pytest.approx(300.0 / 0.028, rel=1e-12)
        assert spring.rests == [0.0]


def test_a_rider_who_adds_nothing_is_sought_down_to_ninety_seven_hundredths_of_the_travel() -> None:
    # No coil gives a gap to a bike that weighs more without its rider.
    assert float(held(coil(), 300.0, 400.0).acting_for(0.028, SITE)) == pytest.approx(300.0 / (0.97 * 0.14), rel=1e-6)


def test_a_gap_of_more_than_that_leaves_no_room_and_the_bike_at_full_extension() -> None:
    spring = coil()
    assert float(held(spring, 300.0, 60.0).acting_for(0.138, SITE)) == pytest.approx(300.0 / 0.138, rel=1e-12)
    assert spring.rests == [0.0]


@pytest.mark.parametrize(("gap", "rest", "setting"), [(0.01, 0.0225, 24_000.0), (0.02, 0.025, 12_000.0)])
def test_where_the_chambers_pull_more_than_they_push_it_looks_further_in(
    gap: float, rest: float, setting: float
) -> None:
    # Gain x − 20 mm: none at 20 mm, and less than none above. P·(r + s − 0.02) = 300 and P·(r − 0.02) = 60.
    spring = Paper(lambda x: x - 0.02, lambda x: 1.0 + nothing(x), nothing, nothing)
    assert float(held(spring, 300.0, 60.0).acting_for(gap, SITE)) == pytest.approx(setting, rel=1e-9)
    assert spring.rests[-1] == pytest.approx(rest, abs=1e-7)


def test_behind_a_linkage_every_place_is_where_the_tangent_before_it_crosses() -> None:
    gap, load, rest_load, step = 0.015, 520.0, 230.0, 1e-6
    spring = Paper(
        lambda x: 1.2e-3 * (0.1 + 12.0 * x),
        lambda _x: 0.0144,
        lambda x: 900.0 * x - 8.0e4 * x * x,
        lambda x: 900 - 1.6e5 * x,
    )
    linkage = Leverage((0.0, 0.055), (2.9, 2.4))

    def over(rest: float) -> float:
        """Return by how much the spring that holds the rider a gap further in pushes more than the bike's load."""
        lever, beyond = (2.9 - 0.5 * x / 0.055 for x in (rest, rest + gap))
        gain, gain_beyond = (1.2e-3 * (0.1 + 12.0 * x) for x in (rest, rest + gap))
        offset, offset_beyond = (900.0 * x - 8.0e4 * x * x for x in (rest, rest + gap))
        return gain * (load * beyond - offset_beyond) / gain_beyond + offset - rest_load * lever

    found = float(held(spring, load, rest_load, linkage, 0.055).acting_for(gap, SITE))
    places = spring.rests
    for place, following in itertools.pairwise(places):
        tangent = (over(place + step) - over(place - step)) / (2 * step)
        assert following == pytest.approx(place - over(place) / tangent, abs=1e-9)
    end = spring.at[-1] - gap
    assert over(end) == pytest.approx(0.0, abs=1e-6)
    assert len(places) > 2
    beyond = end + gap
    assert found == pytest.approx(
        (load * (2.9 - 0.5 * beyond / 0.055) - 900.0 * beyond + 8.0e4 * beyond**2) / (1.2e-3 * (0.1 + 12.0 * beyond)),
        rel=1e-6,
    )


@pytest.mark.parametrize("rate", [1000.0, 1.5])
def test_on_a_straight_line_it_arrives_with_one_step_and_sees_it_with_the_next(rate: float) -> None:
    spring = beside(rate)
    assert float(held(spring, 300.0, 300.0 + 0.02 * rate).acting_for(0.1, SITE)) == pytest.approx(300.0)
    assert spring.rests == pytest.approx([0.0, 0.02], abs=1e-12)


@pytest.mark.parametrize(("step_m", "places"), [(0.99e-7, 1), (1e-7, 2), (1.01e-7, 2)])
def test_a_step_below_a_tenth_of_a_micrometre_is_the_last(step_m: float, places: int) -> None:
    # One newton a metre, and no rider: what the bike's load has in newtons, its resting place has in metres.
    spring = beside(1.0)
    held(spring, 0.0, step_m).acting_for(0.1, SITE)
    assert len(spring.rests) == places


def test_a_slope_that_is_far_too_steep_ends_after_thirty_steps() -> None:
    spring = beside(1000.0, told=1_000_000.0)
    held(spring, 300.0, 330.0).acting_for(0.1, SITE)
    assert len(spring.rests) == 30
