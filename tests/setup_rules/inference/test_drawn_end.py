"""A drawn end: where its gap is read, what a chance near the target counts, and the search at its ends."""

from __future__ import annotations

import numpy as np
import pytest

from setup_rules import FrontEnd, SetupRequest
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import Posterior, central_row, prior
from setup_rules.inference.size_class import COLUMN
from setup_rules.inference.start_setting import (
    DrawnEnd,
    Held,
    chance_near,
    expected_sag_m,
    held_of,
    sags_m,
    wanted_setting,
)
from setup_rules.physics.air_spring import FORK, AirSpring
from setup_rules.physics.spring import Site

END = FrontEnd(travel_mm=140.0, stanchion_mm=34)
MODEL = EndModel("front", END, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=END))
SITE = Site(101_325.0, 101_325.0)


def three() -> DrawnEnd:
    """Return three forks that differ in their rider's front share, the middle one of half the weight."""
    z = np.stack([central_row()] * 3)
    z[:, COLUMN["share"]] = (-1.0, 0.0, 1.0)
    return DrawnEnd.of(MODEL, Posterior(z, np.array([0.25, 0.5, 0.25])))


def test_the_gap_is_read_where_the_end_says_unless_told_otherwise() -> None:
    z = prior().z
    standing, hanging = MODEL.rest_load_n(z, "bike_at_rest"), MODEL.rest_load_n(z, "wheel_off_ground")
    assert held_of(MODEL, z).rest_load_n.tolist() == standing.tolist()
    assert held_of(MODEL, z, "wheel_off_ground").rest_load_n.tolist() == hanging.tolist()
    assert DrawnEnd.of(MODEL, prior(), "wheel_off_ground").held.rest_load_n.tolist() == hanging.tolist()


def test_without_a_second_chamber_nothing_is_pumped_along() -> None:
    drawn = three()
    assert drawn.pumped(500_000.0) is drawn


def test_with_one_it_is_pumped_along() -> None:
    second = FrontEnd(
        travel_mm=160.0, bore_mm=34.0, positive_volume_cm3=220.0, second_volume_cm3=40.0, second_pressure_ratio=1.8
    )
    model = EndModel("front", second, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=second))
    drawn = DrawnEnd.of(model, prior())
    pumped = drawn.pumped(400_000.0)
    assert pumped.posterior is drawn.posterior
    # (720 + 101.325)/(400 + 101.325) kPa.
    assert pumped.model.second_ratio == pytest.approx(821.325 / 501.325)


@pytest.mark.parametrize(("times", "chance"), [(1.0, 0.75), (0.999, 0.5), (1.001, 0.75), (50.0, 1.0), (0.0, 0.5)])
def test_near_counts_up_to_and_with_the_bound(times: float, chance: float) -> None:
    drawn = three()
    sag = sags_m(drawn, 500_000.0, 0.03)
    target = float(sags_m(drawn, 500_000.0, float(sag[1]))[1])
    again = np.abs(sags_m(drawn, 500_000.0, target) - target)
    nearest = float(min(again[0], again[2]))
    assert chance_near(drawn, 500_000.0, target, times * nearest + (1e-9 if times == 0.0 else 0.0)) == pytest.approx(
        chance
    )


def test_the_band_is_that_of_the_draws() -> None:
    drawn = three()
    found = wanted_setting(drawn, 0.028)
    # A twentieth of the weight lies below the lightest, as half of its own weight counts, and as much above.
    alone = [
        wanted_setting(DrawnEnd.of(MODEL, Posterior(row[None, :], np.ones(1))), 0.028).middle
        for row in drawn.posterior.z
    ]
    assert (found.low, found.middle, found.high) == pytest.approx(tuple(alone))
    # More pressure, less sag: the middle of one is the middle of the other.
    assert expected_sag_m(drawn, found.middle, 0.028).middle == pytest.approx(0.028, abs=1e-6)
    sags = sags_m(drawn, found.middle, 0.028)
    band = expected_sag_m(drawn, found.middle, 0.028)
    assert (band.low, band.high) == pytest.approx((sags[0], sags[2]))


SPRING = AirSpring(0.14, 8e-4, 7.5e-5, negative_area_m2=7.4e-4, negative_volume_m3=2e-5, port_m=0.006)


def test_a_load_that_hangs_more_than_the_spring_pulls_in_rests_at_full_extension() -> None:
    held = Held(SPRING, 300.0, -200.0, FORK, 0.14)
    acting = held.acting_for(0.028, SITE)
    assert float(held.rest_m(acting, SITE)) == pytest.approx(0.0, abs=1e-7)
    # Then the gap is the compression under the rider.
    assert float(SPRING.force_n(0.028, acting, SITE)) == pytest.approx(300.0, abs=1e-3)


def test_wherever_a_search_begins_it_ends_at_the_same_place() -> None:
    held = Held(SPRING, 300.0, 31.0, FORK, 0.14)
    for start in (0.0, 0.05, 0.139):
        assert float(held.gap_m(601_325.0, SITE, start)) == pytest.approx(
            float(held.gap_m(601_325.0, SITE, 0.03)), abs=2e-7
        )


def test_a_rider_lighter_than_the_bike_shows_no_gap() -> None:
    assert float(Held(SPRING, 20.0, 60.0, FORK, 0.14).gap_m(601_325.0, SITE, 0.03)) == 0.0
