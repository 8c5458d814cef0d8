"""The catalogue of sentences and the code that fills it agree: every key exists, every field is given, none is idle."""

from __future__ import annotations

import dataclasses
import gzip
import itertools
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import setup_rules as rules
from setup_rules.advice.bounce_check import bounce_problems
from setup_rules.advice.reasons import sag_check_advice
from setup_rules.advice.ride_report import report_problems
from setup_rules.messages.catalogue import TEMPLATES
from setup_rules.messages.marking import Plural
from setup_rules.messages.message import Message, fields_of
from setup_rules.physics.travel_change import geometry_change, stacks_for, volume_at_travel_cm3
from setup_rules.types.feedback import FELT, SEEN
from setup_rules.types.limits import BENCH_LIMITS, CORRECTION_LIMITS, LIMITS
from setup_rules.types.units import PSI_PA
from setup_rules.workshop.leak_check import LeakReadings, check_leak
from setup_rules.workshop.torque_check import check_torque
from tests.kept import replay

CASES = json.loads(gzip.decompress((Path(__file__).parents[2] / "kept" / "answers-v3.json.gz").read_bytes()))["cases"]
FRONT = {"travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16, "compression_clicks": 12}
REAR = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "rebound_clicks": 12, "compression_clicks": 9}
RIDER = {"rider_mass_kg": 78, "riding_style": "trail"}
CHART = [[60, 60], [80, 80], [100, 100]]
SHOP_CHECKS = {
    end: {"spring_class": spring_class, "checks": 30, "factor": 1.0, "factor_sigma": 0.03}
    for end, spring_class in (("front", "fork_34_air"), ("rear", "shock_air"))
}
FORK, SHOCK = {**RIDER, "front": FRONT}, {**RIDER, "rear": REAR}


def forms_of(key: str) -> tuple[str, ...]:
    """Return the one or two forms of a template."""
    template = TEMPLATES[key]
    return (template.one, template.other) if isinstance(template, Plural) else (template,)


def setup_of(data: dict[str, Any]) -> rules.Setup:
    """Return the setup of plain data."""
    return rules.recommend(rules.read_request(data))


def with_end(end: str, **values: Any) -> dict[str, Any]:
    """Return a request of one end with some of its values changed."""
    base = FRONT if end == "front" else REAR
    return {**RIDER, end: {k: v for k, v in {**base, **values}.items() if v is not None}}


def requests() -> Iterator[dict[str, Any]]:
    """Yield requests that lead to every reason and caution, or to every problem of a request."""
    for end in ("front", "rear"):
        for changes in (
            {"max_pressure_psi": 40},
            {"min_pressure_psi": 290, "max_pressure_psi": 400},
            {"sag_target_percent": 44},
            {"negative_spring": "coil"},
            {"chart": CHART, "chart_weight": "rider"},
            {"chart": [[100, 300], [110, 320]]},
            {"chart": [[60, 30], [100, 35]]},
            {"rebound_points": [[2, 900], [10, 300]]},
            {"rebound_points": [[2, 60000], [3, 59000]]},
            {"rebound_points": [[2, 60000], [3, 59000]], "rebound_clicks": None},
            {"rebound_points": [[2, 900], [10, 300]], "rebound_clicks": None},
            {"rebound_clicks": None, "rebound_offset_clicks": 60},
            {"rebound_offset_clicks": 60, "compression_offset_clicks": 60},
            {"rebound_clicks": None},
            {"shop_checks": SHOP_CHECKS[end]},
            {"shop_checks": {**SHOP_CHECKS[end], "factor": 1.1}},
            {"shop_checks": {**SHOP_CHECKS[end], "factor": 0.9}},
            {"shop_checks": {**SHOP_CHECKS[end], "factor": 9.0}},
            {"bore_mm": 32, "positive_volume_cm3": 190, "negative_volume_cm3": 20},
            {"min_pressure_psi": 90, "max_pressure_psi": 80},
            {"bore_mm": 32, "rod_mm": 30},
            {"rod_mm": 30},
            {"port_position_mm": 40, "travel_mm": 60, "stroke_mm": 40},
            {"positive_volume_cm3": 200},
            {"bore_mm": 40, "positive_volume_cm3": 30},
            {"rebound_points": [[2, 900], [30, 300]]},
            {"rebound_points": [[2, 900]]},
            {"rebound_points": [[2, 900], [10, 950]]},
            {"chart": "x"},
            {"chart": [[60, 60]]},
            {"chart": [[1, 60], [80, 50]]},
            {"rebound_clicks": "x", "compression_clicks": 3.5, "negative_spring": "rubber", "colour": 1},
        ):
            yield with_end(end, **{k: v for k, v in changes.items() if (k, end) not in _OTHERS})
    yield with_end("front", stanchion_mm=None)
    yield with_end("front", stanchion_mm=None, negative_spring="coil")
    yield with_end("front", longest_travel_mm=220)
    yield with_end("front", longest_travel_mm=100)
    yield with_end("rear", leverage_start=1.2, leverage_end=5)
    yield with_end("rear", leverage_start=1.0, leverage_end=1.0, stroke_mm=20)
    yield with_end("rear", leverage_end=None)
    yield with_end("rear", leverage_start=1.0, leverage_end=5.0, stroke_mm=60)
    yield with_end("rear", leverage_table="x")
    yield with_end("rear", leverage_table=[[0, 2]])
    yield with_end("rear", leverage_table=[[0, 2], [20, 2]])
    yield {**FORK, "bench": {"temperature_c": 5}, "ride": {"temperature_c": 25}}
    yield {**FORK, "bench": 4}
    yield with_end("front", chart=[[60, 12], [100, 16]], min_pressure_psi=0)
    yield with_end("front", chart=[[60, 25], [100, 35]], min_pressure_psi=0)
    for name in ("front", "rear"):
        yield with_end(name, datum="wheel_off_ground")
    yield with_end("front", volume_spacers=12)
    yield with_end("rear", air_lubricant_cm3=40)
    for end in ("front", "rear"):
        for highest in range(40, 260, 10):
            warm = {"bench": {"temperature_c": -20}, "ride": {"temperature_c": 50}}
            yield {**with_end(end, max_pressure_psi=highest), **warm}
            yield with_end(end, max_pressure_psi=highest)
            yield with_end(end, min_pressure_psi=highest, max_pressure_psi=400)
        yield {**with_end(end, max_pressure_psi=40), "rider_mass_kg": 160}
        yield {**with_end(end, min_pressure_psi=300, max_pressure_psi=400), "rider_mass_kg": 20}
        yield {**with_end(end), "rider_mass_kg": 160, "ride": {"temperature_c": -5, "altitude_m": 2000}}
    yield from measured()
    yield RIDER
    yield {}


PUSHES = {
    "pressure_psi": 80,
    "compression_mm": [20, 42, 70, 98],
    "force_down_n": [195, 345, 570, 890],
    "force_up_n": [150, 305, 530, 840],
}


_FORCES = ("force_down_n", "force_up_n")


def measured() -> Iterator[dict[str, Any]]:
    """Yield requests with a scale under a wheel and pushes on a spring, most of which are refused."""
    yield {**FORK, **SHOCK, "front_axle_kg": 40, "rear_axle_kg": 57}
    yield {**FORK, "front_axle_kg": 66}
    yield {**FORK, "front_axle_kg": 75}
    yield {**FORK, "rear_axle_kg": 90}
    yield {**FORK, "front_axle_kg": 40, "rear_axle_kg": 80}
    yield {**FORK, "front_axle_kg": 100}
    yield {**FORK, "front_axle_kg": 40, "rider_front_share_percent": 40}
    yield with_end("front", spring_test=PUSHES)
    yield with_end("front", spring_test=PUSHES, stanchion_mm=38)
    shock = {**PUSHES, "pressure_psi": 100, "compression_mm": [10, 25, 40]}
    shock |= {"force_down_n": [470, 970, 1500], "force_up_n": [440, 925, 1450]}
    yield with_end("rear", spring_test=shock)
    for end, test in (("front", PUSHES), ("rear", shock)):
        for psi in (0.52, 0.54, 0.56, 0.75, 1.52, 1.54, 1.56, 1.58):
            yield with_end(end, spring_test={**test, "pressure_psi": psi * test["pressure_psi"]})
        for force in (0.7, 0.8, 0.85, 1.15, 1.2, 1.3):
            down, up = ([n * force if i == 1 else n for i, n in enumerate(test[key])] for key in _FORCES)
            yield with_end(end, spring_test={**test, "force_down_n": down, "force_up_n": up})
        for factor in (2.2046, 1 / 2.2046):
            wrong = {key: [factor * n for n in test[key]] for key in _FORCES}
            yield with_end(end, spring_test={**test, **wrong})
        yield with_end(end, spring_test={**test, _FORCES[0]: [95, 145, 1990], _FORCES[1]: [90, 130, 1940],
                                         "compression_mm": test["compression_mm"][:3]})  # fmt: skip
        yield with_end(end, spring_test={**test, _FORCES[0]: [595, 645, 690], _FORCES[1]: [590, 640, 680],
                                         "compression_mm": test["compression_mm"][:3]})  # fmt: skip
        yield with_end(end, spring_test={**test, _FORCES[0]: [470, 970, 2900], _FORCES[1]: [440, 930, 2850],
                                         "compression_mm": test["compression_mm"][:3]})  # fmt: skip
        more = 1.6 if end == "front" else 2.7
        high = {"pressure_psi": more * test["pressure_psi"]} | {key: [more * n for n in test[key]] for key in _FORCES}
        yield with_end(end, spring_test={**test, **high})
        yield with_end(end, spring_test=test, max_pressure_psi=70)
    for wrong in (
        {"force_down_n": None},
        {"force_up_n": None},
        {"compression_mm": [20]},
        {"compression_mm": [20, 42, 70]},
        {"compression_mm": [20, 70, 42, 98]},
        {"compression_mm": [60, 62, 65, 68]},
        {"compression_mm": [20, 42, 70, 150]},
        {"force_down_n": [195, 345, 340, 890]},
        {"force_up_n": [150, 305, 300, 840]},
        {"force_up_n": [250, 405, 630, 940]},
        {"force_up_n": [10, 105, 230, 440]},
        {"force_down_n": [595, 645, 670, 690], "force_up_n": [550, 605, 630, 640]},
        {"force_down_n": [95, 145, 170, 1990], "force_up_n": [50, 105, 130, 1940]},
        {"at": "wheel"},
    ):
        yield with_end("front", spring_test={k: v for k, v in {**PUSHES, **wrong}.items() if v is not None})


_OTHERS = {("travel_mm", "rear"), ("stroke_mm", "front")}


def bodies() -> Iterator[tuple[Any, dict[str, Any]]]:
    """Yield parsers of checks and rides with bodies that they refuse."""
    yield rules.read_sag_check, {"readings_mm": 3, "readings_from_above_mm": [1] * 9}
    yield rules.read_sag_check, {"end": "front", "pressure_psi": 80, "readings_mm": [30], "confirm": "perhaps"}
    yield rules.read_ride, {"end": "side"}
    yield rules.read_bounce_check, {"end": "front", "clicks_out": 8, "frames": 60}


def checks() -> Iterator[tuple[rules.Setup, rules.SagCheck]]:
    """Yield sag checks that lead to every problem and advice."""
    for data, name in ((FORK, "front"), (SHOCK, "rear")):
        setup = setup_of(data)
        end = setup.front or setup.rear
        assert end is not None
        pressure, sag = end.pressure_pa, round(end.sag_expected_mm, 1)
        check = rules.SagCheck(end=name, pressure_pa=pressure, readings_mm=(sag * 1.2,))  # type: ignore[arg-type]
        yield dataclasses.replace(setup, rules_version="1"), check
        other = "rear" if name == "front" else "front"
        yield setup, rules.SagCheck(end=other, pressure_pa=pressure, readings_mm=(sag,))  # type: ignore[arg-type]
        for pa, fields in (
            (pressure, {}),
            (pressure, {"readings_mm": (sag,) * 7}),
            (0.0, {"readings_mm": (0.0, 400.0)}),
            (pressure, {"readings_mm": (5.0, 30.0)}),
            (pressure, {"readings_from_above_mm": (sag + 6,), "readings_from_below_mm": (sag - 2,)}),
            (pressure, {"readings_from_above_mm": (2.0,), "readings_from_below_mm": (46.0,)}),
            (6 * PSI_PA, {"readings_mm": (sag,)}),
            (1e9, {"readings_mm": (sag,)}),
            (pressure, {"readings_mm": (sag, sag, sag)}),
            (pressure, {"readings_mm": (sag * 1.4,) * 3}),
            (pressure, {"readings_mm": (sag * 0.7,) * 3}),
            (pressure, {"readings_mm": (sag * 0.7, sag * 1.3), "confirm": True}),
            (pressure, {"readings_mm": (round(sag / 10, 1),)}),
            (pressure, {"readings_mm": (round(sag / 25.4, 1),)}),
            (pressure, {"readings_mm": (float(str(round(sag))[::-1]),)}),
        ):
            yield setup, rules.SagCheck(end=name, pressure_pa=pa, **fields)  # type: ignore[arg-type]


def _ride(setup: rules.Setup, end: str, felt: tuple[str, ...] = (), **given: Any) -> None:
    report_problems(setup, rules.RideReport(end=end, felt=felt, **given))  # type: ignore[arg-type]


def walk_problems_of_rides_and_bounces() -> None:
    """Ask for everything that is wrong with rides and bounce checks."""
    fork, shock = setup_of(FORK), setup_of(SHOCK)
    for pair in (
        ("kicks_back", "packs_down"),
        ("hits_the_end", "travel_left_over"),
        ("dives", "travel_left_over"),
        ("wallows", "harsh_small_hits", "feels_right"),
        ("unheard_of",),
        (),
    ):
        _ride(fork, "front", pair)
    _ride(fork, "front", ("hits_the_end",), hard_hits=0)
    _ride(fork, "front", ("travel_left_over",), hard_hits=3, travel_used_mm=139)
    _ride(fork, "front", ("feels_right",), hard_hits=3, travel_used_mm=50)
    _ride(fork, "front", travel_used_mm=500, hard_hits=5000)
    for setup, name, gone in ((fork, "front", "rear"), (shock, "rear", "front")):
        bounce = rules.BounceCheck(end=name, clicks_out=3, seen="no_swing")  # type: ignore[arg-type]
        end = setup.front or setup.rear
        assert end is not None
        bare = rules.Setup(request=setup.request, front=None, rear=None, cautions=(), reasons=())
        held = {"front": _without_rebound(setup.front), "rear": _without_rebound(setup.rear)}
        refused(rules.apply_bounce_check, bare, bounce)
        whole = rules.Setup(request=setup.request, cautions=(), reasons=(), **held)
        refused(rules.apply_bounce_check, whole, bounce)
        _ride(setup, gone, ("dives",))
    for check in (
        {"clicks_out": 99},
        {"seen": "nothing known"},
        {"dip_mm": 40, "beyond_mm": 60},
        {},
    ):
        bounce_problems(rules.BounceCheck(**{"end": "front", "clicks_out": 3, **check}), 16)


def _without_rebound(end: Any) -> Any:
    return None if end is None else dataclasses.replace(end, rebound=None)


def refused(call: Any, *values: Any) -> None:
    """Call something that may refuse what it is given."""
    try:
        call(*values)
    except rules.SetupRulesError:
        return


def walk_advice() -> None:
    """Ask for every advice after a ride and a bounce check, with the sag known and each remedy tried to its end."""
    for name in ("front", "rear"):
        setup = setup_of(with_end(name, volume_spacers=1))
        end = setup.front or setup.rear
        assert end is not None
        readings = (round(end.sag_expected_mm, 1),) * 3
        check = rules.SagCheck(end=name, pressure_pa=end.pressure_pa, readings_mm=readings)  # type: ignore[arg-type]
        for felt in FELT:
            after = rules.apply_sag_check(setup, check)
            for _ in range(8):
                after = rules.apply_ride(after, rules.RideReport(end=name, felt=(felt,)))  # type: ignore[arg-type]
        for clicks, seen_by_eye in itertools.product((0, 8, 9), SEEN):
            bounce = rules.BounceCheck(end=name, clicks_out=clicks, seen=seen_by_eye)  # type: ignore[arg-type]
            rules.apply_bounce_check(setup, bounce)
        walk_bounces(setup, name)
        pumped = dataclasses.replace(check, pressure_pa=1.1 * end.max_pressure_pa, confirm=True)
        rules.apply_sag_check(setup, pumped)
        far = readings[0] * 1.5
        for mass in (40, 100):
            rules.what_if(setup, {"rider_mass_kg": mass})
            rules.what_if(setup, {"rider_mass_kg": mass, name: {"rebound_clicks": 1}})
        for shift in (readings[0], readings[0], far, readings[0] / 2, far, readings[0] / 3):
            odd = dataclasses.replace(check, readings_mm=(shift,) * 2, confirm=True)
            setup = rules.apply_sag_check(setup, odd)


def walk_bounces(setup: rules.Setup, name: Any) -> None:
    """Ask for every advice after a bounce check: seen and measured, at both ends, and with nothing left between."""
    for clicks, beyond in itertools.product((0, 1, 8, 12, 16), (2.0, 14.0, 40.0)):
        total = 16 if name == "front" else 12
        given: Any = {"end": name, "clicks_out": min(clicks, total)}
        rules.apply_bounce_check(setup, rules.BounceCheck(**given, dip_mm=60.0, beyond_mm=beyond))
        for seen_by_eye in SEEN:
            rules.apply_bounce_check(setup, rules.BounceCheck(**given, seen=seen_by_eye))
    for first, then in (("more", "less"), ("less", "more")):
        after = setup
        for answer in (first, then, then, then, then):
            end = after.front or after.rear
            assert end is not None
            assert end.rebound is not None
            bounce = rules.BounceCheck(end=name, clicks_out=end.rebound.out, seen=answer)
            after = rules.apply_bounce_check(after, bounce)


def walk_warm_air() -> None:
    """Check both ends at their maximum in air that is warmer than the bench's."""
    body = {"rider_mass_kg": 110, "riding_style": "trail", "front": {"travel_mm": 140, "max_pressure_psi": 70}}
    rear = {"stroke_mm": 55, "leverage_start": 2.8, "leverage_end": 2.4, "max_pressure_psi": 180}
    setup = rules.recommend(rules.read_request({**body, "rear": rear}))
    for end, psi, read_mm in (("front", 70.0, 45.0), ("rear", 180.0, 25.0)):
        check = {"end": end, "pressure_psi": psi, "readings_mm": [read_mm], "temperature_c": 45, "confirm": True}
        rules.apply_sag_check(setup, rules.read_sag_check(check))


def walk_earlier_rules() -> None:
    """Ask one end of a setup of earlier rules, so that the other keeps its numbers."""
    both = dataclasses.replace(setup_of({**FORK, **SHOCK}), rules_version="1")
    refused(rules.strike_check, both, 0)
    for end in both.ends():
        readings = (round(end.sag_expected_mm, 1),)
        after = rules.apply_sag_check(
            both, rules.SagCheck(end=end.end, pressure_pa=end.pressure_pa, readings_mm=readings)
        )
        refused(lambda struck: rules.strike_check(struck, 0, struck=False), after)
        refused(rules.strike_check, rules.strike_check(after, 0), 0)


COIL_FORK = {"travel_mm": 140, "spring": "coil", "rebound_clicks": 16, "stocked_rates_n_per_mm": [7, 8, 9, 10, 11]}
COIL_SHOCK = {
    "stroke_mm": 55,
    "leverage_start": 2.9,
    "leverage_end": 2.4,
    "spring": "coil",
    "rebound_clicks": 14,
    "stocked_rates_n_per_mm": [60, 70, 80, 90, 100],
    "preload_pitch_mm": 1.25,
}


def coil_requests() -> Iterator[dict[str, Any]]:
    """Yield requests of coil main springs that lead to every reason and caution of one."""
    for name, end in (("front", COIL_FORK), ("rear", COIL_SHOCK)):
        length = 140 if name == "front" else 55
        for changes in (
            {"coil_stroke_mm": length + 2, "preload_mm_max": 8},
            {"coil_stroke_mm": length + 2},
            {"coil_stroke_mm": length - 5},
            {"coil_stroke_mm": length + 40, "preload_mm_max": 8},
            {"stocked_rates_n_per_mm": [3]},
            {"stocked_rates_n_per_mm": None},
            {"fitted_rate_n_per_mm": 9.0 if name == "front" else 82.0},
            {"max_pressure_psi": 100},
            {"spring": "air"},
            {"sag_target_percent": 44},
        ):
            yield {**RIDER, name: {key: v for key, v in {**end, **changes}.items() if v is not None}}
    yield {**RIDER, "rear": {**COIL_SHOCK, "leverage_start": 1.2, "leverage_end": 5.0, "stocked_rates_n_per_mm": [50]}}


def walk_coils() -> None:
    """Ask for everything that is said of coil main springs: requests, checks of every kind, rides, other riders."""
    for data in coil_requests():
        refused(setup_of, data)
    both = setup_of({**RIDER, "front": COIL_FORK, "rear": COIL_SHOCK})
    refused(rules.plan_travel, both, rules.TravelWish(travel_mm=120, longest_travel_mm=140))
    pressure = rules.SagCheck(end="front", pressure_pa=5e5, readings_mm=(30.0,))
    refused(rules.apply_sag_check, both, pressure)
    refused(rules.apply_sag_check, setup_of(FORK), rules.SagCheck(end="front", preload_mm=2.0, readings_mm=(30.0,)))
    for end in both.ends():
        walk_coil_checks(both, end)


def walk_coil_checks(both: rules.Setup, end: rules.EndSetup) -> None:
    """Ask one end with a coil for every advice after a check and a ride."""
    assert end.coil is not None
    rate, sag = end.coil.rate_n_per_m / 1000, round(end.sag_expected_mm, 1)
    check = rules.SagCheck(end=end.end, spring_rate_n_per_mm=rate, preload_mm=1.5, readings_mm=(sag,), confirm=True)
    for typed in (0.0, 3000.0, 900.0 * rate / 80.0 if end.end == "rear" else 100.0, 5.7 * rate):
        refused(rules.apply_sag_check, both, dataclasses.replace(check, spring_rate_n_per_mm=typed))
    refused(rules.apply_bounce_check, both, rules.BounceCheck(end=end.end, clicks_out=8, seen="more"))
    refused(rules.apply_ride, both, rules.RideReport(end=end.end, felt=("hits_the_end",)))
    no_pitch: Any = {end.end: {"preload_pitch_mm": None}}
    for setup in (both, rules.what_if(both, no_pitch), rules.what_if(both, {end.end: {"preload_pitch_mm": 1.0}})):
        for share, preload in itertools.product((0.6, 0.8, 0.92, 1.0, 1.08, 1.2, 1.6), (0.0, 1.5, 3.0, 20.0)):
            reading = (round(sag * share, 1),) * 3
            taken = dataclasses.replace(check, readings_mm=reading, preload_mm=preload)
            refused(rules.apply_sag_check, setup, taken)
    short = rules.what_if(both, {end.end: {"coil_stroke_mm": end.travel_mm - 5}})
    refused(rules.apply_sag_check, short, check)
    for reading in (sag / 10, round(sag / 25.4, 1), *map(float, (13, 51, 61, 62, 70, 72, 81, 82, 91, 92))):
        asked = dataclasses.replace(check, confirm=False, preload_mm=20.0 if reading == 13.0 else 1.0)
        refused(rules.apply_sag_check, both, dataclasses.replace(asked, readings_mm=(min(reading, end.travel_mm - 1),)))
    soft = rules.what_if(both, {end.end: {"stocked_rates_n_per_mm": [rate / 2]}})
    for preload in (1.5, end.coil.preload_max_mm):
        far = dataclasses.replace(check, spring_rate_n_per_mm=rate / 2, preload_mm=preload, readings_mm=(2 * sag,))
        refused(rules.apply_sag_check, soft, far)
    for felt in FELT:
        after = rules.apply_sag_check(both, check)
        for _ in range(6):
            after = rules.apply_ride(after, rules.RideReport(end=end.end, felt=(felt,)))
    setup = both
    for mass in (40, 100, 60, 120):
        rules.what_if(both, {"rider_mass_kg": mass})
        rules.what_if(both, {"rider_mass_kg": mass, end.end: {"rebound_clicks": 1}})
    for share in (1.0, 1.0, 1.4, 0.6, 1.4, 0.5):
        setup = rules.apply_sag_check(setup, dataclasses.replace(check, readings_mm=(round(sag * share, 1),) * 2))


TWIN = {
    **FRONT,
    "bore_mm": 35,
    "positive_volume_cm3": 230,
    "second_volume_cm3": 40,
    "second_pressure_ratio": 1.8,
    "second_max_pressure_psi": 250,
}


def walk_second_chambers() -> None:
    """Ask for everything that is said of a second positive chamber."""
    for changes in (
        {},
        {"second_pressure_ratio": 1.05},
        {"second_pressure_ratio": 5, "second_max_pressure_psi": 400},
        {"second_pressure_ratio": 3, "second_max_pressure_psi": 90},
        {"second_pressure_ratio": 3, "second_max_pressure_psi": None},
        {"second_pressure_ratio": None},
        {"second_volume_cm3": None, "second_pressure_ratio": None},
        {"positive_volume_cm3": None},
    ):
        end = {key: value for key, value in {**TWIN, **changes}.items() if value is not None}
        refused(setup_of, {**RIDER, "front": end})


def walk_bikes_that_remember() -> None:
    """Ask for the first answer on bikes whose springs are harder, softer and as the class is."""
    for name, level in itertools.product(("front", "rear"), (-40.0, 0.0, 40.0)):
        start = rules.read_request(with_end(name))
        for precision in (200.0, 2000.0) if level else (0.0,):
            memory = rules.SpringMemory(riders=3, shift=(level, 0.0, 0.0), precision=(precision, *(0.0,) * 5))
            rules.recommend(rules.with_memories(start, {name: memory}))  # type: ignore[dict-item]
            rules.recommend(rules.with_unit_memories(start, {name: memory}))  # type: ignore[dict-item]


def walk_travel_and_workshop() -> None:
    """Ask for everything that is wrong with a travel, a leak check and a torque."""
    fork = setup_of(FORK)
    for wish in (
        {"travel_mm": 130, "longest_travel_mm": 120},
        {"travel_mm": 140, "longest_travel_mm": 140},
        {"travel_mm": 160, "longest_travel_mm": 160, "unit_limit_mm": 150, "frame_limit_mm": 150},
    ):
        refused(rules.plan_travel, fork, rules.TravelWish(**wish))
    refused(rules.plan_travel, setup_of(SHOCK), rules.TravelWish(travel_mm=120, longest_travel_mm=140))
    refused(stacks_for, 100, 200, {})
    refused(stacks_for, 200, 100, {-1: 1})
    refused(geometry_change, 1.0, 66.0, 10.0)
    refused(volume_at_travel_cm3, 1.0, 32.0, 140.0, 1.0)
    refused(check_leak, LeakReadings(first_pa=-1, second_pa=5e6, first_c=99, hours=0, hose_share=1))
    refused(check_torque, -1, "N·m", 1, 2, "N·m")


@pytest.fixture(scope="module")
def seen() -> dict[str, list[Message]]:
    """Every message that a walk through the rules makes, by key."""
    found: dict[str, list[Message]] = {}
    made = Message.of.__func__  # type: ignore[attr-defined]

    def record(cls: type[Message], key: str, /, **values: Any) -> Message:
        message: Message = made(cls, key, **values)
        found.setdefault(key, []).append(message)
        return message

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Message, "of", classmethod(record))
        for data in requests():
            refused(setup_of, data)
        for parse, body in bodies():
            refused(parse, body)
        for setup, check in checks():
            refused(rules.apply_sag_check, setup, check)
            end = setup.front if check.end == "front" else setup.rear
            if end is not None:
                sag_check_advice(check, dataclasses.replace(end, sag_expected_mm=1.0), check.pressure_pa, settled=True)
        walk_problems_of_rides_and_bounces()
        walk_advice()
        walk_coils()
        walk_second_chambers()
        walk_travel_and_workshop()
        walk_bikes_that_remember()
        walk_earlier_rules()
        walk_warm_air()
        for limit in (*LIMITS.values(), *CORRECTION_LIMITS.values(), *BENCH_LIMITS.values()):
            limit.refusal(-1e6)
        for case in CASES[:120]:
            replay.replay(case)
    return found


def test_every_message_has_a_template_whose_fields_are_its_values(seen: dict[str, list[Message]]) -> None:
    wrong = [
        (key, sorted(message.values))
        for key, messages in seen.items()
        for message in messages
        if key not in TEMPLATES or set().union(*map(fields_of, forms_of(key))) | _count(key) != set(message.values)
    ]
    assert not wrong, wrong[:5]


def _count(key: str) -> set[str]:
    template = TEMPLATES[key]
    return {template.count} if isinstance(template, Plural) else set()


def test_no_template_lies_idle(seen: dict[str, list[Message]]) -> None:
    idle = sorted(set(TEMPLATES) - set(seen))
    assert not idle, idle


def test_a_value_is_a_number_a_label_or_a_sign_but_never_a_word(seen: dict[str, list[Message]]) -> None:
    texts = {
        (key, name) for key, all_of in seen.items() for m in all_of for name, v in m.values.items() if type(v) is str
    }
    # What was typed, names of the JSON interface, and symbols of units.
    assert {name for _, name in texts} <= {"found", "choices", "unit"}


@pytest.mark.parametrize("key", TEMPLATES)
def test_a_sentence_ends_and_its_braces_are_fields(key: str) -> None:
    for form in forms_of(key):
        assert key.startswith("label.") or form.endswith((".", "{problem}"))
        assert form.count("{") == form.count("}") == len(re.findall(r"\{\w+\}", form))


def test_the_form_follows_the_count() -> None:
    one, two = (Message.of("ride_rebound.out.fork", count=n, out=8, total=16).english for n in (1, 2))
    assert "one click out" in one
    assert "2 clicks out" in two
