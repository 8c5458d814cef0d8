"""Which way each drawn unknown moves its figure: above its middle is more, at both ends of the bike."""

from __future__ import annotations

import numpy as np
import pytest

from setup_rules import FrontEnd, RearEnd, SetupRequest
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import central_row
from setup_rules.inference.size_class import COLUMN, draw_fork, draw_shock

FORK, SHOCK = FrontEnd(travel_mm=140, stanchion_mm=34), RearEnd(stroke_mm=55, leverage_start=2.8, leverage_end=2.4)
REQUEST = SetupRequest(rider_mass_kg=75, riding_style="trail", front=FORK, rear=SHOCK)


def row(**unknowns: float) -> np.ndarray:
    """Return the central row with some unknowns moved."""
    z = central_row()
    for name, value in unknowns.items():
        z[COLUMN[name]] = value
    return z


def test_a_share_above_the_middle_loads_the_front_and_unloads_the_rear() -> None:
    entered = SetupRequest(rider_mass_kg=75, riding_style="trail", rider_front_share_percent=40, front=FORK)
    assert EndModel("front", FORK, entered).front_share(1.0) == pytest.approx(0.41)
    assert EndModel("front", FORK, REQUEST).front_share(1.0) == pytest.approx(0.425)
    front, rear = EndModel("front", FORK, REQUEST), EndModel("rear", SHOCK, REQUEST)
    # 79 kg times 0.035, and 14 kg times 0.02.
    for unknown, kg in (("share", 2.765), ("bike", 0.28)):
        moved = row(**{unknown: 1.0})
        assert front.sprung_kg(moved) - front.sprung_kg(row()) == pytest.approx(kg)
        assert rear.sprung_kg(moved) - rear.sprung_kg(row()) == pytest.approx(-kg)


@pytest.mark.parametrize(("name", "end", "kg"), [("front", FORK, 0.35), ("rear", SHOCK, 0.45)])
def test_more_unsprung_mass_and_more_left_out_move_the_load_as_stated(name: str, end: object, kg: float) -> None:
    model = EndModel(name, end, REQUEST)  # type: ignore[arg-type]
    assert model.sprung_kg(row(unsprung=1.0)) - model.sprung_kg(row()) == pytest.approx(-kg)
    assert model.load_n(row(model=1.0)) / model.load_n(row()) == pytest.approx(1.045)


@pytest.mark.parametrize(
    ("unknown", "figure", "low", "high"),
    [
        ("bore", "area_m2", 0.98**2, 1.02**2),
        ("negative_area", "negative_area_m2", 0.90 / 0.93, 0.96 / 0.93),
        ("negative_volume", "negative_volume_m3", 0.08 / 0.23, 0.38 / 0.23),
        ("port", "port_m", 0.03 / 0.055, 0.08 / 0.055),
        ("leg_area", "leg_area_m2", 1.9 / 2.1, 2.3 / 2.1),
        ("leg", "leg_volume_m3", 1.6 / 2.3, 3.0 / 2.3),
        ("gas", "gas_force_n", 0.0, 2.0),
        # The ratio 2.5 ± 0.3 leaves A·T/1.2 or A·T/1.8 instead of A·T/1.5.
        ("ratio", "compressed_volume_m3", 1.5 / 1.2, 1.5 / 1.8),
    ],
)
def test_a_forks_unknown_reaches_from_its_low_to_its_high_end(
    unknown: str, figure: str, low: float, high: float
) -> None:
    middle = getattr(draw_fork(FORK, row()), figure)
    assert getattr(draw_fork(FORK, row(**{unknown: 0.0})), figure) / middle == pytest.approx(low)
    assert getattr(draw_fork(FORK, row(**{unknown: 1.0})), figure) / middle == pytest.approx(high)


def test_a_shocks_bore_reaches_from_36_5_to_45_5_mm() -> None:
    small, large = (draw_shock(SHOCK, row(bore=share)).area_m2 for share in (0.0, 1.0))
    assert [round(2000 * float(np.sqrt(area / np.pi)), 9) for area in (small, large)] == [36.5, 45.5]
