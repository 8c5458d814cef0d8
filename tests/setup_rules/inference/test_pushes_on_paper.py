"""Pushes on a spring, piece by piece: mean and friction, wheel to spring, the day of the test, what a fit says."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from setup_rules import Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import central_row
from setup_rules.inference.size_class import COLUMN
from setup_rules.inference.spring_test import (
    Bench,
    Fit,
    Pushes,
    fit_of,
    mass_sigma,
    pushed_springs,
    pushes_of,
)
from setup_rules.inference.spring_test import tested_model as as_tested
from setup_rules.types.request import SpringTest

CENTRE = central_row()[None, :]


def pushed(**more: Any) -> SpringTest:
    """Return four pushes on a fork at 80 psi."""
    known = {"pressure_psi": 80.0, "compression_mm": (20.0, 42.0, 70.0, 98.0)}
    forces = {"force_down_n": (215.0, 365.0, 585.0, 905.0), "force_up_n": (180.0, 325.0, 545.0, 860.0)}
    return SpringTest(**{**known, **forces, **more})


def fork(test: SpringTest | None, bench: Conditions | None = None, **more: Any) -> EndModel:
    end = FrontEnd(**{"travel_mm": 140.0, "stanchion_mm": 34, "spring_test": test, **more})
    here = bench or Conditions()
    return EndModel("front", end, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=end, bench=here))


def test_the_mean_is_the_spring_and_half_the_difference_its_friction() -> None:
    pushes = Pushes((0.02, 0.04), (120.0, 620.0), (100.0, 580.0))
    assert pushes.mean_n.tolist() == [110.0, 600.0]
    assert pushes.friction_n.tolist() == [10.0, 20.0]
    # 10 N, or 3 % where that is more.
    assert pushes.sigma_n.tolist() == pytest.approx([10.0, 18.0])


def test_a_force_that_pulls_is_as_uncertain_as_one_that_pushes() -> None:
    assert Pushes((0.02,), (-500.0,), (-700.0,)).sigma_n.tolist() == pytest.approx([18.0])


def test_pushes_at_the_spring_are_taken_as_they_are() -> None:
    found = pushes_of(fork(pushed()).end)
    assert found.x_m == pytest.approx((0.020, 0.042, 0.070, 0.098))
    assert found.down_n == (215.0, 365.0, 585.0, 905.0)
    assert found.up_n == (180.0, 325.0, 545.0, 860.0)
    assert pushes_of(fork(None).end) == Pushes((), (), ())


def test_pushes_at_the_wheel_go_shorter_and_stronger_at_the_shock() -> None:
    # From 3 to 2 over 50 mm: at 10 mm the ratio is 2.8 and the wheel has moved 10·(3 + 2.8)/2 = 29 mm; at 25 mm 2.5 and
    # 68.75 mm; at 40 mm 2.2 and 104 mm.
    test = pushed(
        at="wheel", compression_mm=(29.0, 68.75, 104.0), force_down_n=(100.0,) * 3, force_up_n=(80.0, 90.0, 70.0)
    )
    found = pushes_of(RearEnd(stroke_mm=50.0, leverage_start=3.0, leverage_end=2.0, spring_test=test))
    assert found.x_m == pytest.approx((0.010, 0.025, 0.040), abs=2e-6)
    assert found.down_n == pytest.approx((280.0, 250.0, 220.0), rel=1e-4)
    assert found.up_n == pytest.approx((224.0, 225.0, 154.0), rel=1e-4)


def test_an_end_without_a_test_stands_as_it_is() -> None:
    model = fork(None)
    assert as_tested(model) is model


def test_what_a_test_leaves_out_is_as_at_the_bench_today() -> None:
    today = Conditions(temperature_c=12.0, altitude_m=500.0)
    stood = as_tested(fork(pushed(), today, volume_spacers=2))
    assert stood.request.bench == stood.request.ride == today
    assert (stood.end.volume_spacers, stood.end.compression_mm) == (2, 140.0)


def test_a_test_brings_its_own_day() -> None:
    today = Conditions(temperature_c=12.0, altitude_m=500.0)
    test = pushed(tested_spacers=0, tested_travel_mm=130.0, temperature_c=0.0, altitude_m=0.0)
    stood = as_tested(fork(test, today, volume_spacers=2))
    assert stood.request.bench == stood.request.ride == Conditions(temperature_c=0.0, altitude_m=0.0)
    assert (stood.end.volume_spacers, stood.end.compression_mm) == (0, 130.0)
    warm = as_tested(fork(pushed(temperature_c=25.0), today)).request.bench
    assert warm == Conditions(temperature_c=25.0, altitude_m=500.0)
    high = as_tested(fork(pushed(altitude_m=2000.0), today)).request.bench
    assert high == Conditions(temperature_c=12.0, altitude_m=2000.0)


@pytest.mark.parametrize(
    ("longest", "tested", "kept"),
    [(None, 130.0, 140.0), (160.0, 130.0, 160.0), (None, 150.0, 150.0), (140.0, 170.0, 170.0)],
)
def test_another_travel_on_the_day_leaves_the_longest_travel(longest: float | None, tested: float, kept: float) -> None:
    end = as_tested(fork(pushed(tested_travel_mm=tested), longest_travel_mm=longest)).end
    assert isinstance(end, FrontEnd)
    assert (end.travel_mm, end.longest_travel_mm) == (tested, kept)


def test_a_shock_keeps_its_stroke() -> None:
    test = pushed(compression_mm=(10.0, 20.0, 30.0, 40.0), tested_travel_mm=50.0)
    shock = RearEnd(stroke_mm=55.0, leverage_start=2.6, spring_test=test)
    stood = as_tested(EndModel("rear", shock, SetupRequest(rider_mass_kg=75.0, riding_style="trail")))
    assert stood.end.compression_mm == 55.0


def test_on_the_day_a_second_chamber_was_pumped_to_go_with_the_first() -> None:
    second: dict[str, Any] = {
        "bore_mm": 34.0,
        "positive_volume_cm3": 220.0,
        "second_volume_cm3": 40.0,
        "second_pressure_ratio": 1.5,
    }
    stood = Bench.of(fork(pushed(pressure_psi=60.0), max_pressure_psi=150.0, **second)).model
    # 60 and 90 psi: (620.528 + 101.325)/(413.685 + 101.325).
    assert stood.second_ratio == pytest.approx(721.853 / 515.010, rel=1e-5)


def fit(residuals: tuple[float, ...], sigmas: tuple[float, ...]) -> Fit:
    nothing = (0.0,) * len(residuals)
    return Fit(Pushes(nothing, nothing, nothing), residuals, sigmas, 20.0, (), ())


def test_the_farthest_push_is_counted_in_its_own_deviations() -> None:
    found = fit((12.0, -16.0, 30.0), (10.0, 10.0, 30.0))
    assert found.farthest == 1
    # (1.2 − 1.6 + 1.0)/3.
    assert found.side == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("residual", "spring"), [(30.0, True), (-30.0, True), (30.1, False), (-30.1, False), (5.0, True)]
)
def test_three_deviations_are_the_most_that_an_air_spring_explains(residual: float, spring: bool) -> None:
    assert fit((1.0, residual), (10.0, 10.0)).is_a_spring is spring


def test_what_masses_leave_out_is_what_the_model_leaves_out_less_the_spring() -> None:
    # √(0.045² − 0.03²); 0.01 once a scale has shown them.
    assert mass_sigma(weighed=False) == pytest.approx(0.0335410, abs=1e-7)
    assert mass_sigma(weighed=True) == 0.01


def friction_after(error: float, half: tuple[float, ...] = (20.0,) * 4) -> float:
    """Return a fork's friction [N] after pushes whose half differences are given, for its own drawn error."""
    mean = (200.0, 250.0, 280.0, 300.0)
    test = pushed(
        force_down_n=tuple(n + one for n, one in zip(mean, half, strict=True)),
        force_up_n=tuple(n - one for n, one in zip(mean, half, strict=True)),
    )
    model, errors = fork(test), np.zeros((1, 6))
    errors[0, 4] = error
    row = pushed_springs(model, CENTRE, errors, np.zeros(1), weighed=False)
    return float(model.friction_n(row)[0])


def test_friction_is_spread_as_what_is_usual_and_what_was_read_leave_it() -> None:
    # Each force good for 10 N: the mean of four half differences for 10/√8 = 3.5355 N, variance 12.5. Usual is 8 to
    # 30 N: 19 ± 22/√12, variance 40.333. Together (19·12.5 + 20·40.333)/52.833 = 19.7634, √(12.5·40.333/52.833)
    # = 3.0891.
    assert friction_after(0.0) == pytest.approx(19.7634, abs=1e-4)
    assert friction_after(1.0) == pytest.approx(19.7634 + 3.0891, abs=1e-4)
    assert friction_after(-2.0) == pytest.approx(19.7634 - 2 * 3.0891, abs=1e-4)


def test_a_spring_in_order_has_two_newtons_of_friction_at_least() -> None:
    assert friction_after(0.0, (-30.0, 0.0, 0.0, -30.0)) == pytest.approx(2.0)


def test_a_shift_of_the_masses_moves_the_model_and_no_spring() -> None:
    model, errors = fork(pushed()), np.zeros((1, 6))
    plain, more = (pushed_springs(model, CENTRE, errors, np.array([mass]), weighed=False)[0] for mass in (0.0, 1.0))
    # √(0.033541² + 0.015²) over 0.045.
    assert more[COLUMN["model"]] - plain[COLUMN["model"]] == pytest.approx(0.0367423 / 0.045, rel=1e-5)
    others = [place for place in range(len(plain)) if place != COLUMN["model"]]
    assert more[others].tolist() == plain[others].tolist()
    weighed = pushed_springs(model, CENTRE, errors, np.zeros(1), weighed=True)[0]
    # Without a scale stated weights are 1.5 % too low.
    assert plain[COLUMN["model"]] - weighed[COLUMN["model"]] == pytest.approx(0.015 / 0.045)


def test_an_error_of_a_force_moves_the_spring_towards_it() -> None:
    model, errors = fork(pushed()), np.zeros((1, 6))
    site, acting = model.setting.site(Conditions()), model.setting.acting(80 * 6894.757, Conditions())

    def at(error: float) -> float:
        errors[0, :4] = error
        row = pushed_springs(model, CENTRE, errors, np.zeros(1), weighed=True)
        force = model.springs(row).force_n(0.070, acting, site)
        # What the whole spring is off stands in the model: 1 % of it 0.01/0.045 less there.
        return float((force * (1.0 - 0.045 * row[:, COLUMN["model"]]))[0])

    low, middle, high = at(-1.0), at(0.0), at(1.0)
    # 565 N ± 17 N, mostly followed: four forces outweigh what is usual.
    assert middle == pytest.approx(565.0, abs=10.0)
    assert 10.0 < high - middle < 20.0
    assert 10.0 < middle - low < 20.0


def test_a_fit_begins_at_full_extension_and_ends_with_the_travel() -> None:
    found = fit_of(fork(pushed()))
    assert (found.curve_m[0], found.curve_m[-1], len(found.curve_m)) == (0.0, 0.14, 25)
    assert found.curve_m[1] == pytest.approx(0.14 / 24)
    assert len(found.curve_n) == 25
    assert sorted(found.curve_n) == list(found.curve_n)
    # The third push, at half of the travel, lies on the curve's middle point: 565 N are its mean of down and up.
    assert found.residual_n[2] == pytest.approx(565.0 - found.curve_n[12], abs=1e-6)
    assert found.is_a_spring
