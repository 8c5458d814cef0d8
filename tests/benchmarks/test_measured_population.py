"""Scale and pushes on the population, in small: how people measure, the oracle beside, and what measuring is worth.

The whole table: `python -m tests.benchmarks.population 50 20 measured`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from .population.asking import Answer, answer_or_refusal, first_answer
from .population.benching import BenchOracle, asked_with, axle_kg, push, weigh, wheel_travel
from .population.draw import Case, draw_cases
from .population.ranges import Bell, Flat, Garage
from .population.spring import GRAVITY, force

pytestmark = pytest.mark.benchmark

GARAGE = Garage()
NO_CHANCE = replace(
    GARAGE,
    scale_factor=Bell(1.0, 0.0, "", ""),
    scale_offset=Bell(0.0, 0.0, "", ""),
    scale_lean=Bell(0.0, 0.0, "", ""),
    zero=Bell(0.0, 0.0, "", ""),
    hand=Bell(0.0, 0.0, "", ""),
    depth_off=Flat(0.0, 0.0, "", ""),
    push_step=0.001,
)


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    return draw_cases(8, 31)


def test_a_scale_that_never_errs_shows_what_rests_on_the_wheel(cases: list[Case]) -> None:
    for case in cases:
        h = case.hidden
        by_hand = h.share * h.mass + h.rest_mass + h.unsprung
        assert axle_kg(h, 0.0) == pytest.approx(by_hand)
        assert weigh(case, NO_CHANCE) == pytest.approx(by_hand, abs=0.051)


def test_pushes_that_never_err_bracket_the_force_of_the_spring(cases: list[Case]) -> None:
    for case in cases:
        h = case.hidden
        test = push(case, 90.0, NO_CHANCE)
        x = float(h.travel) * np.array(GARAGE.depth)
        assert test.compression == pytest.approx(wheel_travel(h, x), abs=4.5e-3)
        assert np.all(test.down > test.up)
        spring = force(h, x, h.gauge_pa(test.shown_psi)) / h.leverage(x)
        # Pump, filling and warm air are a few per cent off, the ring a millimetre.
        assert 0.5 * (test.down + test.up) == pytest.approx(spring, rel=0.12, abs=4 * GRAVITY)


def test_the_wheel_moves_by_the_sum_of_its_leverage(cases: list[Case]) -> None:
    h = next(case.hidden for case in cases if not case.told.is_fork)
    x = np.linspace(0.0, h.travel, 2001)
    assert wheel_travel(h, h.travel) == pytest.approx(np.trapezoid(h.leverage(x), x), rel=1e-6)


def test_what_is_measured_narrows_rules_and_oracle_and_brings_both_nearer(cases: list[Case]) -> None:
    widths, misses = [], []
    for case in cases[::2]:
        guess = first_answer(case.told.request(), case.told.end, case.datum)
        both = answer_or_refusal(
            asked_with(case, guess.pressure, "scale and pushes", GARAGE), case.told.end, case.datum
        )
        if not isinstance(both, Answer):
            continue
        oracle = BenchOracle(case, guess.target, GARAGE, 6_000)
        before = oracle.pressure_band()
        oracle.learn_scale(weigh(case, GARAGE))
        oracle.learn_pushes(push(case, guess.pressure, GARAGE))
        oracle.know_needed()
        after = oracle.pressure_band()
        bands = ((guess.pressure_low, guess.pressure_high), (both.pressure_low, both.pressure_high), before, after)
        widths.append([np.log(high / low) for low, high in bands])
        gaps = (case.shown_gap_mm(one.pressure) - one.target for one in (guess, both))
        misses.append([abs(case.percent(gap)) for gap in gaps])
    rules, measured, oracle_before, oracle_after = np.median(np.array(widths), axis=0)
    assert measured < 0.75 * rules
    assert oracle_after < 0.75 * oracle_before
    first, then = np.median(np.array(misses), axis=0)
    assert then < 0.75 * first
