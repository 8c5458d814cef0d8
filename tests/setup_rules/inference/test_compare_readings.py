"""What a group of readings is compared with: expected gap, lever of the rider's states, and variance term by term.

The shares are the decided ones, written out; friction over rate is taken from a group read from either side.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from setup_rules import Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Group, SagLikelihood, compare_readings
from setup_rules.inference.posterior import central_row
from setup_rules.inference.size_class import COLUMN
from setup_rules.types.request import EndName

CENTRE = central_row()[None, :]
HOME = Conditions()
READING = 0.0003
PSI_PA = 6894.757


def model_of(name: EndName) -> EndModel:
    front, rear = (
        FrontEnd(travel_mm=140.0, stanchion_mm=34),
        RearEnd(stroke_mm=55.0, leverage_start=2.9, leverage_end=2.4),
    )
    request = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=front, rear=rear)
    return EndModel(name, front if name == "front" else rear, request)


def compared(name: EndName, *groups: tuple[int, list[float]], sure: bool = False) -> list[Group]:
    """Return the groups of a check at 75 psi in front, 170 behind, against the spring of central values."""
    model = model_of(name)
    acting = model.setting.acting((75.0 if name == "front" else 170.0) * PSI_PA, HOME)
    ready = tuple((side, np.array(readings)) for side, readings in groups)
    return compare_readings(SagLikelihood(model, HOME, acting, ready, READING, frictionless=sure), CENTRE)


def slack_of(name: EndName, reading: float) -> float:
    """Return friction over rate [m]: how far the settling habit can move a reading."""
    (group,) = compared(name, (0, [reading]))
    return float(group.per_state[0, 1])


def variance(*given: Any, **how: Any) -> float:
    (group,) = compared(*given, **how)
    return float(group.variance_m2[0])


ENDS: Any = pytest.mark.parametrize(("name", "reading"), [("front", 0.028), ("rear", 0.015)])


@ENDS
def test_friction_moves_a_one_sided_reading_by_nine_tenths_of_itself(name: EndName, reading: float) -> None:
    either, above, below = (compared(name, (side, [reading]))[0] for side in (0, -1, 1))
    slack = slack_of(name, reading)
    assert 0.0005 < slack < 0.02
    assert float((below.expected_m - either.expected_m)[0]) == pytest.approx(0.9 * slack)
    assert float((above.expected_m - either.expected_m)[0]) == pytest.approx(-0.9 * slack)
    assert float(above.per_state[0, 1]) == float(below.per_state[0, 1]) == 0.0


@ENDS
def test_a_known_side_leaves_less_of_the_friction_open(name: EndName, reading: float) -> None:
    slack = slack_of(name, reading)
    for side in (-1, 1):
        more = variance(name, (0, [reading])) - variance(name, (side, [reading]))
        assert more == pytest.approx((0.4**2 - 0.12**2) * slack**2)


@ENDS
def test_the_variance_of_one_reading_is_the_sum_of_its_parts(name: EndName, reading: float) -> None:
    slack = slack_of(name, reading)
    (group,) = compared(name, (0, [reading]))
    # The front share spreads by 0.035 (decided_constants.py), from one stand to the next by 0.008.
    stance = 0.008 / 0.035 * float(group.per_state[0, 0])
    own = READING**2 + (0.4 * slack) ** 2
    assert float(group.single_m2[0]) == pytest.approx(own)
    assert float(group.variance_m2[0]) == pytest.approx(own + stance**2 + (0.026 * reading) ** 2)


@ENDS
def test_more_readings_of_a_group_average_only_what_is_their_own(name: EndName, reading: float) -> None:
    slack = slack_of(name, reading)
    own = READING**2 + (0.4 * slack) ** 2
    one, four = variance(name, (0, [reading])), variance(name, (0, [reading] * 4))
    assert one - four == pytest.approx(0.75 * own)


@ENDS
def test_what_two_groups_share_is_counted_once_for_the_check(name: EndName, reading: float) -> None:
    slack = slack_of(name, reading)
    alone = variance(name, (1, [reading]))
    shared = alone - READING**2 - (0.12 * slack) ** 2
    for group in compared(name, (-1, [reading]), (1, [reading])):
        assert float(group.variance_m2[0]) == pytest.approx(alone + shared)


@ENDS
def test_a_sag_that_somebody_worked_out_has_no_friction_and_no_rider(name: EndName, reading: float) -> None:
    (group,) = compared(name, (0, [reading]), sure=True)
    assert float(group.variance_m2[0]) == pytest.approx(READING**2)
    assert group.per_state.tolist() == [[0.0, 0.0]]


@ENDS
def test_a_heavier_stand_on_an_end_adds_its_load_over_the_rate(name: EndName, reading: float) -> None:
    model, more = model_of(name), CENTRE.copy()
    more[:, COLUMN["share"]] = 1.0
    rate = float(model.friction_n(CENTRE)[0]) / slack_of(name, reading)
    added = float((model.load_n(more) - model.load_n(CENTRE))[0])
    assert (added > 0) == (name == "front")
    (group,) = compared(name, (0, [reading]))
    lever = float(np.asarray(model.leverage.at(reading))) if name == "rear" else 1.0
    assert float(group.per_state[0, 0]) == pytest.approx(added * lever / rate, rel=0.02)
