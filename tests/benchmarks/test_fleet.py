"""Bikes that riders share, in a small sample: later riders start nearer.

The whole table: `python -m tests.benchmarks.population fleet`.
"""

from __future__ import annotations

import numpy as np
import pytest

from .population.day import by_hour, follow_day
from .population.draw import draw_cases
from .population.fleet import (
    FleetOracle,
    Remembering,
    draw_fleet,
    fleet_figures,
    follow,
    follow_bike,
    follow_fleet,
    next_rider,
)
from .population.measuring import Rider
from .population.ranges import Ranges

pytestmark = pytest.mark.benchmark


def test_only_the_rider_changes_on_a_bike() -> None:
    bike = draw_cases(1, 20)[0]
    first, second = (next_rider(bike, place) for place in (0, 1))
    assert first.hidden.area == second.hidden.area == bike.hidden.area
    assert first.hidden.gauge_scale == bike.hidden.gauge_scale
    assert (first.hidden.mass, first.hidden.share, first.hidden.habit) != (
        second.hidden.mass,
        second.hidden.share,
        second.hidden.habit,
    )
    assert Rider(first, 1).pump(60.0).gauge != Rider(second, 1).pump(60.0).gauge


def test_a_fleet_has_one_coil_fork_to_four_air_forks_and_four_shocks() -> None:
    kinds = [bike.told.kind for bike in draw_fleet(18, 3, Ranges())]
    assert [kinds.count(kind) for kind in ("fork, air negative", "fork, coil negative", "shock")] == [8, 2, 8]


def test_the_oracle_of_a_bike_knows_more_after_each_rider() -> None:
    bike = draw_cases(1, 21)[0]
    oracle = FleetOracle(bike, 0.2 * bike.told.travel, Ranges())
    carried = [oracle.effective]
    turns = list(follow_bike(bike, 3, Ranges()))
    assert [turn.place for turn in turns] == [0, 1, 2]
    assert all(turn.oracle is not None for turn in turns)
    knowing = oracle.meet(bike.told, bike.seed)
    belief = np.linspace(-4.0, 0.0, len(knowing.weight))
    knowing.believe(belief)
    oracle.learn(knowing)
    carried.append(oracle.effective)
    assert carried[1] < carried[0]


def test_later_riders_start_nearer_than_without_a_memory_and_than_by_hand() -> None:
    turns = [turn for turn in follow_fleet(9, 5, 24, Ranges(), None) if not turn.at_limit and turn.place >= 2]
    figures = fleet_figures(turns)
    assert figures["median"] < 0.75 * figures["no memory median"]
    assert figures["p90"] < figures["no memory p90"]
    assert figures["sag in band %"] > 70.0


def test_a_demo_day_learns_from_every_third_rider_alone() -> None:
    turns = [turn for turn in follow_day(9, 24, Ranges()) if not turn.at_limit]
    assert all(turn.miss == turn.plain for turn in turns if turn.place == 0)
    late = by_hour(turns)["from hour 5 on"]
    assert late["median"] < 0.9 * late["no memory median"]
    never = list(
        follow(
            draw_cases(1, 20)[0],
            [next_rider(draw_cases(1, 20)[0], n) for n in range(3)],
            None,
            Remembering(),
            FleetOracle,
            lambda _place: False,
        )
    )
    assert [turn.miss for turn in never] == [turn.plain for turn in never]
