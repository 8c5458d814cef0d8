"""The damped oscillator: overshoot and logarithmic decrement.

Source: the step response of a second-order system (any text on control), the logarithmic decrement δ = 2πζ/√(1 − ζ²)
(any text on vibration).

Confirmed: overshoot recomputed with the step response of `python-control` in this file; the table's values and the
decrements were recomputed from their formulas.

Tolerance: the table's digits.
"""

from __future__ import annotations

import math

import control
import numpy as np
import pytest

from setup_rules.physics.damping import damping_n_s_per_m, overshoot_from_ratio, ratio_from_overshoot

OVERSHOOT_PERCENT = {0.2: 52.66, 0.3: 37.23, 0.4: 25.38, 0.5: 16.30, 0.6: 9.48, 0.7: 4.60}
LOG_DECREMENT = {0.1: 0.6315, 0.2: 1.2825, 0.3: 1.9760, 0.5: 3.6276}


@pytest.mark.parametrize(("ratio", "percent"), OVERSHOOT_PERCENT.items())
def test_the_ratio_read_back_from_the_tables_overshoot_is_the_tables(ratio: float, percent: float) -> None:
    assert ratio_from_overshoot(percent / 100) == pytest.approx(ratio, abs=5e-4)
    assert overshoot_from_ratio(ratio) == pytest.approx(percent / 100, abs=5e-5)


@pytest.mark.parametrize("ratio", [0.2, 0.36, 0.5, 0.7])
def test_a_mass_with_the_coefficient_for_a_ratio_overshoots_in_python_control_by_what_gives_the_ratio_back(
    ratio: float,
) -> None:
    rate, mass = 9000.0, 31.0
    damping = damping_n_s_per_m(rate, mass, ratio)
    moving = control.TransferFunction([rate], [mass, damping, rate])
    period_s = 2 * math.pi * math.sqrt(mass / rate)
    response = control.step_response(moving, np.linspace(0.0, 2 * period_s, 20_001))
    assert ratio_from_overshoot(float(np.max(response.outputs)) - 1.0) == pytest.approx(ratio, abs=2e-6)


@pytest.mark.parametrize(("ratio", "decrement"), LOG_DECREMENT.items())
def test_two_half_swings_that_shrink_by_the_logarithmic_decrement_have_its_ratio(
    ratio: float, decrement: float
) -> None:
    # One overshoot is half a swing, so a full one shrinks by its square.
    assert ratio_from_overshoot(math.exp(-decrement / 2)) == pytest.approx(ratio, abs=1e-5)
