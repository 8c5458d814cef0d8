"""What is questioned in a sag check of a coil: the rate that is said to be in the bike, and its preload."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules.advice.coil_check import coil_problems, preload_question
from setup_rules.types.errors import Problem
from setup_rules.types.request import FrontEnd, RearEnd
from setup_rules.types.result import SagCheck
from setup_rules.types.units import LBF_PER_IN_N_PER_M

#: What the bike may need: 60 to 90 N/mm. A factor of 3 either way leaves 20 to 270 N/mm.
NEEDED = (60_000.0, 90_000.0)


def problems(needed: tuple[float, float] | None = NEEDED, **given: Any) -> list[Problem]:
    """Return what is wrong with a check of the rear."""
    return coil_problems(SagCheck(end="rear", **{"readings_mm": (16.0,), **given}), needed)


def said(problem: Problem) -> tuple[str, str, dict[str, Any]]:
    """Return field, key and values of a problem."""
    assert not isinstance(problem.said, str)
    return problem.field, problem.said.key, dict(problem.said.values)


def test_a_coil_has_no_pressure() -> None:
    (problem,) = problems(pressure_pa=1.0, spring_rate_n_per_mm=80.0)
    assert said(problem) == ("pressure_psi", "sag_check.pressure_on_coil", {})
    assert not problem.question


@pytest.mark.parametrize("rate", [None, 0.0])
def test_a_check_of_a_coil_says_which_spring_is_in_it(rate: float | None) -> None:
    (problem,) = problems(spring_rate_n_per_mm=rate)
    assert said(problem) == ("spring_rate_n_per_mm", "sag_check.rate_needed", {})


@pytest.mark.parametrize("rate", [20.0, 80.0, 270.0])
def test_a_rate_within_a_factor_of_three_of_the_need_is_taken(rate: float) -> None:
    assert problems(spring_rate_n_per_mm=rate) == []


def test_nothing_is_questioned_where_the_need_is_not_known() -> None:
    assert problems(None, spring_rate_n_per_mm=5000.0) == []


@pytest.mark.parametrize("typed", [19.9, 1542.0, 5000.0])
def test_a_rate_that_no_unit_explains_is_unlikely(typed: float) -> None:
    # 19.9 lb/in would be 3.5 N/mm and 1542 lb/in 270.05 N/mm: neither is in reach.
    (problem,) = problems(spring_rate_n_per_mm=typed)
    values = {"low": 60, "high": 90, "least": 20, "most": 270, "typed": typed}
    assert said(problem) == ("spring_rate_n_per_mm", "sag_check.rate_unlikely", values)


@pytest.mark.parametrize(("typed", "meant"), [(450.0, 78.8), (270.1, 47.3), (1541.0, 269.9)])
def test_pounds_an_inch_are_recognised(typed: float, meant: float) -> None:
    # 1 lb/in = 0.1751268 N/mm: 450 lb/in are 78.807 N/mm, 1541 are 269.87.
    (problem,) = problems(spring_rate_n_per_mm=typed)
    values = {"low": 60, "high": 90, "least": 20, "most": 270, "typed": typed, "rate": meant}
    assert said(problem) == ("spring_rate_n_per_mm", "sag_check.rate_other_unit", values)


def test_pounds_an_inch_at_the_lower_bound_are_recognised() -> None:
    # A soft spring of 3 N/mm needed at least, 9 at most: 1 to 27 N/mm in reach; 28 lb/in are 4.9 N/mm.
    (problem,) = problems((3_000.0, 9_000.0), spring_rate_n_per_mm=28.0)
    assert said(problem)[1:] == (
        "sag_check.rate_other_unit",
        {"low": 3, "high": 9, "least": 1, "most": 27, "typed": 28, "rate": 4.9},
    )


def test_a_rate_at_the_very_bound_is_recognised_in_pounds_an_inch() -> None:
    # 151 lb/in are 26.4 N/mm: three times what is needed at most.
    most = 151 * LBF_PER_IN_N_PER_M
    (problem,) = problems((most / 4, most / 3), spring_rate_n_per_mm=151.0)
    assert said(problem)[1] == "sag_check.rate_other_unit"


# Preload

SHOCK: dict[str, Any] = {"stroke_mm": 55.0, "leverage_start": 2.8, "spring": "coil", "preload_mm_max": 4.0}


@pytest.mark.parametrize(("preload", "asked"), [(4.0, False), (4.02, False), (4.03, True), (9.5, True)])
def test_more_preload_than_the_end_may_have_is_asked_about(preload: float, asked: bool) -> None:
    found = preload_question(RearEnd(**SHOCK), SagCheck(end="rear", spring_rate_n_per_mm=80.0, preload_mm=preload))
    assert len(found) == asked
    for problem in found:
        assert said(problem) == ("preload_mm", "sag_check.preload_above_limit", {"preload": preload, "limit": 4})
        assert problem.question


def test_an_end_with_air_or_with_no_spring_that_fits_is_asked_nothing() -> None:
    check = SagCheck(end="rear", preload_mm=30.0)
    assert preload_question(FrontEnd(travel_mm=150.0), check) == ()
    assert preload_question(RearEnd(**SHOCK, coil_stroke_mm=50.0), check) == ()
    assert preload_question(RearEnd(**{**SHOCK, "spring": "air"}), check) == ()
