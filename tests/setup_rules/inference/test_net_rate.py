"""What a newton more does to a reading behind a linkage: the spring's rate, less what the leverage gives back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from setup_rules import Conditions, RearEnd, SetupRequest
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import SagLikelihood, compare_readings
from setup_rules.inference.posterior import central_row
from setup_rules.inference.start_setting import held_of

CENTRE, HOME = central_row()[None, :], Conditions()
PRESSURE = 1_200_000.0


def shock(start: float, end: float) -> EndModel:
    """Return a shock behind a linkage that goes from one ratio to the other."""
    rear = RearEnd(stroke_mm=55.0, leverage_start=start, leverage_end=end)
    return EndModel("rear", rear, SetupRequest(rider_mass_kg=78.0, riding_style="trail", rear=rear))


def slack_m(model: EndModel, reading: float) -> float:
    """Return friction over the rate that counts, at a reading [m]."""
    check = SagLikelihood(model, HOME, PRESSURE, ((0, (reading,)),), 0.0006)
    return float(compare_readings(check, CENTRE)[0].per_state[0, 1])


@pytest.mark.parametrize(("start", "end"), [(2.9, 2.4), (2.4, 2.9), (2.6, 2.6)])
def test_the_rate_is_the_slope_of_force_less_load(start: float, end: float) -> None:
    model, reading, step = shock(start, end), 0.015, 1e-5
    held, site = held_of(model, CENTRE), model.setting.site(HOME)
    friction = float(model.friction_n(CENTRE)[0])
    # Where the gap is read, friction holds the shock in with 0.3 of itself.
    rest = replace(held, rest_load_n=held.rest_load_n + 0.3 * friction).rest_m(PRESSURE, site)

    def left_over(x: float) -> float:
        lever = start + (end - start) * x / 0.055
        return float((held.springs.force_n(x, PRESSURE, site) - held.load_n * lever)[0])

    at = reading + float(rest[0])
    slope = (left_over(at + step) - left_over(at - step)) / (2 * step)
    assert friction / slack_m(model, reading) == pytest.approx(slope, rel=1e-6)


def test_a_linkage_that_gives_way_faster_than_the_spring_stiffens_leaves_a_newton_a_metre() -> None:
    # From 1 to 5 over 55 mm: 73 per metre, times 500 N of load 36 kN/m, more than the soft spring's rate. 32.5 N of
    # friction is then as much as 32.5 m: such a reading says nothing.
    model = shock(1.0, 5.0)
    check = SagLikelihood(model, HOME, 300_000.0, ((0, (0.015,)),), 0.0006)
    assert float(np.asarray(model.friction_n(CENTRE))[0]) == 32.5
    assert float(compare_readings(check, CENTRE)[0].per_state[0, 1]) == pytest.approx(32.5)
