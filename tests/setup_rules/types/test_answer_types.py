"""What an answer says of itself: its tolerance, whether it reaches its target, what is set, and what is left out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules import EndSetup, SagCheck, Setup, SetupRequest
from setup_rules.messages.message import Message
from setup_rules.types.result import (
    RULES_VERSION,
    Change,
    ClickStart,
    CoilSetup,
    Curve,
    Note,
    RideReport,
    TakenCheck,
)

FIGURES = (
    *("travel_mm", "pressure_pa", "pressure_low_pa", "pressure_high_pa", "ride_pressure_pa", "max_pressure_pa"),
    *("min_pressure_pa", "sag_target_mm", "sag_target_percent", "sag_expected_mm", "sag_low_mm", "sag_high_mm"),
    *("wheel_travel_mm", "wheel_sag_mm", "load_n", "rate_n_per_m", "full_force_n"),
)
REQUEST = SetupRequest(rider_mass_kg=75.0, riding_style="trail")


def answer(**known: Any) -> EndSetup:
    """Return an end's answer in which only some figures are not 0."""
    left: dict[str, Any] = dict.fromkeys(FIGURES, 0.0) | {"volume_spacers": 0, "rebound": None, "compression": None}
    left |= {
        "max_pressure_assumed": False,
        "min_pressure_assumed": False,
        "curve": Curve(**dict.fromkeys(("compression_mm", "force_n", "load_n"), ())),
    }
    return EndSetup(**{"end": "front", **left, **known})


def coil(**known: Any) -> CoilSetup:
    """Return a coil of 9 N/mm without preload."""
    figures = dict.fromkeys(("rate_wanted_n_per_m", "rate_low_n_per_m", "rate_high_n_per_m"), 9000.0)
    preload = dict.fromkeys(("preload_mm", "preload_min_mm", "preload_max_mm"), 0.0)
    rest: dict[str, Any] = {"origin": "exact", "preload_turns": None, "preload_max_assumed": False}
    return CoilSetup(**{"rate_n_per_m": 9000.0, **figures, **preload, **rest, **known})


@pytest.mark.parametrize(("travel", "tolerance"), [(55.0, 2.0), (100.0, 2.0), (140.0, 2.8), (200.0, 4.0)])
def test_two_per_cent_of_the_travel_is_good_enough_and_never_less_than_two_millimetres(
    travel: float, tolerance: float
) -> None:
    assert answer(travel_mm=travel).tolerance_mm == pytest.approx(tolerance)


@pytest.mark.parametrize(
    ("expected", "reached"), [(28.0, True), (30.0, True), (26.0, True), (30.1, False), (25.9, False)]
)
def test_a_target_is_reached_up_to_the_tolerance_either_way(expected: float, reached: bool) -> None:
    assert answer(travel_mm=100.0, sag_target_mm=28.0, sag_expected_mm=expected).reaches_target is reached


def test_what_is_set_is_the_pressure_or_the_rate_of_a_coil() -> None:
    assert answer(pressure_pa=5e5).setting == 5e5
    assert answer(coil=coil()).setting == 9000.0


def test_a_coil_may_be_fitted_unless_a_longer_stroke_is_needed() -> None:
    assert coil().fits
    assert not coil(stroke_needed_mm=66.0).fits
    assert not coil().preload_max_bind
    assert coil().choices == ()


def test_an_answer_begins_without_checks_doubts_or_limits() -> None:
    end = answer()
    assert (end.checks_used, end.rest_mm, end.newest_surprise) == (0, 0.0, 0.0)
    assert not end.limited
    assert not end.answers_disagree
    assert (end.friction_n, end.force_factor, end.chart_fit_percent, end.datum) == (None, None, None, "bike_at_rest")
    assert (end.coil, end.pushed, end.second) == (None, None, None)


def test_only_readings_from_both_sides_bracket_the_friction() -> None:
    both = SagCheck(end="front", readings_from_above_mm=(27.0,), readings_from_below_mm=(33.0,))
    assert both.is_two_sided is True
    assert replace(both, readings_from_above_mm=()).is_two_sided is False
    assert replace(both, readings_from_below_mm=()).is_two_sided is False
    assert SagCheck(end="front", readings_mm=(30.0, 31.0)).is_two_sided is False


def test_a_check_says_nothing_that_nobody_entered() -> None:
    check = SagCheck(end="rear")
    assert (check.pressure_pa, check.preload_mm, check.spring_rate_n_per_mm) == (0.0, 0.0, None)
    assert (check.readings_mm, check.temperature_c, check.altitude_m, check.datum) == ((), None, None, None)
    assert not check.confirm
    assert not TakenCheck(check=check, request=REQUEST).struck


def test_reports_and_changes_begin_empty() -> None:
    report = RideReport(end="front")
    assert (report.felt, report.travel_used_mm, report.hard_hits) == ((), None, None)
    change = Change(end="front", kind="none")
    assert (change.amount, change.before) == (0.0, None)
    assert ClickStart(out=8, total=16, clamped=False, damping_n_s_per_m=900.0).beyond == 0


def test_an_answers_ends_come_front_first() -> None:
    front, rear = answer(), answer(end="rear")
    both = Setup(request=REQUEST, front=front, rear=rear, cautions=(), reasons=())
    assert both.ends() == (front, rear)
    assert replace(both, front=None).ends() == (rear,)
    assert replace(both, rear=None).ends() == (front,)
    assert (both.rules_version, both.settled, both.advice) == (RULES_VERSION, None, ())


def test_a_note_reads_as_its_sentence() -> None:
    said = Message.of("label.travel_mm")
    note = Note("travel", said)
    assert note.message == said.english
    assert (note.source, note.end, note.way) == ("", None, "")
