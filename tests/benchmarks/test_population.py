"""The rules held against drawn springs that they know nothing about; the whole table: `tests.benchmarks.population`.

The mix is what comes to a workshop: air forks and shocks alike, one fork in five with a coil negative (our estimate).
Springs held back by a pressure limit stay in, except where a goal is about reaching the target, which they cannot.
Forks with a coil negative are also held alone, to what they can reach: an oracle that knows the whole spring but not
the rider's stance still misses them by 3.4 % of travel in one case of ten, since on so soft a spring the stance and
the friction are worth that much. Nothing here depends on the machine's speed. A goal that fails is to be met by
better rules, never by a kinder population.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from .population.asking import Answer
from .population.draw import Case, draw_cases
from .population.figures import OFF_LIMITS, OVERALL, Guess, by_group, first_guess, guess_figures, run_figures
from .population.habits import HABITS
from .population.spring import Spring, bisect

pytestmark = pytest.mark.benchmark

_SPRINGS_A_GROUP = 450
#: One coil fork for four air forks.
_COIL_STEP = 4
_SEED = 20

Figures = dict[str, float]
Follow = Callable[[str], dict[str, Figures]]
COIL = "fork, coil negative"


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    drawn = draw_cases(_SPRINGS_A_GROUP, _SEED)
    coil = [case for case in drawn if case.group == COIL][::_COIL_STEP]
    return [case for case in drawn if case.group != COIL] + coil


@pytest.fixture(scope="module")
def firsts(cases: list[Case]) -> list[tuple[Answer, Guess]]:
    return [first_guess(case, known=False) for case in cases]


@pytest.fixture(scope="module")
def by_class(firsts: list[tuple[Answer, Guess]]) -> Figures:
    return guess_figures([guess for _, guess in firsts])


@pytest.fixture(scope="module")
def by_internals(cases: list[Case]) -> Figures:
    return guess_figures([first_guess(case, known=True)[1] for case in cases])


@pytest.fixture(scope="module")
def corrected(cases: list[Case], firsts: list[tuple[Answer, Guess]]) -> Follow:
    """Figures of a habit, followed once for all tests of this module."""
    done: dict[str, dict[str, Figures]] = {}

    def follow(name: str) -> dict[str, Figures]:
        if name not in done:
            runs = [HABITS[name](case, answer) for case, (answer, _) in zip(cases, firsts, strict=True)]
            done[name] = {group: run_figures(part) for group, part in by_group(runs).items()}
        return done[name]

    return follow


def test_the_outside_spring_gives_the_forces_of_the_hand_computed_vector() -> None:
    # The project's own vector, worked out before either implementation: 7 bar gauge at the port, no lower-leg air.
    area = math.pi / 4.0 * 0.032**2
    spring = Spring(
        travel=0.140,
        area=area,
        end_volume=164.8708e-6 - area * 0.140,
        negative_area=area - math.pi / 4.0 * 0.010**2,
        negative_volume=41.8096e-6,
        port=0.006,
    )
    ambient = spring.ambient
    gauge = bisect(lambda p: (p + ambient) * spring.volume(0.0) / spring.volume(0.006) - ambient - 7e5, 0.0, 1e6)
    forces = [spring.force(x * 1e-3, gauge) for x in (0, 6, 28, 70, 140)]
    assert gauge == pytest.approx(6.7655e5, abs=5.0)
    assert forces == pytest.approx([-24.448, 54.978, 284.518, 652.149, 1777.897], abs=0.01)


def test_the_first_guess_by_size_class_misses_by_at_most_4_percent_at_the_median(by_class: Figures) -> None:
    assert by_class["median miss"] <= 4.0


def test_the_first_guess_with_known_internals_misses_by_at_most_2_percent_at_the_median(
    by_internals: Figures,
) -> None:
    assert by_internals["median miss"] <= 2.0


def test_the_pressure_band_of_a_size_class_holds_what_the_spring_needs(by_class: Figures) -> None:
    assert 85.0 <= by_class["pressure in band"] <= 95.0


def test_the_pressure_band_with_known_internals_holds_what_the_spring_needs(by_internals: Figures) -> None:
    assert 85.0 <= by_internals["pressure in band"] <= 95.0


def test_the_first_sag_band_holds_the_true_sag(by_class: Figures) -> None:
    assert 85.0 <= by_class["sag in band"] <= 95.0


def test_there_are_more_than_a_thousand_springs(cases: list[Case]) -> None:
    assert len(cases) > 1000


def test_three_readings_need_at_most_0_9_repumps(corrected: Follow) -> None:
    assert corrected("three readings")[OVERALL]["re-pumps"] <= 0.9


def test_three_readings_are_done_after_one_repump_in_85_percent(corrected: Follow) -> None:
    assert corrected("three readings")[OVERALL]["says done <=1"] >= 85.0


def test_three_readings_truly_miss_by_at_most_2_5_percent_in_9_of_10(corrected: Follow) -> None:
    assert corrected("three readings")[OFF_LIMITS]["p90 miss <=1"] <= 2.5


@pytest.mark.parametrize("habit", ["one above, one below", "two above, two below"])
def test_readings_from_both_sides_are_done_after_one_repump_in_95_percent(corrected: Follow, habit: str) -> None:
    assert corrected(habit)[OVERALL]["says done <=1"] >= 95.0


def test_a_coil_fork_comes_within_a_fifth_of_what_an_oracle_reaches(corrected: Follow) -> None:
    assert corrected("three readings")[COIL]["p90 miss <=1"] <= 1.2 * 3.4


@pytest.mark.parametrize("habit", ["one reading", "three readings", "one above, one below", "two above, two below"])
def test_the_band_after_a_check_holds_the_next_true_sag(corrected: Follow, habit: str) -> None:
    assert 85.0 <= corrected(habit)[OVERALL]["in band"] <= 95.0


@pytest.mark.parametrize("rival", ["steps of 5 psi", "proportional rule"])
def test_a_sag_check_needs_fewer_repumps_than_the_habits_by_hand(corrected: Follow, rival: str) -> None:
    assert corrected("three readings")[OVERALL]["re-pumps"] < 0.75 * corrected(rival)[OVERALL]["re-pumps"]
