"""What single relations of the inference promise at their edges: floors, signs, counts, and what they leave out."""

from __future__ import annotations

import inspect
import itertools
import math
from typing import Any

import numpy as np
import pytest

from setup_rules import Conditions, FrontEnd, LimitError, RearEnd, SagCheck, SetupRequest, TakenCheck
from setup_rules.inference import pumped_setting
from setup_rules.inference.calibration import (
    BIKE_SIGMA,
    CENTRE_SIGMA,
    class_factor,
    held_share_interval,
    pool_logs,
)
from setup_rules.inference.checked_guess import judge_guess
from setup_rules.inference.class_shift import _log_pressures
from setup_rules.inference.coil_class import CoilRoom
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import expect, learn, sag_likelihood
from setup_rules.inference.measured import Measured, posterior_after
from setup_rules.inference.posterior import DRAWS, central_row, prior, spare_sample
from setup_rules.inference.pressure_chart import chart_case, chart_fit_percent, chart_likelihoods, read_chart
from setup_rules.inference.size_class import COLUMN
from setup_rules.inference.spring_memory import _coarse, add_lesson, differences, lesson_between, typical_factor
from setup_rules.inference.spring_test import mass_sigma, pushed_springs
from setup_rules.inference.start_setting import Banded, held_of
from setup_rules.types.request import SpringTest
from setup_rules.types.spring_memory import SpringMemory

FORK = FrontEnd(travel_mm=140.0, stanchion_mm=34)
COIL = RearEnd(stroke_mm=55.0, leverage_start=2.8, spring="coil", coil_stroke_mm=57.0)
TEST = SpringTest(
    pressure_psi=80.0,
    compression_mm=(21.0, 42.0, 98.0),
    force_down_n=(200.0, 350.0, 900.0),
    force_up_n=(160.0, 310.0, 850.0),
)
PUSHED = FrontEnd(travel_mm=140.0, stanchion_mm=34, spring_test=TEST)
PSI = 6894.757


def request_of(**more: Any) -> SetupRequest:
    return SetupRequest(**{"rider_mass_kg": 75.0, "riding_style": "trail", **more})


def model_of(end: FrontEnd | RearEnd = FORK, **more: Any) -> EndModel:
    return EndModel("front" if isinstance(end, FrontEnd) else "rear", end, request_of(**more))


def row(**unknowns: float) -> Any:
    """Return the central row with some unknowns moved."""
    z = central_row()
    for name, value in unknowns.items():
        z[COLUMN[name]] = value
    return z


@pytest.mark.parametrize(("held", "checks"), [(11, 10), (-1, 10), (0, 0), (0, -1)])
def test_more_held_than_there_are_is_no_share_and_nothing_of_nothing_neither(held: int, checks: int) -> None:
    with pytest.raises(ValueError, match="no share"):
        held_share_interval(held, checks)


@pytest.mark.parametrize("count", [1, 4, 5])
def test_up_to_five_bikes_move_a_class_by_nothing_and_leave_it_as_wide(count: int) -> None:
    found = class_factor([1.3] * count, [BIKE_SIGMA] * count)
    assert (found.checks, found.used, found.used_sigma) == (count, 1.0, CENTRE_SIGMA)
    assert found.measured == pytest.approx(1.3)


@pytest.mark.parametrize(("factor", "used"), [(1.9, 1.33), (0.55, 0.75)])
def test_however_far_off_a_class_is_moved_by_a_third_up_or_a_quarter_down(factor: float, used: float) -> None:
    assert class_factor([factor] * 200, [0.1] * 200).used == used


def test_shops_of_wide_spreads_are_pooled_like_any() -> None:
    # 0 and 8, each of variance 4: Q = 32/4 = 8, Σw − Σw²/Σw = 1/4, τ² = (8 − 1)/(1/4) = 28, variance (4 + 28)/2.
    assert pool_logs([0.0, 8.0], [4.0, 4.0]) == pytest.approx((4.0, 16.0))


def test_a_pressure_below_one_psi_counts_as_one() -> None:
    # A child on a big fork: some of the drawn springs need less than nothing.
    child = model_of(FrontEnd(travel_mm=180.0, stanchion_mm=38), rider_mass_kg=12.0, kit_mass_kg=0.0, bike_mass_kg=8.0)
    assert float(np.min(_log_pressures(child))) == 0.0
    # And a grown rider's are psi: some four and a quarter in the logarithm, 70 psi.
    assert math.exp(float(np.median(_log_pressures(model_of())))) == pytest.approx(70.0, rel=0.25)


def test_a_second_chamber_is_never_sought_for_less_than_no_pressure(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[float] = []

    class Drawn:
        def pumped(self, first_pa: float) -> Drawn:
            asked.append(first_pa)
            return self

    monkeypatch.setattr(pumped_setting, "wanted_setting", lambda _drawn, _sag: Banded(-9e4, -5e4, -1e4))
    drawn: Any = Drawn()
    assert pumped_setting.wanted_pumped(drawn, 0.03).middle == -5e4
    assert asked == [0.0]


@pytest.mark.parametrize(("moved_pa", "rounds"), [(4.9, 1), (-4.9, 1), (5.0, 12), (-5.0, 12), (40.0, 12)])
def test_a_second_chamber_is_sought_until_less_than_five_pascals_are_left_at_most_twelve_times(
    monkeypatch: pytest.MonkeyPatch, moved_pa: float, rounds: int
) -> None:
    middles = itertools.count(500_000.0, moved_pa)

    class Drawn:
        def pumped(self, _first_pa: float) -> Drawn:
            return Drawn()

    monkeypatch.setattr(
        pumped_setting, "wanted_setting", lambda _drawn, _sag: Banded(0.0, round(next(middles), 6), 0.0)
    )
    drawn: Any = Drawn()
    found = pumped_setting.wanted_pumped(drawn, 0.03).middle
    assert found == pytest.approx(500_000.0 + rounds * moved_pa)


@pytest.mark.parametrize(("stroke", "needed"), [(56.0, None), (55.9, 56.0), (60.0, None), (54.0, 56.0), (None, None)])
def test_a_coil_needs_the_shocks_stroke_and_the_least_preload(stroke: float | None, needed: float | None) -> None:
    # 55 mm and a turn of 1 mm.
    coil = RearEnd(stroke_mm=55.0, leverage_start=2.8, spring="coil", coil_stroke_mm=stroke)
    assert CoilRoom(coil).stroke_needed_mm == needed


def test_a_coil_is_fitted_as_it_was_checked_and_air_has_no_preload() -> None:
    check = SagCheck(end="rear", spring_rate_n_per_mm=80.0, preload_mm=2.0, readings_mm=(15.0,))
    fitted = model_of(COIL).as_checked(check)
    assert fitted.preload_m == 0.002
    assert fitted.checked_value(check) == 80_000.0
    blown = model_of().as_checked(SagCheck(end="front", pressure_pa=5e5, preload_mm=2.0, readings_mm=(30.0,)))
    assert blown.preload_m == 0.0


def test_a_coil_of_which_no_rate_was_told_counts_as_none() -> None:
    assert model_of(COIL).checked_value(SagCheck(end="rear", readings_mm=(15.0,))) == 0.0


def test_a_ratio_alone_is_no_second_chamber() -> None:
    springs: Any = EndModel("front", FORK, request_of(), second_ratio=1.8).springs(central_row())
    assert springs.second_volume_m3 == 0.0


def test_after_a_scale_a_riders_larger_share_leaves_the_bike_less() -> None:
    # The scale has shown both together: what the rider has more in front, the bike has less, here by weight.
    model = model_of(kit_mass_kg=0.0, bike_mass_kg=15.0, front_axle_kg=36.0)
    shares = model.weighed
    assert shares is not None
    rider = model.front_share(1.0) - model.front_share(0.0)
    bike = float(model.bike_share(row(share=1.0)) - model.bike_share(row()))
    assert rider == pytest.approx(model.share_sigma)
    assert rider > 0.0 > bike
    assert bike == pytest.approx(shares.together)
    # What it does not say of the bike stays the bike's own.
    assert float(model.bike_share(row(bike=1.0)) - model.bike_share(row())) == pytest.approx(shares.own)
    assert shares.own > 0.0


def test_a_chart_needs_pressures_that_rise() -> None:
    with pytest.raises(LimitError, match="rising"):
        read_chart(((50.0, 60.0), (60.0, 50.0)), 55.0)
    with pytest.raises(LimitError, match="rising"):
        read_chart(((50.0, 55.0), (60.0, 65.0), (70.0, 64.0)), 55.0)


def test_a_chart_may_rise_by_half_a_kilogram_and_half_a_psi() -> None:
    assert read_chart(((50.0, 55.0), (50.5, 55.5)), 50.25).pressure_psi == pytest.approx(55.25)


def test_without_a_chart_nothing_is_off_it() -> None:
    assert chart_fit_percent(model_of(), prior()) == 0.0


def test_a_charts_row_has_its_second_chamber_pumped_along() -> None:
    fork = FrontEnd(
        travel_mm=160.0,
        bore_mm=34.0,
        positive_volume_cm3=220.0,
        second_volume_cm3=40.0,
        second_pressure_ratio=1.8,
        second_max_pressure_psi=300.0,
        chart=((60.0, 60.0), (79.0, 80.0)),
    )
    # 80 psi are 551.58 kPa: (1.8·551.58 + 101.325)/(551.58 + 101.325).
    ratio = (1.8 * 80 * PSI + 101_325.0) / (80 * PSI + 101_325.0)
    model = model_of(fork, kit_mass_kg=4.0)
    assert chart_case(model).model.second_ratio == pytest.approx(ratio)
    assert chart_likelihoods(model)[0].model.second_ratio == pytest.approx(ratio)


def test_an_end_is_weighed_where_its_own_wheel_stood_on_the_scale() -> None:
    request = request_of(front_axle_kg=38.0)
    rear = RearEnd(stroke_mm=55.0, leverage_start=2.8, leverage_end=2.4)
    assert Measured.of(EndModel("front", FORK, request)) == Measured("front", None, Conditions(), weighed=True)
    assert Measured.of(EndModel("rear", rear, request)) is None
    assert Measured.of(EndModel("rear", rear, request_of(rear_axle_kg=60.0))) is not None
    assert Measured.of(EndModel("front", FORK, request_of(rear_axle_kg=60.0))) is None
    assert Measured.of(model_of()) is None
    pushed = Measured.of(model_of(PUSHED))
    assert pushed is not None
    assert not pushed.weighed


def test_every_draws_friction_follows_the_number_that_is_kept_for_it() -> None:
    measured = Measured.of(model_of(PUSHED))
    friction = posterior_after(measured).z[:, COLUMN["friction"]]
    # Of a draw's own numbers the first is for its masses, one each for three pushes, the next for its friction.
    assert friction.argsort().tolist() == spare_sample()[:, 4].argsort().tolist()


def test_measured_draws_count_alike_and_once() -> None:
    weight = posterior_after(Measured.of(model_of(front_axle_kg=38.0))).weight
    assert weight.tolist() == [1.0 / DRAWS] * DRAWS


def test_a_scale_under_the_wheel_leaves_of_the_load_what_the_spring_and_it_leave_open() -> None:
    # √(1² + 3²) of 4.5 %.
    weighed = posterior_after(Measured.of(model_of(front_axle_kg=38.0))).z[:, COLUMN["model"]]
    assert weighed == pytest.approx(prior().z[:, COLUMN["model"]] * math.sqrt(10.0) / 4.5, rel=1e-9)


def test_a_spring_at_the_very_end_of_its_class_can_be_pushed() -> None:
    rows = np.stack([row(bore=0.0, ratio=1.0), row(bore=1.0, ratio=0.0)])
    found = pushed_springs(model_of(PUSHED), rows, np.zeros((2, 5)), np.zeros(2), weighed=False)
    assert np.isfinite(found).all()


def test_what_is_kept_of_a_springs_differences_cannot_be_written_to() -> None:
    with pytest.raises(ValueError, match="read-only"):
        differences(model_of())[0, 0] = 1.0


def test_pushes_leave_a_heavier_drawn_load_the_heavier_one() -> None:
    model, nothing = model_of(PUSHED), np.zeros((2, 5))
    rows = np.stack([row(model=-1.0), row(model=1.0)])
    light, heavy = pushed_springs(model, rows, nothing, np.zeros(2), weighed=False)[:, COLUMN["model"]]
    assert heavy > light


@pytest.mark.parametrize("function", [mass_sigma, pushed_springs])
def test_whether_a_scale_was_used_is_said_by_name(function: Any) -> None:
    assert inspect.signature(function).parameters["weighed"].kind is inspect.Parameter.KEYWORD_ONLY


def test_the_last_rider_taken_out_leaves_nobody() -> None:
    one = SpringMemory(riders=1, shift=(1.0, 0.0, 0.0), precision=(2.0,) + (0.0,) * 5)
    assert add_lesson(one, one, -1.0) == SpringMemory.nothing()
    assert add_lesson(SpringMemory.nothing(), one, -1.0).riders == 0
    assert add_lesson(one, one).riders == 2


def test_a_check_that_says_nothing_teaches_nothing() -> None:
    even = np.full(DRAWS, 1.0 / DRAWS)
    lesson = lesson_between(model_of(), even, even)
    assert lesson.riders == 1
    assert (*lesson.shift, *lesson.precision) == pytest.approx([0.0] * 9, abs=1e-9)


def test_however_sure_a_memory_is_its_factor_is_that_of_the_draw_it_means() -> None:
    # A level of 0.1, known to 1/600: log weights reach 400,000·0.1²/2 = 2,000.
    sure = SpringMemory(riders=9, shift=(40_000.0, 0.0, 0.0), precision=(400_000.0,) + (0.0,) * 5)
    level = differences(model_of())[:, 0]
    assert typical_factor(sure, model_of()) == pytest.approx(math.exp(0.1 - float(level.mean())), rel=0.004)


def test_a_thousandth_of_the_largest_number_is_left_out_and_more_is_kept() -> None:
    kept = _coarse(np.array([1000.0, 1.0, -1.0, 1.1, -1.1]))
    # The nearest power of 1.5 to 1.1 is 1.
    assert kept[1:].tolist() == [0.0, 0.0, 1.0, -1.0]
    assert _coarse(np.zeros(3)).tolist() == [0.0, 0.0, 0.0]


def test_a_checks_factor_is_as_sure_as_the_reading_over_the_slope_of_the_pressure() -> None:
    request = request_of(front=FORK)
    model = EndModel("front", FORK, request)
    taken = TakenCheck(check=SagCheck(end="front", pressure_pa=70 * PSI, readings_mm=(32.0,)), request=request)
    judged = judge_guess(taken)
    assert judged is not None
    check = sag_likelihood(taken, model)
    typical = expect(learn((), model), check)
    held, site = held_of(model, central_row()[None, :], check.datum), model.setting.site(check.conditions)

    def log_pressure(sag_m: float) -> float:
        return math.log(float(held.acting_for(sag_m, site)[0]) - site.ambient_pa)

    at, step = typical.reading_m, 1e-4
    slope = (log_pressure(at - step) - log_pressure(at + step)) / (2.0 * step)
    assert judged.factor_sigma == pytest.approx(typical.sigma_m * slope, rel=0.02)


def test_there_are_as_many_numbers_of_their_own_as_draws() -> None:
    assert len(spare_sample()) == DRAWS
