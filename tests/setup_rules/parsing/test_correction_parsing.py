"""Checks and rides as plain data: what is needed, what is a list, what is a flag, and what is no longer read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from setup_rules import RequestError
from setup_rules.messages.message import Message
from setup_rules.parsing.correction_parsing import read_bounce_check, read_ride, read_sag_check

SAG: dict[str, Any] = {"end": "front", "pressure_psi": 84, "readings_mm": [31]}
BOUNCE: dict[str, Any] = {"end": "front", "clicks_out": 8, "seen": "more"}
RIDE: dict[str, Any] = {"end": "rear"}


def refused(read: Callable[[dict[str, Any]], Any], data: dict[str, Any]) -> list[tuple[str, str]]:
    """Return (field, key) of everything that data is refused for."""
    with pytest.raises(RequestError) as error:
        read(data)
    return [(one.field, one.said.key) for one in error.value.problems if isinstance(one.said, Message)]


def test_a_sag_check_is_read_in_pascals_with_every_default() -> None:
    check = read_sag_check(SAG)
    # 1 psi = 6894.757 Pa (NIST SP 811): 84 psi are 579,160 Pa.
    assert check.pressure_pa == pytest.approx(579_160, abs=1)
    assert (check.readings_mm, check.confirm, check.preload_mm, check.datum) == ((31.0,), False, 0.0, None)


def test_a_check_needs_its_end_and_a_pressure_or_a_rate() -> None:
    assert refused(read_sag_check, {}) == [("end", "problem.needed"), ("pressure_psi", "problem.needed")]
    coil = read_sag_check({"end": "rear", "spring_rate_n_per_mm": 80, "readings_mm": [15]})
    assert (coil.pressure_pa, coil.spring_rate_n_per_mm) == (0.0, 80.0)


def test_an_unknown_key_and_a_wrong_value_come_together() -> None:
    found = refused(read_sag_check, {**SAG, "colour": 1, "pressure_psi": "x"})
    assert found == [("colour", "problem.unknown_key"), ("pressure_psi", "problem.no_number")]


@pytest.mark.parametrize(
    ("raw", "key"),
    [
        (31, "problem.no_list"),
        ("31", "problem.no_list"),
        ([31] * 7, "problem.list_too_long"),
        (["x"], "problem.no_number"),
        ([1000], "problem.outside_with_unit"),
    ],
)
def test_readings_are_a_list_of_at_most_six_numbers(raw: Any, key: str) -> None:
    assert refused(read_sag_check, {**SAG, "readings_mm": raw}) == [("readings_mm", key)]
    assert len(read_sag_check({**SAG, "readings_mm": [31] * 6}).readings_mm) == 6


def test_a_flag_is_true_or_false_and_nothing_like_it() -> None:
    assert read_sag_check({**SAG, "confirm": True}).confirm is True
    assert read_sag_check({**SAG, "confirm": False}).confirm is False
    wrong: tuple[Any, ...] = (1, "true", [])
    for raw in wrong:
        assert refused(read_sag_check, {**SAG, "confirm": raw}) == [("confirm", "problem.no_flag")]


@pytest.mark.parametrize("raw", ["middle", 7, ["front"]])
def test_an_end_is_the_front_or_the_rear(raw: Any) -> None:
    assert refused(read_sag_check, {**SAG, "end": raw}) == [("end", "problem.unknown_choice")]


def test_a_bounce_check_needs_its_clicks_and_reads_old_words() -> None:
    assert read_bounce_check(BOUNCE).seen == "more"
    assert read_bounce_check({**BOUNCE, "seen": "straight_back"}).seen == "less"
    assert read_bounce_check({"end": "front", "clicks_out": 8, "dip_mm": 60, "beyond_mm": 6}).seen is None
    assert refused(read_bounce_check, {"end": "front"}) == [("clicks_out", "problem.needed")]
    assert refused(read_bounce_check, {**BOUNCE, "seen": "fast"}) == [("seen", "problem.unknown_choice")]


@pytest.mark.parametrize("key", ["frames", "frames_per_second"])
def test_what_is_no_longer_read_says_so(key: str) -> None:
    assert refused(read_bounce_check, {**BOUNCE, key: 30}) == [(key, "bounce.frames_gone")]
    assert read_bounce_check({**BOUNCE, key: None}).clicks_out == 8


def test_a_ride_lists_what_was_felt() -> None:
    ride = read_ride({**RIDE, "felt": ["dives", "wallows"], "travel_used_mm": 50, "hard_hits": 1})
    assert (ride.felt, ride.travel_used_mm, ride.hard_hits) == (("dives", "wallows"), 50.0, 1)
    assert read_ride(RIDE).felt == ()
    assert refused(read_ride, {**RIDE, "felt": ["dives", "floats"]}) == [("felt", "problem.unknown_choice")]
    assert refused(read_ride, {**RIDE, "felt": ["dives"] * 9}) == [("felt", "problem.list_too_long")]
    assert refused(read_ride, {**RIDE, "hard_hits": 1.5}) == [("hard_hits", "problem.not_whole")]
