"""A sag check made ready: its groups in metres, the pressure as it acted, the air that counted; and single readings."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats

from setup_rules import Conditions, FrontEnd, RearEnd, SagCheck, SetupRequest, TakenCheck
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import (
    Group,
    Learned,
    Rider,
    SagLikelihood,
    compare_readings,
    expect,
    fit_rider,
    learn,
    sag_likelihood,
    same_rider,
)
from setup_rules.inference.posterior import prior
from setup_rules.types.spring_memory import SpringMemory

MEMORY = SpringMemory(riders=2, shift=(8.0, 0.0, 0.0), precision=(60.0, 0.0, 0.0, 0.0, 0.0, 0.0))
FORK = FrontEnd(travel_mm=140.0, stanchion_mm=34)
SHOCK = RearEnd(stroke_mm=55.0, leverage_start=2.9, leverage_end=2.4)


def model_of(**rider: Any) -> EndModel:
    """Return the fork of a rider of 78 kg, or as given."""
    return EndModel("front", FORK, SetupRequest(**{"rider_mass_kg": 78.0, "riding_style": "trail", **rider}))


def ready(model: EndModel | None = None, **check: Any) -> SagLikelihood:
    """Return a check of the fork at 500 kPa made ready."""
    model = model or model_of()
    taken = SagCheck(**{"end": "front", "pressure_pa": 500_000.0, **check})
    return sag_likelihood(TakenCheck(check=taken, request=model.request), model)


def test_groups_are_in_metres_with_the_side_that_each_was_read_from() -> None:
    check = ready(
        readings_mm=(30.0, 32.0), readings_from_above_mm=(27.0,), readings_from_below_mm=(35.0,), datum="bike_at_rest"
    )
    assert check.groups == ((0, (0.030, 0.032)), (-1, (0.027,)), (1, (0.035,)))
    assert check.datum == "bike_at_rest"
    assert not check.frictionless


def test_a_side_without_readings_is_no_group() -> None:
    assert ready(readings_from_below_mm=(35.0,)).groups == ((1, (0.035,)),)


@pytest.mark.parametrize(
    ("readings", "sigma_mm"),
    [
        # √(1² + step²/12): whole millimetres, halves, anything finer (read to a tenth).
        ({"readings_mm": (30.0, 31.0)}, 1.040833),
        ({"readings_mm": (30.5,)}, 1.010363),
        ({"readings_mm": (30.0, 30.5)}, 1.010363),
        ({"readings_mm": (30.2,)}, 1.000417),
        ({"readings_from_above_mm": (30.0,), "readings_from_below_mm": (35.5,)}, 1.010363),
        ({"readings_from_above_mm": (30.5,), "readings_from_below_mm": (35.0,)}, 1.010363),
        ({"readings_mm": (0.0,)}, 1.040833),
        # Up to a millionth of a step is what a computer makes of a number, not what somebody read.
        ({"readings_mm": (0.9e-6,)}, 1.040833),
        ({"readings_mm": (1e-6,)}, 1.000417),
    ],
)
def test_all_readings_of_a_check_show_the_step_to_which_they_are_rounded(
    readings: dict[str, Any], sigma_mm: float
) -> None:
    assert 1000 * ready(**readings).reading_sigma_m == pytest.approx(sigma_mm, abs=1e-6)


def test_behind_a_reading_is_good_to_six_tenths_of_a_millimetre() -> None:
    request = SetupRequest(rider_mass_kg=78.0, riding_style="trail", rear=SHOCK)
    check = SagCheck(end="rear", pressure_pa=1e6, readings_mm=(15.0,))
    found = sag_likelihood(TakenCheck(check=check, request=request), EndModel("rear", SHOCK, request))
    # √(0.36 + 1/12).
    assert 1000 * found.reading_sigma_m == pytest.approx(0.665833, abs=1e-6)


def test_the_pressure_acts_as_it_was_read_where_the_check_was_taken() -> None:
    # At 1500 m the air has 84 555.99 Pa (ISO 2533); the gauge was read there, so nothing warms it from the bench.
    there = ready(readings_mm=(30.0,), temperature_c=5.0, altitude_m=1500.0)
    assert there.conditions == Conditions(temperature_c=5.0, altitude_m=1500.0)
    assert there.acting == pytest.approx(584_556.0, abs=0.1)


def test_without_weather_of_its_own_a_check_was_taken_at_the_bench() -> None:
    bench = Conditions(temperature_c=12.0, altitude_m=500.0)
    model = model_of(bench=bench, ride=Conditions(temperature_c=30.0, altitude_m=2000.0))
    assert ready(model, readings_mm=(30.0,)).conditions == bench
    only_warmer = ready(model, readings_mm=(30.0,), temperature_c=0.0).conditions
    assert (only_warmer.temperature_c, only_warmer.altitude_m) == (0.0, 500.0)
    only_lower = ready(model, readings_mm=(30.0,), altitude_m=0.0).conditions
    assert (only_lower.temperature_c, only_lower.altitude_m) == (12.0, 0.0)


@pytest.mark.parametrize(
    ("other", "same"),
    [
        ({"rider_mass_kg": 81.0}, True),
        ({"rider_mass_kg": 75.0}, True),
        ({"rider_mass_kg": 81.1}, False),
        ({"rider_mass_kg": 74.9}, False),
        ({"stance": "seated"}, False),
        ({"stance": "seated", "rider_mass_kg": 90.0}, False),
        ({"riding_style": "enduro"}, True),
    ],
)
def test_up_to_three_kilograms_apart_and_in_one_stance_it_is_one_rider(other: dict[str, Any], same: bool) -> None:
    assert same_rider(model_of(), model_of(**other)) is same
    assert same_rider(model_of(**other), model_of()) is same


def test_an_unknown_rider_has_one_standard_deviation_of_load_and_forty_five_hundredths_of_habit() -> None:
    rider = Rider.unknown(3)
    assert rider.mean.tolist() == [[0.0, 0.0]] * 3
    for one in rider.covariance:
        assert one == pytest.approx(np.array([[1.0, 0.0], [0.0, 0.2025]]))
    assert Rider.unknown(3, model_of()).covariance[0, 0, 0] == 1.0


@pytest.mark.parametrize(
    ("name", "end", "variance"),
    [
        # A stated weight is good for 3 %: 0.39 of it in front and 0.61 behind, over the front share's 0.035.
        ("front", FrontEnd(travel_mm=140.0, memory=MEMORY), 1.0 + (0.03 * 0.39 / 0.035) ** 2),
        ("rear", RearEnd(stroke_mm=55.0, leverage_start=2.9, unit_memory=MEMORY), 1.0 + (0.03 * 0.61 / 0.035) ** 2),
    ],
)
def test_on_a_bike_that_remembers_others_a_riders_stated_weight_is_uncertain_anew(
    name: Any, end: Any, variance: float
) -> None:
    model = EndModel(name, end, SetupRequest(rider_mass_kg=78.0, riding_style="trail"))
    assert Rider.unknown(2, model).covariance[1, 0, 0] == pytest.approx(variance)


def group(reading: float, expected: float, readings: tuple[float, ...] = ()) -> Group:
    """Return a group of readings [m] against one drawn spring, 1.5 mm uncertain."""
    slope, variance = np.array([[0.004, 0.003]]), np.array([0.0015**2])
    return Group(reading, np.array([expected]), slope, variance, variance, np.array(readings or (reading,)))


def test_a_spring_that_did_not_move_says_nothing_where_no_movement_was_expected() -> None:
    rider, gained = fit_rider(Rider.unknown(1), group(0.0, -0.004))
    _, exact = fit_rider(Rider.unknown(1), group(0.030, 0.030))
    assert rider.mean.tolist() == [[0.0, 0.0]]
    assert gained[0] == pytest.approx(exact[0])


def test_a_spring_that_did_not_move_though_it_should_have_says_as_much_as_any_reading() -> None:
    stuck, gained = fit_rider(Rider.unknown(1), group(0.0, 0.004))
    other, other_gained = fit_rider(Rider.unknown(1), group(0.026, 0.030))
    assert stuck.mean == pytest.approx(other.mean)
    assert stuck.mean[0, 0] < 0
    assert gained[0] == pytest.approx(other_gained[0])


def test_the_smallest_reading_above_zero_did_move() -> None:
    rider, _ = fit_rider(Rider.unknown(1), group(0.0001, -0.004))
    assert rider.mean[0, 0] > 0


def test_a_reading_below_nothing_is_no_movement_either() -> None:
    assert fit_rider(Rider.unknown(1), group(-0.001, -0.004))[0].mean.tolist() == [[0.0, 0.0]]


def test_a_rider_who_reads_what_is_known_of_them_stays_who_they_are() -> None:
    # Known to load the end by one deviation, 4 mm more, and to stop short by half of the friction, 1.5 mm less.
    known = Rider(np.array([[1.0, -0.5]]), 0.1 * np.eye(2)[None])
    after, _ = fit_rider(known, group(0.0325, 0.030))
    assert after.mean == pytest.approx(known.mean)
    assert after.covariance[0, 0, 0] < 0.1


def test_a_spring_that_is_surer_of_its_reading_gains_more_where_it_is_right() -> None:
    # Student's densities at their middle go as one over their widths: 1.5 and 6 mm beside √((4 mm)² + (0.45·3 mm)²).
    spread = 0.004**2 + (0.45 * 0.003) ** 2
    variance = np.array([0.0015**2, 0.006**2])
    two = Group(0.030, np.full(2, 0.030), np.full((2, 2), (0.004, 0.003)), variance, variance, np.array((0.030,)))
    _, gained = fit_rider(Rider.unknown(2), two)
    widths = np.sqrt(spread + variance)
    assert gained[0] - gained[1] == pytest.approx(np.log(widths[1] / widths[0]))


def test_a_step_keeps_whom_it_is_about() -> None:
    one = Rider(np.zeros((1, 2)), np.eye(2)[None], model_of())
    assert fit_rider(one, group(0.030, 0.031))[0].model is one.model


def test_before_any_check_every_draw_weighs_the_same() -> None:
    known = Learned.before_checks(model_of())
    assert known.posterior is prior()
    assert np.unique(known.spring).tolist() == [1.0 / 512.0]
    assert (known.effective_draws, known.surprise, known.measured) == (512.0, 0.0, None)
    assert known.rider.mean.shape == (512, 2)


@pytest.mark.parametrize(("draws", "disagree"), [(29.9, True), (30.0, False), (512.0, False)])
def test_fewer_than_thirty_draws_are_a_contradiction(draws: float, disagree: bool) -> None:
    nothing = Learned.nothing()
    assert Learned(nothing.posterior, nothing.spring, nothing.rider, draws).disagree is disagree


def log_ratio(after: Learned, before: Learned) -> Any:
    """Return by how much each draw's weight rose more than the first draw's, as a logarithm."""
    gained = np.log(after.spring) - np.log(before.spring)
    return gained - gained[0]


def test_what_is_known_beforehand_multiplies_what_a_check_says() -> None:
    check = ready(readings_mm=(33.0,))
    lean = np.linspace(0.0, 0.5, 512)
    assert log_ratio(learn((check,), start=lean), learn((check,))) == pytest.approx(lean, abs=1e-9)


@pytest.mark.parametrize(
    ("readings", "squares"), [((27.0, 33.0), 18e-6), ((30.0, 30.0), 0.0), ((26.0, 30.0, 34.0), 32e-6)]
)
def test_readings_that_lie_apart_speak_for_the_friction_that_parts_them(
    readings: tuple[float, ...], squares: float
) -> None:
    # About their middle n readings have n − 1 freedoms: Student's density of so many dimensions, four degrees, with
    # each draw's own variance of a reading.
    check = ready(readings_mm=readings)
    learned = learn((check,))
    assert not learned.disagree
    (own,) = compare_readings(check, prior().z)
    _, middle = fit_rider(Rider.unknown(), own)
    freedoms = len(readings) - 1
    apart = np.array([np.sqrt(squares), *[0.0] * (freedoms - 1)])
    scatter = [stats.multivariate_t.logpdf(apart, shape=one * np.eye(freedoms), df=4) for one in own.single_m2]
    told = middle + np.array(scatter)
    logs = np.log(learned.spring)
    assert logs - logs[0] == pytest.approx(told - told[0], abs=1e-9)


def test_the_friction_is_larger_where_readings_lie_apart() -> None:
    friction = model_of().friction_n(prior().z)
    one, many = (learn((ready(readings_mm=mm),)) for mm in ((30.0, 30.0, 30.0), (25.0, 30.0, 35.0)))
    assert float(many.spring @ friction) > float(one.spring @ friction) + 0.5


def test_one_check_surprises_nobody_and_a_second_by_what_it_misses() -> None:
    first = ready(readings_mm=(30.0,))
    assert learn((first,)).surprise == 0.0
    more, less = (learn((first, ready(readings_mm=(mm,)))).surprise for mm in (36.0, 24.0))
    assert more > 0.8
    assert less < -0.8
    assert more == pytest.approx(expect(learn((first,)), ready(readings_mm=(36.0,))).surprise)


def test_the_surprise_counts_from_the_middle_of_all_sides_and_readings() -> None:
    first = learn((ready(readings_mm=(30.0,)),))
    one = expect(first, ready(readings_mm=(33.0,)))
    assert one.surprise == pytest.approx((0.033 - one.reading_m) / one.sigma_m)
    # Two sides of 24 and of 30 and 34 mm: the middle of 24 and 32 is 28.
    two = expect(first, ready(readings_from_above_mm=(24.0,), readings_from_below_mm=(30.0, 34.0)))
    assert two.surprise == pytest.approx((0.028 - two.reading_m) / two.sigma_m)
    # From three readings on their median.
    three = expect(first, ready(readings_mm=(30.0, 31.0, 50.0)))
    assert three.surprise == pytest.approx((0.031 - three.reading_m) / three.sigma_m)


def test_what_is_expected_does_not_lean_towards_what_was_read() -> None:
    first = learn((ready(readings_mm=(30.0,)),))
    low, high = (expect(first, ready(readings_mm=(mm,))) for mm in (20.0, 45.0))
    assert low.reading_m == high.reading_m
    assert low.sigma_m == high.sigma_m


def test_another_rider_is_expected_as_if_nothing_were_known_of_them() -> None:
    first = learn((ready(readings_mm=(40.0,)),))
    heavy, same = model_of(rider_mass_kg=82.0), model_of(rider_mass_kg=80.0)
    assert expect(first, ready(heavy, readings_mm=(40.0,))).sigma_m > 1.2 * (
        expect(first, ready(same, readings_mm=(40.0,))).sigma_m
    )
