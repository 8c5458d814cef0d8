"""A small sample of the simulated coil bikes: one change of spring or preload brings most of them near the target.

The whole is `python -m tests.benchmarks.coils`; three hundred bikes give about nine in ten within 2 % of the travel.
"""

from __future__ import annotations

import numpy as np
import pytest

from .coils.__main__ import near, run
from .coils.draw import draw_bike
from .coils.follow import WAYS, Followed


@pytest.fixture(scope="module")
def bikes() -> list[Followed]:
    """Forty bikes, those left out that no stocked spring suits."""
    return [one for one in run(40, 3, WAYS["three readings"]) if one.allowed]


def test_a_stocked_spring_allows_the_target_on_nearly_every_bike(bikes: list[Followed]) -> None:
    assert len(bikes) >= 36


def test_one_change_brings_most_bikes_within_two_per_cent_of_travel(bikes: list[Followed]) -> None:
    assert near(bikes, "after_one") >= 0.8
    assert near(bikes, "after_one") > near(bikes, "first")


def test_the_band_after_the_check_holds_the_true_sag(bikes: list[Followed]) -> None:
    assert np.mean([one.in_band for one in bikes]) >= 0.8


def test_a_simulated_fork_sags_as_its_own_balance_says() -> None:
    bike = draw_bike(3, 0)
    bike.leg_area = 0.0
    rest, ridden = (bike.settle(weight, 9.0, 4.0) for weight in (10.0, 300.0))
    assert rest == pytest.approx(max(0.0, (10.0 - bike.gas) / 9.0 - 4.0), abs=1e-9)
    assert ridden == pytest.approx((300.0 - bike.gas) / 9.0 - 4.0, abs=1e-9)
