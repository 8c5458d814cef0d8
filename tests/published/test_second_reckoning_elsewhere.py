"""Sags where the spring is set against a second reckoning, and sag checks that were taken in other air than the ride's.

Source: Gay-Lussac's law and Boyle's law (any text on thermodynamics), ISO 2533 for the air around, statics; reckoned in
`second_reckoning` from the design alone, over the rows of its covering array that have another bench than ride.

Confirmed: the reckoning shares no line with the product; a pressure is carried to the ride in plain arithmetic here.

Tolerance: with every unknown at its central value 0.01 mm for the gap where the spring is set, which is numerics. A
check on the ride, with the pressure of the bench, must answer as one with the pressure that a gauge shows there, to
1e-6 in pressure. None for done or not: the readings are those of the typical spring, which half the friction and the
tolerance surround.
"""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from setup_rules import SagCheck, Setup, apply_sag_check, read_request, recommend
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import sag_likelihood
from setup_rules.inference.posterior import Posterior, central_row
from setup_rules.inference.sag_elsewhere import carried_m
from setup_rules.types.result import TakenCheck
from tests.published import second_reckoning as second
from tests.published.covering_array import covering_array
from tests.published.second_loads import carried
from tests.published.second_requests import FACTORS, body_of, end_of, permits
from tests.published.second_springs import air_mpa

PSI_PA = 6894.757293168
#: The typical spring alone.
CENTRAL = Posterior(central_row()[None, :], np.ones(1))
ROWS = [
    row | {"chart": "noChart"}
    for row in covering_array(FACTORS, permits)
    if body_of(row).get("bench") != body_of(row).get("ride")
]
EACH = pytest.mark.parametrize("row", ROWS, ids=["-".join(row.values()) for row in ROWS])
#: Only what is pumped can be pumped elsewhere, and what a limit holds back reaches no target: they are wide here.
PUMPED = [row | {"limits": "wide"} for row in ROWS if "spring" not in body_of(row)[end_of(row)]]
#: The second chamber of others is pumped by a ratio of gauge pressures, which is another one at another altitude.
ALONE = [row for row in PUMPED if "second_volume_cm3" not in body_of(row)[end_of(row)]]
EACH_PUMPED = pytest.mark.parametrize("row", PUMPED, ids=["-".join(row.values()) for row in PUMPED])


def setup_of(row: dict[str, str]) -> Setup:
    """Return what the product answers to a row."""
    return recommend(read_request(json.loads(json.dumps(body_of(row)))))


def placed(row: dict[str, str]) -> second.Placed:
    """Return the spring of a row as the second reckoning sets it."""
    body, name = body_of(row), end_of(row)
    return second.placed(body, name, carried(body, name), second.target_of(body, name))


def gaps_of(row: dict[str, str]) -> tuple[float, float]:
    """Return the gaps [mm] of the typical spring of a row where it is set and on the ride."""
    one = placed(row)
    return second.gap_where_set(body_of(row), one), second.gap_of(
        one.spring, one.setting, one.held, one.path, one.datum
    )


def check_of(setup: Setup, read_mm: float, **more: Any) -> SagCheck:
    """Return three equal readings at what is set."""
    (end,) = setup.ends()
    check = SagCheck(end=end.end, pressure_pa=end.pressure_pa, readings_mm=(read_mm,) * 3, confirm=True)
    return replace(check, **more)


def test_there_are_rows_of_every_kind() -> None:
    assert len(ROWS) >= 12
    assert len(PUMPED) >= 15
    assert len(ALONE) >= 5
    shifts = [here - there for here, there in map(gaps_of, ROWS)]
    assert min(shifts) < -1.0 < 1.0 < max(shifts)


@EACH
@pytest.mark.usefixtures("central_scale_too")
def test_the_gap_where_the_spring_is_set_is_the_second_reckonings(row: dict[str, str]) -> None:
    here, there = gaps_of(row)
    (found,) = setup_of(row).ends()
    assert found.bench_shift_mm == pytest.approx(here - there, abs=0.01)
    assert found.bench_target_mm == pytest.approx(found.sag_target_mm + here - there, abs=0.01)


@EACH_PUMPED
@pytest.mark.parametrize("datum", ["bike_at_rest", "wheel_off_ground"])
def test_what_a_check_reads_more_than_the_ride_shows_is_the_second_reckonings(row: dict[str, str], datum: Any) -> None:
    body, name, one = body_of(row), end_of(row), placed(row)
    request = read_request(json.loads(json.dumps(body)))
    readings = (second.target_of(body, name),) * 3
    check = SagCheck(end=name, pressure_pa=one.setting * PSI_PA, readings_mm=readings, datum=datum)
    model = EndModel(name, dict(request.ends())[name], request)
    found = carried_m(sag_likelihood(TakenCheck(check=check, request=request), model), CENTRAL)
    there = second.gap_of(one.spring, one.setting, one.held, one.path, one.datum)
    assert 1000 * found == pytest.approx(second.gap_where_set(body, replace(one, datum=datum)) - there, abs=0.01)


@EACH_PUMPED
def test_the_typical_spring_is_done_where_it_is_set_and_on_the_ride(row: dict[str, str]) -> None:
    setup = setup_of(row)
    for read_mm, place in zip(gaps_of(row), ("bench", "ride"), strict=True):
        after = apply_sag_check(setup, check_of(setup, read_mm, place=place))
        assert after.settled, place
        assert after.ends()[0].pressure_pa == pytest.approx(setup.ends()[0].pressure_pa, rel=1e-9)


@pytest.mark.parametrize(("bench_c", "ride_c"), [(30, -5), (-5, 30)])
def test_the_gap_of_the_other_place_is_not_done(bench_c: float, ride_c: float) -> None:
    fork = {"travel_mm": 140, "stanchion_mm": 34, "negative_spring": "air", "max_pressure_psi": 250}
    body: dict[str, Any] = {"rider_mass_kg": 80, "bike_mass_kg": 14, "riding_style": "trail", "front": fork}
    body |= {"bench": {"temperature_c": bench_c}, "ride": {"temperature_c": ride_c}}
    one = second.placed(body, "front", carried(body, "front"), second.target_of(body, "front"))
    there = second.gap_of(one.spring, one.setting, one.held, one.path, one.datum)
    here = second.gap_where_set(body, one)
    # 35 K are 12 % of the absolute pressure: more than the tolerance of 2.8 mm with what half the friction hides.
    assert abs(here - there) > 5.0
    setup = recommend(read_request(body))
    for read_mm, place, done in (
        (here, "bench", True),
        (there, "bench", False),
        (there, "ride", True),
        (here, "ride", False),
    ):
        assert apply_sag_check(setup, check_of(setup, read_mm, place=place)).settled is done, (read_mm, place)


@pytest.mark.parametrize("row", ALONE, ids=["-".join(row.values()) for row in ALONE])
def test_a_check_on_the_ride_answers_as_one_with_a_gauge_there(row: dict[str, str]) -> None:
    setup, (_here, there), body = setup_of(row), gaps_of(row), body_of(row)
    (end,), ride = setup.ends(), setup.request.ride
    bench = body.get("bench", {})
    # (p + p_air)·T/T_bench is what the air presses with on the ride; a gauge there shows it less the air of the ride.
    warmth = (273.15 + ride.temperature_c) / (273.15 + bench.get("temperature_c", 20.0))
    acting_pa = (end.pressure_pa + 1e6 * air_mpa(bench.get("altitude_m", 0.0))) * warmth
    gauge_pa = acting_pa - 1e6 * air_mpa(ride.altitude_m)
    by_place = apply_sag_check(setup, check_of(setup, there + 2.0, place="ride"))
    with_gauge = {"pressure_pa": gauge_pa, "temperature_c": ride.temperature_c, "altitude_m": ride.altitude_m}
    by_gauge = apply_sag_check(setup, check_of(setup, there + 2.0, **with_gauge))
    assert by_place.settled == by_gauge.settled
    assert by_place.ends()[0].pressure_pa == pytest.approx(by_gauge.ends()[0].pressure_pa, rel=1e-6)
    assert by_place.ends()[0].sag_expected_mm == pytest.approx(by_gauge.ends()[0].sag_expected_mm, rel=1e-6)


def test_the_datum_of_a_check_is_carried_to_that_of_the_setup() -> None:
    """A wheel in the air lets the spring out further: what is read so is larger, and just as done."""
    fork = {"travel_mm": 140, "stanchion_mm": 34, "negative_spring": "air"}
    body: dict[str, Any] = {"rider_mass_kg": 90, "bike_mass_kg": 24, "riding_style": "trail", "front": fork}
    hanging = {**body, "front": {**fork, "datum": "wheel_off_ground"}}
    one = second.placed(body, "front", carried(body, "front"), second.target_of(body, "front"))
    read_mm = second.gap_of(one.spring, one.setting, one.held, one.path, "wheel_off_ground")
    setup = recommend(read_request(body))
    # 5.6 mm more than the target: more than the tolerance with half the friction, so that it would not be near it.
    assert read_mm - setup.ends()[0].sag_target_mm > 4.5
    for way, wanted in (("wheel_off_ground", True), ("bike_at_rest", False)):
        after = apply_sag_check(setup, check_of(setup, read_mm, datum=way))
        assert after.settled is wanted, (way, read_mm)
    assert second.target_of(hanging, "front") == pytest.approx(setup.ends()[0].sag_target_mm)


def test_the_air_that_is_typed_counts_before_that_of_the_ride() -> None:
    """A check on the ride at 10 °C, typed, is one under a request whose ride has 10 °C, all else alike."""
    fork = {"travel_mm": 140, "stanchion_mm": 34, "negative_spring": "air", "max_pressure_psi": 250}
    body: dict[str, Any] = {"rider_mass_kg": 80, "riding_style": "trail", "front": fork, "bench": {"temperature_c": 30}}
    gaps = []
    for ride_c, typed in ((-5, {"temperature_c": 10.0}), (10, {}), (-5, {})):
        request = read_request({**body, "ride": {"temperature_c": ride_c}})
        check = SagCheck(end="front", pressure_pa=600_000.0, readings_mm=(30.0,), place="ride", **typed)
        front = request.front
        assert front is not None
        model = EndModel("front", front, request)
        made = sag_likelihood(TakenCheck(check=check, request=request), model)
        gaps.append((made.acting, made.conditions))
    assert gaps[0] == gaps[1] != gaps[2]


@pytest.mark.parametrize("place", ["bench", "ride"])
def test_a_second_chamber_is_pumped_where_the_first_one_is(place: Any) -> None:
    """Its ratio is one of gauge pressures where it is pumped: the altitude of a ride has no part in it."""
    fork = {"travel_mm": 170, "stanchion_mm": 38, "second_volume_cm3": 40, "second_pressure_ratio": 1.8}
    fork |= {"bore_mm": 31, "positive_volume_cm3": 200, "max_pressure_psi": 200, "second_max_pressure_psi": 350}
    body: dict[str, Any] = {"rider_mass_kg": 80, "riding_style": "trail", "front": fork, "ride": {"altitude_m": 3500}}
    request = read_request(body)
    check = SagCheck(end="front", pressure_pa=500_000.0, readings_mm=(30.0,), place=place, altitude_m=3500.0)
    front = request.front
    assert front is not None
    model = EndModel("front", front, request).as_checked(check)
    around = 1e6 * air_mpa(0.0 if place == "ride" else 3500.0)
    assert model.second_ratio == pytest.approx((1.8 * 500_000.0 + around) / (500_000.0 + around), rel=1e-6)


def test_a_coil_on_a_loaded_bike_is_done_as_it_is_read() -> None:
    """Steel minds no air, yet the gap of a lifted wheel is larger: carried to the setup's way of reading it is done."""
    body: dict[str, Any] = {"rider_mass_kg": 90, "bike_mass_kg": 24, "riding_style": "trail"}
    body |= {"front": {"travel_mm": 140, "spring": "coil"}, "ride": {"temperature_c": 0}}
    setup = recommend(read_request(body))
    (end,) = setup.ends()
    assert end.coil is not None
    one = second.placed(body, "front", carried(body, "front"), second.target_of(body, "front"))
    lifted = second.gap_of(one.spring, one.setting, one.held, one.path, "wheel_off_ground")
    assert lifted - end.sag_target_mm > 4.5
    spring = {"spring_rate_n_per_mm": end.coil.rate_n_per_m / 1000, "preload_mm": end.coil.preload_mm}
    for way, done in (("wheel_off_ground", True), ("bike_at_rest", False)):
        check = SagCheck(end="front", readings_mm=(lifted,) * 3, datum=way, confirm=True, **spring)
        assert apply_sag_check(setup, check).settled is done, way
