"""A scale under a wheel against the axle loads of measured bicycles, and against a conditional normal distribution.

Source: statics (moments about an axle; both wheels carry the whole weight) with the measured bicycles and riders that
the `bicycleparameters` package ships; the conditional normal distribution, any text on statistics.

Confirmed: axle loads are the package's own centres of mass over the wheelbase; the conditional distribution is worked
in the other way, by adding precision matrices with NumPy, where the product updates one reading at a time. What our
estimates are is typed here.

Tolerance: rounding.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from setup_rules import read_request, recommend
from setup_rules.inference.weighed_wheel import scale_sigma_kg, share_by_scale, shares_after_scale, total_kg
from setup_rules.types.request import SetupRequest
from tests.published.test_bicycle_parameters_axle_loads import (
    BODIES,
    centre_share,
    shipped_bicycles,
    shipped_with_rider,
)

#: Our estimates: front share of a rider (standing, seated) and of the bike, with standard deviations.
RIDER = {"standing": (0.39, 0.035), "seated": (0.31, 0.035)}
BIKE = (0.475, 0.02)
#: A scale: 0.5 kg and 1 % of its own; the stance 0.01 of the whole; masses as stated 3 %.
OWN_KG, OWN, STANCE, STATED = 0.5, 0.01, 0.010, 0.03


def sigma(reading: float, whole: float, stated: float = 0.0) -> float:
    """Return the standard deviation [kg] of one reading."""
    return math.sqrt(OWN_KG**2 + (OWN * reading) ** 2 + (STANCE * whole) ** 2 + (stated * whole) ** 2)


def request_of(**values: object) -> SetupRequest:
    """Return a rider of 75 kg with 4 kg of kit on a bike of 14 kg: 93 kg in all."""
    given = {"rider_mass_kg": 75.0, "kit_mass_kg": 4.0, "bike_mass_kg": 14.0, "riding_style": "trail", **values}
    return SetupRequest(**given)  # type: ignore[arg-type]


@pytest.mark.parametrize("which", range(11))
def test_a_scale_shows_the_share_that_the_centre_of_all_masses_has(which: int) -> None:
    measured = [*shipped_with_rider(), *shipped_bicycles()]
    assert len(measured) >= 11
    p = measured[which]
    whole = sum(p[f"m{body}"] for body in BODIES if f"m{body}" in p)
    share = centre_share(p)
    front, rear = share * whole, (1.0 - share) * whole
    masses = {"rider_mass_kg": 0.8 * whole, "kit_mass_kg": 0.0, "bike_mass_kg": 0.2 * whole, "stance": "seated"}
    assert total_kg(request_of(**masses)) == pytest.approx(whole)
    for shown in ({"front_axle_kg": front}, {"rear_axle_kg": rear}, {"front_axle_kg": front, "rear_axle_kg": rear}):
        assert share_by_scale(request_of(**masses, **shown)) == pytest.approx(share, rel=1e-12)


def test_the_worked_example_has_the_share_of_its_moments() -> None:
    # 75 kg 432 mm and 15 kg 600 mm ahead of the rear axle, wheelbase 1200 mm: 34.5 kg in front, 55.5 kg behind.
    masses = {"rider_mass_kg": 75.0, "kit_mass_kg": 0.0, "bike_mass_kg": 15.0}
    for shown in ({"front_axle_kg": 34.5}, {"rear_axle_kg": 55.5}, {"front_axle_kg": 34.5, "rear_axle_kg": 55.5}):
        assert share_by_scale(request_of(**masses, **shown)) == pytest.approx(34.5 / 90.0)


def test_two_wheels_that_do_not_add_up_share_what_they_show() -> None:
    assert share_by_scale(request_of(front_axle_kg=38.0, rear_axle_kg=57.0)) == pytest.approx(0.4)
    assert share_by_scale(request_of(front_axle_kg=38.0, weighed_kg=95.0)) == pytest.approx(0.4)


@pytest.mark.parametrize(("reading", "whole"), [(38.0, 93.0), (20.0, 50.0), (90.0, 140.0)])
def test_a_scale_is_as_far_off_as_its_three_parts_together(reading: float, whole: float) -> None:
    assert scale_sigma_kg(reading, whole) == pytest.approx(sigma(reading, whole), rel=1e-12)


def conditional(request: SetupRequest, end: str) -> tuple[np.ndarray, np.ndarray]:
    """Return mean and covariance of (rider's share, bike's share) by adding precisions, all readings at once."""
    (mu, spread), (bike, bike_spread) = RIDER[request.stance], BIKE
    whole = request.weighed_kg or request.rider_mass_kg + request.kit_mass_kg + request.bike_mass_kg
    row = np.array([whole - request.bike_mass_kg, request.bike_mass_kg])
    precision, pull = np.diag([spread**-2, bike_spread**-2]), np.array([mu * spread**-2, bike * bike_spread**-2])
    for wheel, shown in (("front", request.front_axle_kg), ("rear", request.rear_axle_kg)):
        if shown is not None:
            on_front = shown if wheel == "front" else whole - shown
            weight = sigma(shown, whole, 0.0 if wheel == end else STATED) ** -2
            precision, pull = precision + weight * np.outer(row, row), pull + weight * on_front * row
    covariance = np.linalg.inv(precision)
    return covariance @ pull, covariance


@pytest.mark.parametrize("end", ["front", "rear"])
@pytest.mark.parametrize("stance", ["standing", "seated"])
@pytest.mark.parametrize(
    "shown",
    [
        {"front_axle_kg": 33.0},
        {"front_axle_kg": 41.0},
        {"rear_axle_kg": 58.0},
        {"front_axle_kg": 41.0, "rear_axle_kg": 54.0},
        {"front_axle_kg": 41.0, "weighed_kg": 101.0},
    ],
)
def test_shares_after_a_scale_are_those_of_the_conditional_normal(shown: dict, stance: str, end: str) -> None:
    request = request_of(**shown, stance=stance)
    after = shares_after_scale(request, end)  # type: ignore[arg-type]
    mean, covariance = conditional(request, end)
    assert (after.rider, after.bike) == pytest.approx(tuple(mean), rel=1e-9)
    assert after.rider_sigma**2 == pytest.approx(covariance[0, 0], rel=1e-9)
    assert after.rider_sigma * after.together == pytest.approx(covariance[0, 1], rel=1e-9)
    assert after.own == pytest.approx(math.sqrt(covariance[1, 1] - after.together**2), rel=1e-9)


def test_the_load_on_the_fork_is_what_the_scale_showed_less_what_does_not_spring() -> None:
    # 40 kg on the front wheel: 3.2 kg hang below the spring; the head angle is 76°,
    # and the reading is drawn towards our estimate of 37.46 kg by its share of the variance.
    front = {"travel_mm": 140, "stanchion_mm": 34, "head_angle_deg": 76}
    data = {"rider_mass_kg": 75, "riding_style": "trail", "front_axle_kg": 40, "front": front}
    end = recommend(read_request(data)).front
    assert end is not None
    own, guess = sigma(40.0, 93.0) ** 2, (0.035 * 79.0) ** 2 + (0.02 * 14.0) ** 2
    wanted = 40.0 + own / (own + guess) * (0.39 * 79.0 + 0.475 * 14.0 - 40.0)
    assert end.load_n == pytest.approx((wanted - 3.2) * 9.80665 * math.sin(math.radians(76.0)), rel=1e-6)
