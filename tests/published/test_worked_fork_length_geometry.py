"""Head angle, bottom bracket, front centre and wheelbase after a change of fork length, against plane geometry.

Source: worked values for a wheelbase of 1200 mm at 66° (Δangle = −atan(ΔL·sin HA / (w + ΔL·cos HA))).

Confirmed: recomputed with numpy's rotation of the whole frame in this file, with `scipy.optimize.brentq` asked for
axles at equal height, which shares no formula with the code.

Tolerance: the worked digits (0.0001°, 0.01 mm).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from setup_rules.physics.travel_change import geometry_change

WHEELBASE, ANGLE, CHAINSTAY, DROP = 1200.0, 66.0, 435.0, 25.0
WORKED_DEG = {10.0: -0.4347, 20.0: -0.8664, -20.0: 0.8783}


def turned(change_mm: float) -> tuple[float, dict[str, np.ndarray]]:
    """Return (turn of the frame [rad], its points) with the front axle moved along the fork and back on the ground."""
    along = np.array([math.cos(math.radians(ANGLE)), -math.sin(math.radians(ANGLE))])
    points = {"front": np.array([WHEELBASE, 0.0]) + change_mm * along, "bracket": np.array([CHAINSTAY, -DROP])}

    def rotated(turn: float) -> dict[str, np.ndarray]:
        turning = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
        return {name: turning @ point for name, point in points.items()}

    turn = brentq(lambda t: rotated(t)["front"][1], -0.3, 0.3, xtol=1e-14)
    return turn, rotated(turn)


@pytest.mark.parametrize(("change_mm", "degrees"), WORKED_DEG.items())
def test_the_head_angle_changes_as_worked(change_mm: float, degrees: float) -> None:
    found = geometry_change(WHEELBASE, ANGLE, change_mm)
    assert found.head_angle_deg == pytest.approx(degrees, abs=5e-5)


@pytest.mark.parametrize("change_mm", [-40.0, -20.0, 10.0, 20.0, 60.0])
def test_the_bike_stands_as_the_turned_frame_does(change_mm: float) -> None:
    turn, points = turned(change_mm)
    found = geometry_change(WHEELBASE, ANGLE, change_mm, CHAINSTAY, DROP)
    before_front_centre = math.hypot(WHEELBASE - CHAINSTAY, DROP)
    assert found.head_angle_deg == pytest.approx(-math.degrees(turn), abs=1e-9)
    assert found.wheelbase_mm == pytest.approx(points["front"][0] - WHEELBASE, abs=0.01)
    assert found.bottom_bracket_mm == pytest.approx(points["bracket"][1] + DROP, abs=0.01)
    front_centre = float(np.linalg.norm(points["front"] - points["bracket"]))
    assert found.front_centre_mm == pytest.approx(front_centre - before_front_centre, abs=0.01)
