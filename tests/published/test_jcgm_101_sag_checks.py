"""First guess and sag checks against plain Monte Carlo of 300,000 riders, forks and readings.

Source: JCGM 101:2008 (propagation of distributions by Monte Carlo) and Bayes' theorem, any text; JCGM 101 was
remembered, not opened. Every rider, fork and reading is drawn at random from what the rules state (our estimates, typed
here), in N, mm and MPa; places by bisection of the balance of forces; a reading weighs each draw by its plain normal
density. No line, no sample and no closed form is shared with the product, which answers from 512 chosen draws with a
Kalman step each.

Confirmed: drawn here.

Tolerance: beside the draw's own scatter of about 0.2 %: 0.5 % of the first guess's median and 1.5 % of its band's ends;
after a check 1.5 % and 4 %, since the product reads with heavier tails, and of a second check's spread 4.5 %.
"""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np
import pytest

from setup_rules import EndSetup, SagCheck, TakenCheck, read_request, recommend
from setup_rules.advice.sag_check import middle_reading_mm
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Learned, expect, learn, sag_likelihood
from tests.published.plain_riders import DRAWS, Riders, drawn, plain_answer

TARGET = 31.5
PSI_PA, PUMPED_PSI = 6894.757293168, 74.0
REQUEST = read_request(
    {
        "rider_mass_kg": 78,
        "kit_mass_kg": 4,
        "bike_mass_kg": 14,
        "riding_style": "trail",
        "front": {"travel_mm": 140, "stanchion_mm": 34, "head_angle_deg": 66, "max_pressure_psi": 200},
    }
)


def read(side: int, *values: float) -> tuple[int, tuple[float, ...]]:
    """Return one group of readings [mm]: −1 from above, 1 from below, 0 either."""
    return side, values


@functools.cache
def without_reading() -> tuple[np.ndarray, np.ndarray]:
    """Return the gap [mm] at the pressure pumped, and what 1 N more pushes in [mm/N], of every draw."""
    all_of_them = drawn()
    rider = all_of_them.place(PUMPED_PSI, all_of_them.load)
    # Where the gap is read, friction holds the fork in with 0.3 of itself.
    rest = all_of_them.place(PUMPED_PSI, all_of_them.rest_load + 0.3 * all_of_them.friction)
    more = all_of_them.place(PUMPED_PSI, all_of_them.load + 5.0)
    return rider - rest, (more - rider) / 5.0


def after(*groups: tuple[int, tuple[float, ...]]) -> Riders:
    """Return the riders weighed by whole-millimetre readings, as the rules say that readings come about."""
    all_of_them, rng = drawn(), np.random.default_rng(3)
    gap, give = without_reading()
    slack = all_of_them.friction * give
    habit = rng.normal(0.0, 0.45, DRAWS)
    # One check: the rider stands otherwise than usual, the air has not quite settled, the gauge is a little off.
    once = rng.normal(0.0, 0.008, DRAWS) * all_of_them.per_share * give + rng.normal(0.0, 0.026, DRAWS) * gap
    reading_error = np.sqrt(1.0**2 + 1.0 / 12.0)
    log_weight = np.zeros(DRAWS)
    for side, values in groups:
        if side:
            expected = gap + once + side * rng.normal(0.9, 0.12, DRAWS) * slack
            sigma = np.full(DRAWS, reading_error)
        else:
            expected = gap + once + habit * slack
            sigma = np.hypot(reading_error, 0.4 * slack)
        for value in values:
            log_weight += -0.5 * ((value - expected) / sigma) ** 2 - np.log(sigma)
    return replace(all_of_them, weight=np.exp(log_weight - log_weight.max()))


def product(*groups: tuple[int, tuple[float, ...]]) -> EndSetup:
    """Return what the product answers after one check of those readings."""
    named = {0: "readings_mm", -1: "readings_from_above_mm", 1: "readings_from_below_mm"}
    check = SagCheck(end="front", pressure_pa=PUMPED_PSI * PSI_PA, **{named[side]: values for side, values in groups})
    found = recommend(REQUEST, (TakenCheck(check=check, request=REQUEST),) if groups else ()).front
    assert found is not None
    return found


def band_psi(end: EndSetup) -> tuple[float, float, float]:
    """Return low, middle and high of the pressure [psi]."""
    return end.pressure_low_pa / PSI_PA, end.pressure_pa / PSI_PA, end.pressure_high_pa / PSI_PA


def test_the_first_guess_is_that_of_three_hundred_thousand_random_draws() -> None:
    low, middle, high = plain_answer(drawn(), TARGET)
    assert band_psi(product()) == (
        pytest.approx(low, rel=0.015),
        pytest.approx(middle, rel=0.005),
        pytest.approx(high, rel=0.015),
    )


CHECKS = {
    "one reading": (read(0, 38.0),),
    "three readings": (read(0, 25.0, 27.0, 26.0),),
    "from above": (read(-1, 30.0, 31.0),),
    "from below": (read(1, 30.0, 31.0),),
    "one of each": (read(-1, 29.0), read(1, 36.0)),
    "scattered": (read(0, 28.0, 31.0, 33.0),),
}


@pytest.mark.parametrize("groups", CHECKS.values(), ids=CHECKS)
def test_a_check_moves_pressure_band_and_friction_as_it_moves_the_random_draws(
    groups: tuple[tuple[int, tuple[float, ...]], ...],
) -> None:
    random = after(*groups)
    low, middle, high = plain_answer(random, TARGET)
    assert band_psi(product(*groups)) == (
        pytest.approx(low, rel=0.04),
        pytest.approx(middle, rel=0.015),
        pytest.approx(high, rel=0.04),
    )
    friction, before = float(random.weight @ random.friction / random.weight.sum()), 19.0
    # Heavy tails learn less of the friction than plain normal ones do, where there is much to learn: the same way, at
    # least 40 % as far.
    found = product(*groups).friction_n
    assert found is not None
    assert found == pytest.approx(friction, abs=0.3) or 0.4 < (found - before) / (friction - before) < 1.0


@pytest.mark.parametrize(("value", "step"), [(31.0, 1.0), (31.5, 0.5), (31.3, 0.1)])
def test_a_reading_is_as_uncertain_as_the_step_to_which_it_is_rounded(value: float, step: float) -> None:
    # 1 mm for O-ring and ruler, and a step a rounded evenly: u = √(1² + a²/12), JCGM 100.
    check = SagCheck(end="front", pressure_pa=PUMPED_PSI * PSI_PA, readings_mm=(value,))
    assert REQUEST.front is not None
    ready = sag_likelihood(TakenCheck(check=check, request=REQUEST), EndModel("front", REQUEST.front, REQUEST))
    assert 1000 * ready.reading_sigma_m == pytest.approx((1.0 + step**2 / 12.0) ** 0.5, rel=1e-9)


@pytest.mark.parametrize(
    ("side", "field", "spread"),
    [(0, "readings_mm", 0.04), (-1, "readings_from_above_mm", 0.065), (1, "readings_from_below_mm", 0.04)],
)
def test_a_first_reading_is_expected_where_random_riders_read_it(side: int, field: str, spread: float) -> None:
    # The product draws straight lines about the likely reading, which the sag of 7 mm's spread is not: 0.4 mm.
    riders, rng = drawn(), np.random.default_rng(7)
    gap, give = without_reading()
    slack = riders.friction * give
    once = rng.normal(0.0, 0.008, DRAWS) * riders.per_share * give + rng.normal(0.0, 0.026, DRAWS) * gap
    stop = rng.normal(0.9, 0.12, DRAWS) * side if side else rng.normal(0.0, 0.45, DRAWS)
    error = np.hypot(np.sqrt(1.0 + 1.0 / 12.0), 0.0 if side else 0.4 * slack)
    read_mm = gap + once + stop * slack + error * rng.normal(size=DRAWS)
    check = SagCheck(end="front", pressure_pa=PUMPED_PSI * PSI_PA, **{field: (40.0,)})  # type: ignore[arg-type]
    assert REQUEST.front is not None
    ready = sag_likelihood(TakenCheck(check=check, request=REQUEST), EndModel("front", REQUEST.front, REQUEST))
    found, middle, sigma = expect(Learned.nothing(), ready), float(read_mm.mean()), float(read_mm.std())
    assert 1000 * found.reading_m == pytest.approx(middle, abs=0.4)
    assert 1000 * found.sigma_m == pytest.approx(sigma, rel=spread)
    assert found.surprise == pytest.approx((40.0 - middle) / sigma, abs=0.06)


@pytest.mark.parametrize("known", [(30.0,), (33.0, 33.0, 33.0), (35.0, 34.0, 36.0, 35.0, 35.0)])
@pytest.mark.parametrize("reads", [24.0, 34.0, 47.0])
def test_a_second_check_is_expected_where_the_same_random_riders_read_it(
    known: tuple[float, ...], reads: float
) -> None:
    # What a rider's fork and habit are stays from check to check; stance, settling and error are drawn anew. Readings
    # of one check count as their middle, at an error less by the root of their number.
    riders, rng = drawn(), np.random.default_rng(8)
    gap, give = without_reading()
    slack = riders.friction * give
    habit, error = rng.normal(0.0, 0.45, DRAWS), np.hypot(np.sqrt(1.0 + 1.0 / 12.0), 0.4 * slack)

    def check_mm() -> np.ndarray:
        once = rng.normal(0.0, 0.008, DRAWS) * riders.per_share * give + rng.normal(0.0, 0.026, DRAWS) * gap
        return gap + once + habit * slack

    own = error / np.sqrt(len(known))
    log_weight = -0.5 * ((np.median(known) - check_mm()) / own) ** 2 - np.log(own)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    read_mm = check_mm() + error * rng.normal(size=DRAWS)
    middle = float(weight @ read_mm)
    sigma = float(np.sqrt(weight @ (read_mm - middle) ** 2))
    first, second = (
        sag_likelihood(TakenCheck(check=check, request=REQUEST), EndModel("front", REQUEST.front, REQUEST))
        for check in (
            SagCheck(end="front", pressure_pa=PUMPED_PSI * PSI_PA, readings_mm=known),
            SagCheck(end="front", pressure_pa=PUMPED_PSI * PSI_PA, readings_mm=(reads,)),
        )
    )
    found = expect(learn((first,)), second)
    assert 1000 * found.reading_m == pytest.approx(middle, abs=0.25)
    assert 1000 * found.sigma_m == pytest.approx(sigma, rel=0.045)
    assert found.surprise == pytest.approx((reads - middle) / sigma, rel=0.06, abs=0.1)


@pytest.mark.parametrize(
    ("check", "middle"),
    [
        (SagCheck(end="front", pressure_pa=5e5, readings_mm=(30.0, 38.0, 31.0)), 31.0),
        (SagCheck(end="front", pressure_pa=5e5, readings_mm=(30.0, 33.0)), 31.5),
        (SagCheck(end="rear", pressure_pa=5e5, readings_from_above_mm=(14.0, 13.0, 19.0)), 14.0),
        # Each side has its own middle, 14 and 17.5, and both count alike.
        (
            SagCheck(
                end="rear",
                pressure_pa=5e5,
                readings_from_above_mm=(14.0, 13.0, 19.0),
                readings_from_below_mm=(17.0, 18.0),
            ),
            15.75,
        ),
    ],
)
def test_a_check_reads_its_median_and_between_two_sides_their_middle(check: SagCheck, middle: float) -> None:
    assert middle_reading_mm(check) == middle
