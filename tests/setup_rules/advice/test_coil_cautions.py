"""Cautions of a coil main spring and what a ride asks of one: keys, numbers and bounds for made-up numbers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice.coil_cautions import coil_cautions, fitted_cautions
from setup_rules.advice.coil_ride import coil_change, find_next, next_spring
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, FrontEnd, RearEnd
from setup_rules.types.result import Change, CoilChoice, CoilSetup, Note
from tests.setup_rules.advice.test_coil_words import FORK, SHOCK, SPRING, check_of, coil_with, end_with, model_of, said


def cautions(end: FrontEnd | RearEnd = SHOCK, coil: CoilSetup | None = None, **changed: Any) -> list[Note]:
    """Return the cautions of an end with a coil."""
    name = "front" if isinstance(end, FrontEnd) else "rear"
    return list(coil_cautions(model_of(end), end_with(coil, end=name, **changed)))


def test_a_usual_coil_needs_no_caution_and_air_has_none_of_a_coil() -> None:
    assert cautions() == []
    assert coil_cautions(model_of(replace(SHOCK, coil_stroke_mm=None)), replace(end_with(), coil=None)) == ()


@pytest.mark.parametrize(("expected", "there"), [(19.5, False), (19.6, True), (15.5, False), (15.4, True)])
def test_a_target_out_of_reach_names_the_rate_to_ask_for(expected: float, there: bool) -> None:
    notes = cautions(sag_expected_mm=expected)
    assert [note.code for note in notes] == ["coil_out_of_reach"] * there
    if there:
        assert said(notes[0]) == (
            "caution.coil_out_of_reach",
            {"rate": 82, "pounds": 468, "sag": 19.5 if expected > 17 else 15.5},
        )
        assert (notes[0].source, notes[0].end) == (c.PRACTICE, "rear")


def test_coil_bind_is_not_known_without_the_stroke_of_the_spring() -> None:
    (note,) = cautions(replace(SHOCK, coil_stroke_mm=None))
    assert (note.code, note.source, note.end) == ("coil_stroke_unknown", c.PRACTICE, "rear")
    assert said(note) == ("caution.coil_stroke_unknown", {})


def test_a_spring_that_is_too_short_says_only_that() -> None:
    short = coil_with(stroke_needed_mm=56.0, preload_max_assumed=True, preload_max_bind=True)
    (note,) = cautions(replace(SHOCK, coil_stroke_mm=50.5), short, sag_expected_mm=30.0)
    assert (note.code, note.source, note.end) == ("coil_too_short", "", "rear")
    values = {"stroke": 50.5, "travel": 55, "rate": 82, "pounds": 468, "needed": 56}
    assert said(note) == ("caution.coil_too_short", values)


@pytest.mark.parametrize(("entered", "key"), [(4.0, "caution.coil_bind"), (None, "caution.coil_bind.assumed")])
def test_the_room_before_coil_bind_is_told_to_a_tenth(entered: float | None, key: str) -> None:
    end = replace(SHOCK, coil_stroke_mm=56.5, preload_mm_max=entered)
    (note,) = cautions(end, coil_with(preload_max_bind=True, preload_max_mm=1.54))
    assert (note.code, note.source, note.end) == ("coil_bind", "", "rear")
    assert said(note) == (key, {"stroke": 56.5, "travel": 55, "room": 1.5})


def test_an_assumed_limit_of_preload_is_told() -> None:
    (note,) = cautions(FORK, coil_with(preload_max_assumed=True, preload_max_mm=3.14))
    assert (note.code, note.source, note.end) == ("preload_assumed", c.ESTIMATE, "front")
    assert said(note) == ("caution.preload_assumed", {"limit": 3.1})


def test_cold_and_an_unusual_sag_are_told_of_a_coil_too() -> None:
    model = model_of(SHOCK, ride=Conditions(temperature_c=-5.0))
    codes = [note.code for note in coil_cautions(model, end_with(sag_target_percent=45.0))]
    assert codes == ["sag_unusual", "cold_oil"]


@pytest.mark.parametrize("now", [True, False])
def test_a_spring_measured_with_too_much_preload_is_told_while_it_may_be_in_the_bike(now: bool) -> None:
    (note,) = fitted_cautions(check_of(preload_mm=4.5), end_with(coil_with(preload_max_mm=4.04)), now=now)
    assert (note.code, note.end) == ("preload_above_limit", "rear")
    assert said(note) == ("caution.preload_above_limit", {"preload": 4.5, "limit": 4.0})
    assert fitted_cautions(check_of(preload_mm=4.02), end_with(), now=now) == ()
    assert fitted_cautions(check_of(preload_mm=9.0), replace(end_with(), coil=None), now=now) == ()
    # Another spring was asked for: only what was just measured counts.
    for other in (
        check_of(preload_mm=9.0, spring_rate_n_per_mm=70.0),
        check_of(preload_mm=9.0, spring_rate_n_per_mm=None),
    ):
        assert len(fitted_cautions(other, end_with(), now=now)) == now


# Rides


def choice(rate_n_per_mm: float, sag_mm: float = 16.5) -> CoilChoice:
    """Return a spring that is to be had."""
    return CoilChoice(
        rate_n_per_m=1000 * rate_n_per_mm, least_preload_sag_mm=sag_mm, preload_mm=1.0, sag_mm=16.0, reaches=True
    )


CHOICES = tuple(choice(rate) for rate in (60.0, 70.0, 80.0, 90.0, 100.0))


@pytest.mark.parametrize(("rate", "direction", "found"), [(80.0, 1, 90.0), (80.0, -1, 70.0), (89.9995, 1, 90.0)])
def test_the_next_spring_is_the_nearest_on_that_side(rate: float, direction: int, found: float) -> None:
    there = find_next(coil_with(rate_n_per_m=1000 * rate, choices=CHOICES), direction)
    assert there is not None
    assert there.rate_n_per_m == 1000 * found


@pytest.mark.parametrize(("rate", "direction"), [(100.0, 1), (60.0, -1)])
def test_beyond_the_last_spring_is_none(rate: float, direction: int) -> None:
    coil = coil_with(rate_n_per_m=1000 * rate, choices=CHOICES)
    assert find_next(coil, direction) is None
    change = Change(end="rear", kind="spring_rate", amount=float(direction))
    assert next_spring(end_with(coil), change) == {}


@pytest.mark.parametrize(("amount", "rate"), [(1.0, 90.0), (0.5, 90.0), (-1.0, 70.0)])
def test_the_next_spring_is_fitted_with_the_sag_of_its_least_preload(amount: float, rate: float) -> None:
    fits = next_spring(end_with(coil_with(choices=CHOICES)), Change(end="rear", kind="spring_rate", amount=amount))
    # 16.5 mm of 55 mm are 30 %.
    assert fits == {"fitted_rate_n_per_mm": rate, "sag_target_percent": 30.0}
    assert next_spring(replace(end_with(), coil=None), Change(end="rear", kind="spring_rate", amount=1.0)) == {}


def test_the_share_of_sag_is_told_in_hundredths_of_a_per_cent() -> None:
    coil = coil_with(choices=(choice(90.0, 16.0),))
    # 16 mm of 55 mm are 29.0909 %.
    fits = next_spring(end_with(coil), Change(end="rear", kind="spring_rate", amount=1.0))
    assert fits["sag_target_percent"] == 29.09


@pytest.mark.parametrize(
    ("kind", "amount", "way", "key", "more"),
    [
        ("spring_rate", 1.0, "more", "ride_spring_rate.more", {}),
        ("spring_rate", -1.0, "less", "ride_spring_rate.less", {}),
        ("sag_target", 2.0, "more", "ride_sag_target.more.coil", {"points": 2}),
        ("sag_target", -1.5, "less", "ride_sag_target.less.coil", {"points": 1.5}),
    ],
)
def test_after_a_ride_the_spring_or_the_sag_is_named(
    kind: Any, amount: float, way: Any, key: str, more: dict[str, Any]
) -> None:
    told = coil_change(Change(end="rear", kind=kind, amount=amount), way, end_with(), coil_with())
    assert (told.key, dict(told.values)) == (key, SPRING | {"sag": 17.5} | more)
