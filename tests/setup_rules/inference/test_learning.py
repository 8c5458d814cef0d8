"""How checks of one rider and of several weigh the drawn springs together: order, age, load, what was known before.

What one group of readings says is taken from `compare_readings` and `fit_rider`, each held against paper by tests of
its own; here it counts how they are put together.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy import stats

from setup_rules import FrontEnd, RearEnd, SagCheck, SetupRequest, TakenCheck
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import (
    Learned,
    Rider,
    SagLikelihood,
    compare_readings,
    expect,
    fit_rider,
    learn,
    sag_likelihood,
    with_drift,
)
from setup_rules.inference.posterior import prior
from setup_rules.inference.size_class import COLUMN
from setup_rules.inference.spring_memory import memory_log_weight
from setup_rules.types.spring_memory import SpringMemory

FORK = FrontEnd(travel_mm=140.0, stanchion_mm=34)
SHARE = COLUMN["share"]


def model_of(kg: float = 78.0, fork: FrontEnd = FORK) -> EndModel:
    return EndModel("front", fork, SetupRequest(rider_mass_kg=kg, riding_style="trail", front=fork))


def read(mm: float, kg: float = 78.0, fork: FrontEnd = FORK) -> SagLikelihood:
    """Return one reading of a rider at 500 kPa, made ready."""
    model = model_of(kg, fork)
    check = SagCheck(end="front", pressure_pa=500_000.0, readings_mm=(mm,))
    return sag_likelihood(TakenCheck(check=check, request=model.request), model)


def worked_out(mm: float) -> SagLikelihood:
    """Return a sag that somebody worked out, good to 2 mm."""
    return replace(read(mm), frictionless=True, reading_sigma_m=0.002)


def log_weight(learned: Learned) -> Any:
    """Return the logarithm of each draw's weight beside the first draw's."""
    logs = np.log(learned.spring)
    return logs - logs[0]


def beside_first(values: Any) -> Any:
    return values - values[0]


def step(check: SagLikelihood, rider: Rider, later: int = 0) -> tuple[Rider, Any]:
    """Return the rider after a check's one group, and what it says of every draw."""
    (group,) = compare_readings(check, prior().z)
    return fit_rider(rider, with_drift(group, later))


def test_one_check_weighs_the_springs_by_what_its_group_says() -> None:
    rider, gained = step(read(30.0), Rider.unknown())
    learned = learn((read(30.0),))
    assert log_weight(learned) == pytest.approx(beside_first(gained), abs=1e-9)
    assert learned.rider.mean == pytest.approx(rider.mean)
    assert learned.spring.sum() == pytest.approx(1.0)
    assert learned.posterior.weight is learned.spring


def test_an_older_check_of_the_same_rider_says_nine_tenths_and_has_drifted() -> None:
    newest, first = step(read(29.0), Rider.unknown())
    both, second = step(read(31.0), newest, 1)
    learned = learn((read(31.0), read(29.0)))
    assert log_weight(learned) == pytest.approx(beside_first(first + 0.9 * second), abs=1e-9)
    assert learned.rider.mean == pytest.approx(both.mean)
    assert learned.rider.covariance == pytest.approx(both.covariance)


def test_how_far_an_older_checks_readings_lie_apart_is_remembered_by_nine_tenths_too() -> None:
    # Three readings about their mean are a Student t of two dimensions: −½·2·ln v − ½·(4 + 2)·ln(1 + Σ(r − r̄)²/(4v)).
    apart = replace(read(31.0), groups=((0, (0.029, 0.031, 0.033)),))
    newest, first = step(read(29.0), Rider.unknown())
    (group,) = compare_readings(apart, prior().z)
    _, second = fit_rider(newest, with_drift(group, 1))
    scatter = -np.log(group.single_m2) - 3.0 * np.log(1.0 + 2 * 0.002**2 / (4.0 * group.single_m2))
    learned = learn((apart, read(29.0)))
    assert log_weight(learned) == pytest.approx(beside_first(first + 0.9 * (second + scatter)), abs=1e-9)
    assert np.ptp(scatter) > 0.3


def test_each_check_that_came_after_takes_another_tenth() -> None:
    rider, said = Rider.unknown(), np.zeros(512)
    for age, mm in enumerate((29.0, 31.0, 30.0)):
        rider, gained = step(read(mm), rider, age)
        said = said + 0.9**age * gained
    learned = learn((read(30.0), read(31.0), read(29.0)))
    assert log_weight(learned) == pytest.approx(beside_first(said), abs=1e-9)


def test_another_riders_check_speaks_in_full_of_the_spring_and_not_of_the_newest_rider() -> None:
    newest, first = step(read(30.0, 78.0), Rider.unknown())
    _, second = step(read(34.0, 90.0), Rider.unknown())
    learned = learn((read(34.0, 90.0), read(30.0, 78.0)))
    assert log_weight(learned) == pytest.approx(beside_first(first + second), abs=1e-9)
    assert learned.rider.mean == pytest.approx(newest.mean)
    assert learned.rider.model is not None
    assert learned.rider.model.request.rider_mass_kg == 78.0


def test_a_rider_who_comes_back_is_known_again() -> None:
    newest, first = step(read(30.0, 78.0), Rider.unknown())
    _, second = step(read(34.0, 90.0), Rider.unknown())
    both, third = step(read(32.0, 79.0), newest, 1)
    learned = learn((read(32.0, 79.0), read(34.0, 90.0), read(30.0, 78.0)))
    assert log_weight(learned) == pytest.approx(beside_first(first + second + 0.9 * third), abs=1e-9)
    assert learned.rider.mean == pytest.approx(both.mean)


def test_two_riders_in_turn_are_both_known_again() -> None:
    newest, first = step(read(30.0, 78.0), Rider.unknown())
    other, second = step(read(34.0, 90.0), Rider.unknown())
    _, third = step(read(32.0, 79.0), newest, 1)
    _, fourth = step(read(35.0, 90.0), other, 1)
    learned = learn((read(35.0, 90.0), read(32.0, 79.0), read(34.0, 90.0), read(30.0, 78.0)))
    assert log_weight(learned) == pytest.approx(beside_first(first + second + 0.9 * (third + fourth)), abs=1e-9)


def test_the_newest_of_three_checks_surprises_by_what_the_two_before_it_did_not_say() -> None:
    # A heavy rider twice, then a light one: of the light one nothing was known before.
    older, newest = (read(34.0, 90.0), read(29.0, 90.0)), read(38.0, 78.0)
    told = expect(learn(older, model_of(78.0)), newest).surprise
    assert learn((*older, newest)).surprise == pytest.approx(told)
    assert told != pytest.approx(expect(learn(older), newest).surprise, rel=1e-3)
    assert told != pytest.approx(expect(learn(older[:1], model_of(78.0)), newest).surprise, rel=1e-3)


def test_a_worked_out_sag_between_two_readings_keeps_nobody_from_being_surprised() -> None:
    older = read(30.0), worked_out(28.0)
    assert learn((*older, read(40.0))).surprise == pytest.approx(expect(learn(older, model_of()), read(40.0)).surprise)


def test_the_one_asked_about_is_found_among_the_riders() -> None:
    checks = read(34.0, 90.0), read(30.0, 78.0)
    heavy, _ = step(checks[0], Rider.unknown())
    light, _ = step(checks[1], Rider.unknown())
    for kg, rider in ((90.0, heavy), (78.0, light), (60.0, Rider.unknown())):
        assert learn(checks, model_of(kg)).rider.mean == pytest.approx(rider.mean)


def test_draws_get_the_load_that_fits_the_readings_and_keep_their_springs() -> None:
    learned, z = learn((read(36.0),)), prior().z
    mean, sigma = learned.rider.mean[:, 0], np.sqrt(learned.rider.covariance[:, 0, 0])
    assert learned.posterior.z[:, SHARE] == pytest.approx(mean + sigma * z[:, SHARE])
    assert (sigma < 1.0).all()
    others = [place for place in range(z.shape[1]) if place != SHARE]
    assert learned.posterior.z[:, others].tolist() == z[:, others].tolist()


def test_of_a_rider_without_a_check_the_load_stays_open() -> None:
    assert learn((read(36.0),), model_of(60.0)).posterior.z == pytest.approx(prior().z)


def student(mm: float) -> Any:
    """Return what a worked-out sag says of every draw: Student's density of what it is off, four degrees of freedom."""
    (group,) = compare_readings(worked_out(mm), prior().z)
    return stats.t.logpdf((mm / 1000 - group.expected_m) / 0.002, df=4)


def test_a_worked_out_sag_alone_says_its_density_and_surprises_nobody() -> None:
    learned = learn((worked_out(28.0),))
    assert log_weight(learned) == pytest.approx(beside_first(student(28.0)), abs=1e-9)
    assert learned.rider.model is None
    assert learn((read(30.0), worked_out(50.0))).surprise == 0.0


def test_a_worked_out_sag_before_a_riders_checks_counts_as_their_oldest() -> None:
    alone = learn((read(30.0),))
    more = log_weight(learn((worked_out(28.0), read(30.0)))) - log_weight(alone)
    assert more == pytest.approx(beside_first(0.9 * student(28.0)), abs=1e-9)
    twice = learn((read(31.0), read(30.0)))
    more = log_weight(learn((worked_out(28.0), read(31.0), read(30.0)))) - log_weight(twice)
    assert more == pytest.approx(beside_first(0.81 * student(28.0)), abs=1e-9)


def test_a_worked_out_sag_is_no_rider() -> None:
    learned = learn((worked_out(28.0), read(30.0)))
    rider, _ = step(read(30.0), Rider.unknown())
    assert learned.rider.mean == pytest.approx(rider.mean)
    assert learn((worked_out(28.0),), model_of()).rider.mean == pytest.approx(np.zeros((512, 2)))


#: Sure enough to tell, and carried by more than 64 draws.
MEMORY = SpringMemory(riders=2, shift=(8.0, 0.0, 0.0), precision=(60.0, 0.0, 0.0, 0.0, 0.0, 0.0))


def test_what_a_bike_remembers_stands_before_its_checks() -> None:
    bike = replace(FORK, memory=MEMORY)
    _, gained = step(read(30.0, fork=bike), Rider.unknown(on=model_of(fork=bike)))
    remembered = memory_log_weight(MEMORY, model_of(fork=bike))
    learned = learn((read(30.0, fork=bike),))
    assert log_weight(learned) == pytest.approx(beside_first(remembered + gained), abs=1e-9)
    assert log_weight(learn((), model_of(fork=bike))) == pytest.approx(beside_first(remembered), abs=1e-9)


def test_a_bike_that_gets_a_coil_forgets_its_air() -> None:
    coil = RearEnd(stroke_mm=55.0, leverage_start=2.9, leverage_end=2.4, spring="coil", memory=MEMORY)
    request = SetupRequest(rider_mass_kg=78.0, riding_style="trail", rear=coil)
    assert np.unique(learn((), EndModel("rear", coil, request)).spring).tolist() == [1.0 / 512.0]


def test_a_memory_alone_contradicts_nothing() -> None:
    # Of however few draws it is carried, these stand for all: only what checks take away counts.
    assert learn((), model_of()).effective_draws == pytest.approx(512.0)
    assert learn((), model_of(fork=replace(FORK, memory=MEMORY))).effective_draws == pytest.approx(512.0)
    sharp = replace(MEMORY, shift=(800.0, 0.0, 0.0), precision=(6000.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    learned = learn((), model_of(fork=replace(FORK, memory=sharp)))
    assert 1.0 / float(learned.spring @ learned.spring) == pytest.approx(64.0, rel=1e-6)
    assert learned.effective_draws == pytest.approx(512.0)


def test_where_hardly_a_draw_explains_the_checks_thirty_carry_them_and_it_is_told() -> None:
    one = np.where(np.arange(512) == 7, 60.0, 0.0) + np.linspace(0.0, 4.0, 512)
    learned = learn((), model_of(), one)
    assert learned.effective_draws == pytest.approx(1.0, abs=1e-6)
    assert learned.disagree
    assert 1.0 / float(learned.spring @ learned.spring) == pytest.approx(30.0, rel=1e-3)
