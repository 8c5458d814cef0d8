"""What is remembered of an end: by its own bike, by other specimens, by both, by none."""

from __future__ import annotations

import numpy as np
import pytest

from setup_rules import FrontEnd
from setup_rules.inference.unit_memory import memory_of_unit, remembered_of
from setup_rules.types.spring_memory import SpringMemory

OWN = SpringMemory(riders=2, shift=(4.0, 1.0, 0.0), precision=(100.0, 0.0, 50.0, 0.0, 0.0, 8.0))
OTHERS = SpringMemory(riders=3, shift=(6.0, 0.0, 2.0), precision=(40.0, 0.0, 20.0, 0.0, 0.0, 2.0))


def test_what_the_bike_knows_and_what_other_specimens_taught_add_up() -> None:
    both = remembered_of(FrontEnd(travel_mm=140.0, memory=OWN, unit_memory=OTHERS))
    added = SpringMemory(riders=5, shift=(10.0, 1.0, 2.0), precision=(140.0, 0.0, 70.0, 0.0, 0.0, 10.0))
    assert both == added


def test_one_of_both_is_taken_as_it_is() -> None:
    assert remembered_of(FrontEnd(travel_mm=140.0, memory=OWN)) is OWN
    assert remembered_of(FrontEnd(travel_mm=140.0, unit_memory=OTHERS)) is OTHERS
    assert remembered_of(FrontEnd(travel_mm=140.0)) is None


def test_a_memory_without_riders_teaches_nothing() -> None:
    assert memory_of_unit([]) is None
    assert memory_of_unit([SpringMemory.nothing()]) is None
    assert memory_of_unit([SpringMemory.nothing(), OTHERS]) == memory_of_unit([OTHERS])


def test_a_specimen_is_blurred_by_what_specimens_differ_on_the_way_there_and_back() -> None:
    # Each difference by itself, since nothing here goes together: level 100 with 4 means 4/100 = 0.04 ± √(1/100).
    # Wider by 0.03² twice: 1/(0.01 + 0.0018) = 84.75, and the mean stays: 84.75·0.04 = 3.390.
    # Slope 50 with 1: 1/(0.02 + 2·0.0004) = 48.08, 0.02·48.08 = 0.9615. Friction 8: 1/(0.125 + 0.08) = 4.878.
    found = memory_of_unit([OWN])
    assert found is not None
    assert found.riders == 2
    assert found.shift == pytest.approx((3.390, 0.9615, 0.0), rel=1e-3)
    assert found.precision == pytest.approx((84.75, 0.0, 48.08, 0.0, 0.0, 4.878), rel=1e-3)


def test_two_specimens_tell_of_the_model_together_and_of_the_next_one_less() -> None:
    # Level: of the model 1/(0.01 + 0.0009) = 91.74 and 1/(0.025 + 0.0009) = 38.61, together 130.35, with
    # 91.74·0.04 + 38.61·0.15 = 9.461; of the next specimen 1/(1/130.35 + 0.0009) = 116.66, 116.66·9.461/130.35 = 8.468.
    found = memory_of_unit([OWN, OTHERS])
    assert found is not None
    assert found.riders == 5
    assert (found.precision[0], found.shift[0]) == pytest.approx((116.66, 8.468), rel=1e-3)


def test_differences_that_go_together_stay_together_however_many_taught() -> None:
    # Λ = ((100, 30), (30, 50)) of level and slope: each way there and back adds T = diag(0.0009, 0.0004) to Λ⁻¹.
    # |Λ| = 4100; Λ⁻¹ = ((50, −30), (−30, 100))/4100 = ((0.0121951, −0.0073171), (·, 0.0243902)); plus 2·T:
    # ((0.0139951, −0.0073171), (·, 0.0251902)), of determinant 2.98999e-4, its inverse ((84.249, 24.472), (·, 46.807)).
    one = SpringMemory(riders=1, shift=(0.0, 0.0, 0.0), precision=(100.0, 30.0, 50.0, 0.0, 0.0, 8.0))
    found = memory_of_unit([one])
    assert found is not None
    assert found.precision[:3] == pytest.approx((84.249, 24.472, 46.807), rel=1e-3)
    two = memory_of_unit([one, one])
    assert two is not None
    # Of two, half of what the first way adds is left: Λ⁻¹/2 + 1.5·T.
    inverse = np.array([[0.0060976, -0.0036585], [-0.0036585, 0.0121951]]) + 1.5 * np.diag([0.0009, 0.0004])
    expected = np.linalg.inv(inverse)
    assert two.precision[:3] == pytest.approx((expected[0, 0], expected[1, 0], expected[1, 1]), rel=1e-3)
