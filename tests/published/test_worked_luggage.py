"""Luggage on a bike as two moments, worked by hand.

Source: balance of moments about an axle, any text on statics: a weight that hangs d ahead of the rear axle of a
wheelbase w loads the front wheel by d/w of itself, and the rear wheel by the rest.

Confirmed: plain arithmetic in this file with lengths of a usual trail bike (wheelbase 1.21 m, handlebar bag 1.03 m and
saddle bag 0.06 m ahead of the rear axle; common practice, no source), and that a heavier end needs the pressure that
puts the same force on the same spring.

Tolerance: a tenth of a kilogram for the shares, which are stated to two figures; rounding for the rest.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from setup_rules import read_request, recommend
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import central_row
from tests.published.on_paper import clicks_out, force, fork_damping
from tests.published.worked_classes import FORK_OF_THE_34_MM_CLASS as SHEET

BIKE = {
    "rider_mass_kg": 75,
    "riding_style": "trail",
    "front": {"travel_mm": 140},
    "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4},
}
#: The sheet's fork, which may take more than the maximum that is assumed of it.
MOST = {"front": SHEET.body["front"] | {"max_pressure_psi": 200}}
WHEELBASE_M, HANDLEBAR_M, SADDLE_M = 1.21, 1.03, 0.06


def carried_kg(**luggage: float) -> tuple[float, float]:
    """Return what the luggage adds to the front and to the rear."""
    request, bare = read_request(BIKE | luggage), read_request(BIKE)
    added = []
    for name, end in request.ends():
        with_it, without = (EndModel(name, end, one) for one in (request, bare))
        added.append(float(with_it.sprung_kg(central_row())) - float(without.sprung_kg(central_row())))
    return added[0], added[1]


def test_four_kilograms_at_the_handlebar_load_the_fork_by_their_moment_about_the_rear_axle() -> None:
    front, rear = carried_kg(luggage_front_kg=4.0)
    assert front == pytest.approx(4.0 * HANDLEBAR_M / WHEELBASE_M, abs=0.1)
    assert front + rear == pytest.approx(4.0)


def test_six_kilograms_at_the_saddle_load_the_shock_almost_alone() -> None:
    front, rear = carried_kg(luggage_rear_kg=6.0)
    assert front == pytest.approx(6.0 * SADDLE_M / WHEELBASE_M, abs=0.1)
    assert front + rear == pytest.approx(6.0)


def test_it_stays_on_the_bike_that_stands_without_its_rider() -> None:
    request = read_request(BIKE | {"luggage_rear_kg": 10.0})
    model = EndModel("rear", dict(request.ends())["rear"], request)
    bare = replace(model, request=read_request(BIKE))
    more = model.rest_load_n(central_row(), "bike_at_rest") - bare.rest_load_n(central_row(), "bike_at_rest")
    assert float(more) == pytest.approx(0.95 * 10.0 * 9.80665, abs=0.1)
    assert float(model.rest_load_n(central_row(), "wheel_off_ground")) == pytest.approx(
        float(bare.rest_load_n(central_row(), "wheel_off_ground"))
    )


def test_luggage_in_front_raises_the_front_and_hardly_the_rear() -> None:
    bare, loaded = (recommend(read_request(BIKE | more)) for more in ({}, {"luggage_front_kg": 8.0}))
    assert bare.front is not None
    assert bare.rear is not None
    assert loaded.front is not None
    assert loaded.rear is not None
    assert loaded.front.pressure_pa > bare.front.pressure_pa * 1.03
    assert loaded.rear.pressure_pa < bare.rear.pressure_pa * 1.03


def test_without_luggage_nothing_moves() -> None:
    assert recommend(read_request(BIKE)).front == recommend(read_request(BIKE | {"luggage_front_kg": 0.0})).front


def place_on_paper(psi: float, newtons: float) -> float:
    """Return where the sheet's fork holds a load [mm], by halving."""
    low, high = 0.0, 140.0
    for _ in range(50):
        x = 0.5 * (low + high)
        low, high = (x, high) if force(SHEET.chambers, SHEET.places, psi, x) < newtons else (low, x)
    return low


def loaded_on_paper(luggage_kg: float) -> tuple[float, float]:
    """Return the pressure [psi] and the damping [N·s/m] of the sheet's rider with luggage on the front wheel."""
    load = SHEET.along(SHEET.answer.mass + luggage_kg)
    bare = SHEET.along(0.475 * 14 - 3.2 + luggage_kg)
    low, high = 5.0, 300.0
    for _ in range(50):
        psi = 0.5 * (low + high)
        low, high = (psi, high) if place_on_paper(psi, load) - place_on_paper(psi, bare) > 31.5 else (low, psi)
    x = place_on_paper(low, load)
    mass = SHEET.answer.mass + luggage_kg
    return low, fork_damping(SHEET.chambers, SHEET.places, low, x, mass, SHEET.angle, SHEET.ratio)


@pytest.mark.usefixtures("central_values")
@pytest.mark.parametrize(("front_kg", "clicks"), [(0.0, 8), (8.0, 7), (20.0, 5)])
def test_a_loaded_fork_is_damped_for_its_load_beside_the_bare_reference_bike(front_kg: float, clicks: int) -> None:
    # 8 and 20 kg at the handlebar are 6.8 and 17 kg on the fork, beside 35.43 kg of rider and bike. The
    # adjuster's middle is for 79 kg on a bare bike, 425.19 N·s/m on the sheet, whatever this bike carries.
    psi, damping = loaded_on_paper(0.85 * front_kg)
    assert round(clicks_out(damping, SHEET.reference.damping, 16)) == clicks
    found = recommend(read_request(SHEET.body | {"luggage_front_kg": front_kg} | MOST)).front
    assert found is not None
    assert found.pressure_pa / 6894.757293168 == pytest.approx(psi, abs=0.02)
    assert found.rebound.damping_n_s_per_m == pytest.approx(damping, rel=1e-3)
    assert found.rebound.out == clicks
