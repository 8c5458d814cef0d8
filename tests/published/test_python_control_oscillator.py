"""The damped oscillator: overshoot, logarithmic decrement and natural frequency.

Source: the step response of a second-order system (any text on control), the logarithmic decrement
δ = 2πζ/√(1 − ζ²) (any text on vibration), and f = √(g/δ_static)/2π for a linear spring.
Confirmed: overshoot recomputed with the step response of `python-control` in this file; the table's values and the
decrements were recomputed from their formulas. Tolerance: the table's digits.
"""

from __future__ import annotations

import math

import control
import numpy as np
import pytest

from setup_rules.physics.damping import damping_coefficient, natural_frequency_hz, overshoot, ratio_from_overshoot
from setup_rules.types.constants import STANDARD_GRAVITY
from setup_rules.types.units import Quantity

OVERSHOOT_PERCENT = {0.2: 52.66, 0.3: 37.23, 0.4: 25.38, 0.5: 16.30, 0.6: 9.48, 0.7: 4.60}
LOG_DECREMENT = {0.1: 0.6315, 0.2: 1.2825, 0.3: 1.9760, 0.5: 3.6276}
RIDE_HZ = {25.0: 3.1522, 40.0: 2.4920, 50.8: 2.2113}


@pytest.mark.parametrize(("ratio", "percent"), OVERSHOOT_PERCENT.items())
def test_the_overshoot_is_the_tables(ratio: float, percent: float) -> None:
    assert 100 * overshoot(ratio) == pytest.approx(percent, abs=0.005)


@pytest.mark.parametrize(("ratio", "percent"), OVERSHOOT_PERCENT.items())
def test_the_ratio_read_back_from_the_tables_overshoot_is_the_tables(ratio: float, percent: float) -> None:
    assert ratio_from_overshoot(percent / 100) == pytest.approx(ratio, abs=5e-4)


@pytest.mark.parametrize("ratio", [0.2, 0.36, 0.5, 0.7])
def test_a_mass_with_the_coefficient_for_a_ratio_overshoots_as_python_control_says(ratio: float) -> None:
    rate, mass = 9000.0, 31.0
    damping = damping_coefficient(Quantity(rate, "N/m"), Quantity(mass, "kg"), ratio).to("N*s/m").magnitude
    moving = control.TransferFunction([rate], [mass, damping, rate])
    period_s = 1 / natural_frequency_hz(rate, mass)
    response = control.step_response(moving, np.linspace(0.0, 2 * period_s, 20_001))
    assert overshoot(ratio) == pytest.approx(float(np.max(response.outputs)) - 1.0, abs=2e-6)


@pytest.mark.parametrize(("ratio", "decrement"), LOG_DECREMENT.items())
def test_two_half_swings_shrink_by_the_logarithmic_decrement(ratio: float, decrement: float) -> None:
    # One overshoot is half a swing, so a full one shrinks by its square.
    assert -2 * math.log(overshoot(ratio)) == pytest.approx(decrement, abs=5e-5)


@pytest.mark.parametrize(("deflection_mm", "hertz"), RIDE_HZ.items())
def test_the_ride_frequency_of_a_linear_spring_follows_from_its_static_deflection(
    deflection_mm: float, hertz: float
) -> None:
    mass = 30.0
    rate = mass * STANDARD_GRAVITY.value / (deflection_mm / 1000)
    assert natural_frequency_hz(rate, mass) == pytest.approx(hertz, abs=5e-5)
