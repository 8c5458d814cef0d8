"""Readings at the edges: beyond the travel, on the very end of a range; and a leverage of which one end was told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from setup_rules import Conditions, FrontEnd, RearEnd, SagCheck, SetupRequest, TakenCheck
from setup_rules.inference import checked_guess
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import SagLikelihood, compare_readings
from setup_rules.inference.measured import Measured
from setup_rules.inference.posterior import central_row
from setup_rules.inference.start_setting import held_of

CENTRE, HOME = central_row()[None, :], Conditions()
FORK = FrontEnd(travel_mm=140.0, stanchion_mm=34)
REQUEST = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=FORK)
MODEL = EndModel("front", FORK, REQUEST)
ACTING = 600_000.0


def rate_at(reading: float) -> float:
    """Return the rate [N/m] by which a reading [m] is judged."""
    (group,) = compare_readings(SagLikelihood(MODEL, HOME, ACTING, ((0, (reading,)),), 0.0003), CENTRE)
    return float(MODEL.friction_n(CENTRE)[0] / group.per_state[0, 1])


def test_a_reading_at_the_end_of_the_travel_is_judged_at_ninety_eight_hundredths_of_it() -> None:
    site = MODEL.setting.site(HOME)
    wanted = float(held_of(MODEL, CENTRE).springs.rate_n_per_m(0.98 * 0.14, ACTING, site)[0])
    assert rate_at(0.139) == pytest.approx(wanted, rel=1e-9)
    assert rate_at(0.150) == rate_at(0.139)
    assert rate_at(0.1) < 0.9 * rate_at(0.139)


@pytest.mark.parametrize(("surprise", "held"), [(1.6448536, True), (-1.6448536, True), (1.65, False), (-1.65, False)])
def test_a_reading_on_the_end_of_its_range_lies_in_it(
    monkeypatch: pytest.MonkeyPatch, surprise: float, held: bool
) -> None:
    found = checked_guess._expected
    monkeypatch.setattr(
        checked_guess, "_expected", lambda model, check: replace(found(model, check), surprise=surprise)
    )
    # A rider of its own for each case, so that nothing is remembered.
    request = replace(REQUEST, rider_mass_kg=78.0 + surprise / 100)
    check = SagCheck(end="front", pressure_pa=480_000.0, readings_mm=(30.0,))
    judged = checked_guess.judge_guess(TakenCheck(check=check, request=request))
    assert judged is not None
    assert judged.held is held


def test_a_leverage_of_which_one_end_was_told_is_the_same_throughout() -> None:
    assert RearEnd(stroke_mm=55.0, leverage_start=2.9).leverage_points == ((0.0, 2.9), (55.0, 2.9))
    assert RearEnd(stroke_mm=55.0, leverage_end=2.4).leverage_points == ((0.0, 2.4), (55.0, 2.4))
    assert RearEnd(stroke_mm=55.0).leverage_points == ((0.0, 1.0), (55.0, 1.0))


def test_a_scale_counts_for_its_own_wheel_in_the_stance_that_it_was_read_in() -> None:
    stood = replace(REQUEST, front_axle_kg=38.0, weighed_stance=REQUEST.stance)
    assert Measured.of(EndModel("front", FORK, stood)) is not None
    sat = replace(stood, weighed_stance="seated" if REQUEST.stance == "standing" else "standing")
    assert Measured.of(EndModel("front", FORK, sat)) is None
    # The rear has not stood on it, in whichever stance.
    rear = RearEnd(stroke_mm=55.0, leverage_start=2.8)
    assert Measured.of(EndModel("rear", rear, stood)) is None
