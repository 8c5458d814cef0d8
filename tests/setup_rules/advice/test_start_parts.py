"""What every spring end answers alike, for one coil with every number worked out on paper.

A coil is a straight line, so that statics need no search. Rider and kit are 82 kg, the bike 14 kg, g is 9.80665 m/s².
The fork stands upright (90°) with 140 mm: on it 0.39 · 82 + 0.475 · 14 − 3.2 = 35.43 kg, 347.45 N; without the rider
3.45 kg, 33.83 N. The shock has 60 mm at a leverage of 3.0 to 2.4, which is 3 − 10·x with x in m: at its wheel
0.61 · 82 + 0.525 · 14 − 4 = 53.37 kg, 523.38 N; without the rider 3.35 kg, 32.85 N. No gas pushes.
"""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from setup_rules.advice.start_parts import aim_of, force_curve, no_finer, standing_parts, start_clicks, wheel_sag_m
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import Posterior, central_row
from setup_rules.inference.size_class import COLUMN
from setup_rules.inference.start_setting import Banded, DrawnEnd
from setup_rules.physics.coil_spring import CoilSpring
from setup_rules.types import constants as c
from setup_rules.types.request import FrontEnd, RearEnd, SetupRequest, SpringTest
from setup_rules.types.result import ClickStart

FORK = FrontEnd(travel_mm=140.0, head_angle_deg=90.0, spring="coil")
SHOCK = RearEnd(stroke_mm=60.0, leverage_start=3.0, leverage_end=2.4, spring="coil")
TEST = SpringTest(pressure_psi=80.0, compression_mm=(20.0,), force_down_n=(200.0,), force_up_n=(160.0,))


def model_of(end: FrontEnd | RearEnd, style: Any = "trail", preload_m: float = 0.0, **given: Any) -> EndModel:
    """Return an end of a rider of 78 kg."""
    name: Any = "front" if isinstance(end, FrontEnd) else "rear"
    asked: dict[str, Any] = {"rider_mass_kg": 78.0, "riding_style": style, name: end, **given}
    request = SetupRequest(**asked)
    return EndModel(name, end, request, preload_m)


def only_draw(end: FrontEnd | RearEnd) -> Posterior:
    """Return what is known where nothing is left open: the middle of every spread, and a damper without gas."""
    z, spread = central_row()[None, :].copy(), c.GAS_FORCE["front" if isinstance(end, FrontEnd) else "rear"]
    z[:, COLUMN["gas"]] = -spread.low / (spread.high - spread.low)
    return Posterior(z, np.array([1.0]))


def parts(end: FrontEnd | RearEnd, rate: float, used: int = 0, disagree: bool = False, **given: Any) -> dict[str, Any]:
    """Return what follows from a coil of so many N/m."""
    learned: Any = SimpleNamespace(disagree=disagree, surprise=1.25)
    return standing_parts(DrawnEnd.of(model_of(end, **given), only_draw(end)), learned, used, rate)


def clicks(
    end: FrontEnd | RearEnd, rate: float, sag_m: float, preload_m: float = 0.0, **given: Any
) -> tuple[ClickStart, ClickStart | None]:
    """Return the start clicks of an end that stands at a compression."""
    return start_clicks(model_of(end, preload_m=preload_m, **given), only_draw(end), rate, sag_m)


def test_a_target_is_that_of_the_style_where_none_was_entered() -> None:
    # Trail: 20 to 25 % in front, 25 to 30 % behind.
    assert aim_of(model_of(FORK)) == pytest.approx((22.5, 0.0315))
    assert aim_of(model_of(SHOCK)) == pytest.approx((27.5, 0.0165))
    assert aim_of(model_of(replace(FORK, sag_target_percent=30.0))) == pytest.approx((30.0, 0.042))


@pytest.mark.parametrize(
    ("band", "half", "bounds", "found"),
    [
        ((9.0, 10.0, 11.0), 3.0, (), (7.0, 13.0)),
        ((5.0, 10.0, 20.0), 3.0, (), (5.0, 20.0)),
        ((9.0, 10.0, 20.0), 3.0, (), (7.0, 20.0)),
        ((9.0, 10.0, 11.0), 3.0, (8.0, 12.0), (8.0, 12.0)),
        ((9.0, 10.0, 11.0), 3.0, (6.0, 14.0), (7.0, 13.0)),
    ],
)
def test_a_band_is_no_narrower_than_can_be_read(
    band: tuple[float, float, float], half: float, bounds: tuple[float, ...], found: tuple[float, float]
) -> None:
    assert no_finer(Banded(*band), half, *bounds) == Banded(found[0], 10.0, found[1])


def test_the_wheel_moves_by_the_leverage_between_the_two_places() -> None:
    # 3·x − 5·x² between 10 and 30 mm of stroke: 85.5 − 29.5 = 56 mm.
    assert wheel_sag_m(model_of(SHOCK), 0.010, 0.020) == pytest.approx(0.056)
    # Not beyond the end of the stroke, 162 mm of wheel travel: 162 − 29.5 mm.
    assert wheel_sag_m(model_of(SHOCK), 0.010, 0.055) == pytest.approx(0.1325)


def test_a_fork_with_a_coil_stands_where_statics_put_it() -> None:
    # 7 N/mm: 33.83 N squeeze it by 4.83 mm, 347.45 N by 49.64 mm; the gap is 44.80 mm, read to a millimetre.
    found = parts(FORK, 7000.0)
    assert found["end"] == "front"
    assert found["travel_mm"] == 140.0
    assert found["datum"] == "bike_at_rest"
    assert found["rest_mm"] == pytest.approx(4.833, abs=2e-3)
    assert found["sag_expected_mm"] == pytest.approx(44.803, abs=2e-3)
    assert found["sag_expected_mm"] - found["sag_low_mm"] == pytest.approx(1.0, rel=1e-6)
    assert found["sag_high_mm"] - found["sag_expected_mm"] == pytest.approx(1.0, rel=1e-6)
    assert found["sag_target_mm"] == pytest.approx(31.5)
    assert found["wheel_travel_mm"] == pytest.approx(140.0)
    assert found["wheel_sag_mm"] == pytest.approx(31.5)
    assert found["load_n"] == pytest.approx(347.45, abs=0.01)
    assert found["rate_n_per_m"] == pytest.approx(7000.0)
    assert found["full_force_n"] == pytest.approx(980.0)


def test_a_shock_with_a_coil_stands_where_statics_put_it() -> None:
    # k·x = W·(3 − 10·x), so x = 3·W/(k + 10·W): 1.091 mm and 16.487 mm at 90 N/mm, read to 0.6 mm.
    found = parts(SHOCK, 90_000.0)
    assert found["end"] == "rear"
    assert found["travel_mm"] == 60.0
    assert found["rest_mm"] == pytest.approx(1.0911, abs=1e-3)
    assert found["sag_expected_mm"] == pytest.approx(15.396, abs=1e-3)
    assert found["sag_low_mm"] == pytest.approx(14.796, abs=1e-3)
    assert found["sag_high_mm"] == pytest.approx(15.996, abs=1e-3)
    assert found["wheel_travel_mm"] == pytest.approx(162.0)
    # On target at 1.091 + 16.5 = 17.591 mm of stroke: 3·x − 5·x² is 51.226 mm of wheel travel, less 3.267 at rest.
    assert found["wheel_sag_mm"] == pytest.approx(47.958, abs=2e-3)
    # There the leverage is 2.82409, and the shock holds so many times the load at the wheel.
    assert found["load_n"] == pytest.approx(1478.07, abs=0.05)
    assert found["full_force_n"] == pytest.approx(5400.0)
    # Its clicks are for where it stands, at 16.487 mm: leverage 2.83513, at the wheel (90000 + 10 · 523.38)/2.83513² =
    # 11848.0 N/m, critical 2·√(11848.0 · 53.37) · 2.83513² = 12783.5 N·s/m.
    assert found["rebound"].damping_n_s_per_m == pytest.approx(0.42 * 12783.5, abs=0.5)
    assert found["compression"] is None


def test_nothing_stands_beyond_the_end_of_the_travel() -> None:
    # 2 N/mm: 347 N would squeeze the fork by 174 mm. It rests at 16.92 mm, and 123.08 mm are left for the rider.
    found = parts(FORK, 2000.0)
    assert found["sag_expected_mm"] == pytest.approx(123.08, abs=0.01)
    assert found["sag_high_mm"] == pytest.approx(124.08, abs=0.01)
    # A target of 95 % is 57 mm of stroke, beyond the end from a rest of 16.4 mm at 5 N/mm: a leverage of 2.4.
    deep = parts(replace(SHOCK, sag_target_percent=95.0), 5700.0)
    assert deep["load_n"] == pytest.approx(2.4 * 523.38, abs=0.05)


def test_the_band_of_a_sag_ends_at_the_travel() -> None:
    # With the wheel lifted the fork stands at full extension: 140 mm are left, and no band goes beyond.
    found = parts(replace(FORK, datum="wheel_off_ground"), 2000.0)
    assert found["datum"] == "wheel_off_ground"
    assert found["rest_mm"] == 0.0
    assert found["sag_expected_mm"] == pytest.approx(140.0, abs=0.01)
    assert found["sag_high_mm"] == pytest.approx(140.0, abs=1e-9)
    # A spring that gives half a millimetre at 700 N/mm shows no gap below zero.
    assert parts(replace(FORK, datum="wheel_off_ground"), 700_000.0)["sag_low_mm"] == 0.0


@pytest.mark.parametrize(("used", "disagree"), [(0, False), (1, False), (2, True)])
def test_answers_disagree_where_two_checks_do(used: int, disagree: bool) -> None:
    found = parts(FORK, 7000.0, used=used, disagree=True)
    assert (found["checks_used"], found["answers_disagree"], found["newest_surprise"]) == (used, disagree, 1.25)
    assert not parts(FORK, 7000.0, used=used)["answers_disagree"]


def test_friction_is_told_once_something_was_measured() -> None:
    # The middle of 8 to 30 N.
    assert parts(FORK, 7000.0)["friction_n"] is None
    assert parts(FORK, 7000.0, used=1)["friction_n"] == pytest.approx(19.0)
    pushed = replace(FORK, spring_test=TEST)
    assert parts(pushed, 7000.0)["friction_n"] == pytest.approx(19.0)
    assert parts(pushed, 7000.0, used=1)["friction_n"] == pytest.approx(19.0)


def test_the_curve_has_49_points_from_full_extension_to_the_end_of_the_travel() -> None:
    curve = force_curve(model_of(SHOCK), CoilSpring(travel_m=0.06, preload_m=0.002), 90_000.0, 523.38)
    assert len(curve.compression_mm) == len(curve.force_n) == len(curve.load_n) == 49
    assert (curve.compression_mm[0], curve.compression_mm[1], curve.compression_mm[-1]) == (0.0, 1.25, 60.0)
    # 90 N/mm · 2 mm, 3.25 mm and 62 mm; the load times 3.0, 2.9875 and 2.4.
    assert (curve.force_n[0], curve.force_n[1], curve.force_n[-1]) == (180.0, 292.5, 5580.0)
    assert (curve.load_n[0], curve.load_n[1], curve.load_n[-1]) == (1570.14, 1563.6, 1256.11)


def test_the_curve_is_told_to_a_thousandth_of_a_millimetre_and_a_hundredth_of_a_newton() -> None:
    curve = force_curve(model_of(FORK), CoilSpring(travel_m=0.14), 7123.456, 347.45678)
    # A 48th of 140 mm is 2.916666 mm, where 7.123456 N/mm make 20.776747 N.
    assert (curve.compression_mm[1], curve.force_n[1]) == (2.917, 20.78)
    assert set(curve.load_n) == {347.46}


def test_rebound_is_the_ratio_of_critical_damping() -> None:
    # 2·√(7000 N/m · 35.43 kg) = 995.99 N·s/m, of which trail wants 0.42.
    rebound, compression = clicks(FORK, 7000.0, 0.0496)
    assert rebound.damping_n_s_per_m == pytest.approx(0.42 * 995.99, abs=0.01)
    assert compression is None
    assert rebound.total == 16


def test_the_middle_click_is_for_the_rider_of_79_kg_on_a_usual_bike() -> None:
    # The reference: 79 kg in all, no kit, 14 kg of bike, trail: 0.39 · 79 kg · g over 31.5 mm are 9591.8 N/m, on 34.26
    # kg, critical 1146.5 N·s/m. 995.99 is less by a factor 0.8687, of 6 over 1000 clicks: 1000·ln(0.8687)/ln 6 = −78.6.
    many = replace(FORK, rebound_clicks=1000, compression_clicks=1000)
    rebound, compression = clicks(many, 7000.0, 0.0496)
    assert rebound.out == 579
    assert compression is not None
    assert (compression.out, compression.total) == (579, 1000)
    assert compression.damping_n_s_per_m == pytest.approx(0.20 * 995.99, abs=0.01)


def test_a_style_asks_for_its_own_ratios_beside_those_of_trail() -> None:
    # Park: rebound 0.40 of 0.42, 78.6 + 1000·ln(1.05)/ln 6 = 105.8 out; compression 0.26 of 0.20, 78.6 − 146.4.
    many = replace(FORK, rebound_clicks=1000, compression_clicks=1000)
    rebound, compression = clicks(many, 7000.0, 0.0496, style="park")
    assert rebound.damping_n_s_per_m == pytest.approx(0.40 * 995.99, abs=0.01)
    assert rebound.out == 606
    assert compression is not None
    assert compression.damping_n_s_per_m == pytest.approx(0.26 * 995.99, abs=0.01)
    assert compression.out == 432


def test_the_reference_is_the_same_whoever_rides_and_whatever_a_scale_shows() -> None:
    # 40.32 of 96 kg in front are a share of 0.42: the mass on the fork moves, the reference does not. The scale leaves
    # the rider 0.4111 and the bike 0.4768 or so; what is needed is 2·√(7000·m), the reference stays at 1146.5 N·s/m.
    many = replace(FORK, rebound_clicks=1000)
    shares = {"front_axle_kg": 40.32}, {"rear_axle_kg": 55.68}, {"rider_front_share_percent": 45.0}
    for given in (*shares, {"kit_mass_kg": 10.0}, {"bike_mass_kg": 18.0}):
        rebound, _ = clicks(many, 7000.0, 0.0496, **given)
        critical = rebound.damping_n_s_per_m / 0.42
        assert rebound.out == pytest.approx(500 - 1000 * math.log(critical / 1146.5) / math.log(6.0), abs=1.0)


def test_offsets_of_both_adjusters_are_their_own() -> None:
    end = replace(FORK, rebound_clicks=16, compression_clicks=12, rebound_offset_clicks=2, compression_offset_clicks=-1)
    rebound, compression = clicks(end, 7000.0, 0.0496)
    # 16·0.0786 = 1.26 clicks out of the middle, 12·0.0786 = 0.94.
    assert (rebound.out, rebound.total) == (8 + 1 + 2, 16)
    assert compression is not None
    assert (compression.out, compression.total) == (6 + 1 - 1, 12)


def test_a_damper_known_at_two_points_is_read_there() -> None:
    # 418.32 N·s/m between 836.64 at 4 clicks and 209.16 at 12: half of either lies in the middle, at 8.
    end = replace(FORK, rebound_clicks=16, rebound_points=((4.0, 836.64), (12.0, 209.16)))
    assert clicks(end, 7000.0, 0.0496)[0].out == 8


def test_a_fork_counts_along_its_leg() -> None:
    # At 60° the mass counts by sin² = 3/4.
    rebound, _ = clicks(replace(FORK, head_angle_deg=60.0), 7000.0, 0.0496)
    assert rebound.damping_n_s_per_m == pytest.approx(0.42 * 995.99 * math.sqrt(0.75), abs=0.01)


def test_a_shock_counts_at_its_wheel() -> None:
    # At 20 mm of stroke: leverage 2.8, 90 N/mm and 1800 N. At the wheel k/LR² + F·10/LR³ = 11479.6 + 820.0 N/m with
    # 53.37 kg: critical 2·√(12299.6 · 53.37) = 1620.42 N·s/m, at the spring times 2.8².
    rebound, _ = clicks(SHOCK, 90_000.0, 0.020)
    assert rebound.damping_n_s_per_m == pytest.approx(0.42 * 1620.42 * 7.84, abs=0.1)


def test_the_middle_click_of_a_shock_is_for_the_same_rider() -> None:
    # On the wheel 0.61 · 79 + 7.35 − 4 = 51.54 kg, 505.43 N; its damper pushes with the usual 90 N. With the least
    # preload, 1 mm, and 76.74 N/mm it does not give under the bike alone (32.85 · 3 = 98.6 N on 76.7 + 90) and stands
    # at 16.5 mm: leverage 2.835, 1432.9 N = 76.74 · 17.5 + 90. At the wheel 9547.8 + 628.9 = 10176.6 N/m: critical
    # 2·√(10176.6 · 51.54) · 2.835² = 11641.5 N·s/m; 1620.42 · 2.8² = 12704.1 are needed: 1000·ln(1.09127)/ln 6 = 48.7
    # clicks in.
    rebound, _ = clicks(replace(SHOCK, rebound_clicks=1000), 90_000.0, 0.020)
    assert rebound.out == 451


def test_a_wheel_that_its_linkage_would_let_fall_has_the_least_rate() -> None:
    # Leverage 1 + 100·x: at 50 mm 6, with 20 mm of preload k/36 − k·0.07·100/216 is below zero; 1 N/m stands for it.
    falling = RearEnd(stroke_mm=60.0, leverage_start=1.0, leverage_end=7.0, spring="coil", rebound_clicks=16)
    rebound, _ = clicks(falling, 90_000.0, 0.050, preload_m=0.020)
    assert rebound.damping_n_s_per_m == pytest.approx(0.42 * 2.0 * math.sqrt(53.37) * 36.0, abs=0.1)
