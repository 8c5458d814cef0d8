"""What a first check says of its guess: whether the range held, and what the class is off."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

import setup_rules as rules
from setup_rules.inference.checked_guess import judge_guess
from setup_rules.types.request import ShopChecks
from setup_rules.types.result import TakenCheck

FORK: dict[str, Any] = {"travel_mm": 150, "stanchion_mm": 36}
REQUEST = rules.read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": FORK})
GUESSED = rules.recommend(REQUEST).front


def first(read_mm: float, request: rules.SetupRequest = REQUEST, share: float = 1.0, **more: Any) -> TakenCheck:
    """Return a check at the guessed pressure, or a share of it."""
    assert GUESSED is not None
    readings = more if more else {"readings_mm": (read_mm,)}
    check = rules.SagCheck(end="front", pressure_pa=share * GUESSED.pressure_pa, **readings)
    return TakenCheck(check=check, request=request)


def test_a_reading_as_expected_says_that_the_class_is_right() -> None:
    assert GUESSED is not None
    found = judge_guess(first(GUESSED.sag_expected_mm))
    assert found is not None
    assert found.held
    assert found.of_class
    assert found.factor == pytest.approx(1.0, abs=0.03)
    assert found.correction == pytest.approx(1.0, abs=0.02)
    assert 0.1 < found.factor_sigma < 0.35


@pytest.mark.parametrize(("read_mm", "way"), [(24.0, -1), (44.0, 1)])
def test_more_sag_than_expected_says_that_the_class_needs_more_pressure(read_mm: float, way: int) -> None:
    found = judge_guess(first(read_mm))
    assert found is not None
    assert (found.factor - 1) * way > 0.1
    assert (found.correction - 1) * way > 0.05
    assert abs(found.correction - 1) < abs(found.factor - 1)  # what is learned of one bike leans towards the guess


def test_a_reading_far_out_is_outside_the_range() -> None:
    found = judge_guess(first(75.0))
    assert found is not None
    assert not found.held


def test_the_same_sag_at_more_pressure_says_that_the_class_needs_as_much_more() -> None:
    assert GUESSED is not None
    for share in (0.9, 1.1):
        found = judge_guess(first(GUESSED.sag_expected_mm, share=share))
        assert found is not None
        assert found.factor == pytest.approx(share, rel=0.03)


def test_readings_from_one_side_say_the_same_as_the_middle_between_both() -> None:
    assert GUESSED is not None
    expected = GUESSED.sag_expected_mm
    above = judge_guess(first(0, readings_from_above_mm=(expected - 4.0,)))
    below = judge_guess(first(0, readings_from_below_mm=(expected + 4.0,)))
    both = judge_guess(first(0, readings_from_above_mm=(expected - 4.0,), readings_from_below_mm=(expected + 4.0,)))
    assert above is not None
    assert below is not None
    assert both is not None
    assert above.factor == pytest.approx(1.0, abs=0.12)
    assert below.factor == pytest.approx(1.0, abs=0.12)
    assert both.factor == pytest.approx(1.0, abs=0.04)


def test_what_a_shop_uses_is_judged_but_not_counted_twice() -> None:
    told = ShopChecks(spring_class="fork_36_air", checks=30, factor=1.15, factor_sigma=0.03)
    moved = replace(REQUEST, front=replace(REQUEST.front, shop_checks=told))  # type: ignore[type-var]
    plain, with_shop = judge_guess(first(40.0)), judge_guess(first(40.0, moved))
    assert plain is not None
    assert with_shop is not None
    assert with_shop.factor == pytest.approx(plain.factor, rel=1e-6)
    assert with_shop.correction < plain.correction  # more sag was expected of that pressure


def test_entered_internals_say_nothing_of_the_class() -> None:
    known = rules.read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {**FORK, "bore_mm": 32.5}})
    found = judge_guess(first(35.0, known))
    assert found is not None
    assert not found.of_class


def test_without_the_end_there_is_nothing_to_judge() -> None:
    shock = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.5}
    rear = rules.read_request({"rider_mass_kg": 78, "riding_style": "trail", "rear": shock})
    assert judge_guess(first(35.0, rear)) is None
