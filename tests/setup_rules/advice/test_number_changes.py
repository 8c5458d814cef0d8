"""Which numbers are to be set anew: as they are shown, in the order of work, for made-up ends."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice.number_changes import numbers_changed
from setup_rules.advice.wording import (
    is_above,
    is_over_limit,
    no_end,
    preload_values,
    rate_n_per_mm,
    rate_values,
    variant_of,
    whole_psi,
)
from setup_rules.types.result import EndSetup, SecondChamber, Setup
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_carried_words import clicks, coil_at, end_at, setup_with


def changed(before: EndSetup | None, after: EndSetup | None) -> list[tuple[str, float | None, float | None]]:
    """Return what changed on a fork, as (what, before, after)."""
    found = numbers_changed(setup_with(before), setup_with(after))
    assert {one.end for one in found} <= {"front"}
    return [(one.what, one.before, one.after) for one in found]


def second(psi: float) -> SecondChamber:
    """Return a second chamber at a pressure."""
    return SecondChamber(
        pressure_pa=psi * PSI_PA,
        ride_pressure_pa=0.0,
        max_pressure_pa=0.0,
        max_pressure_assumed=False,
        volume_cm3=40.0,
        joins_at_mm=None,
        limited=False,
    )


BARE = end_at(80 * PSI_PA)


@pytest.mark.parametrize(
    ("before", "after", "shown"),
    [
        (80.0, 81.0, True),
        (80.0, 80.4, False),
        (80.4, 80.6, True),
        (39.8, 40.2, False),
        (39.0, 39.3, True),
        (39.0, 39.2, False),
        (39.74, 39.76, True),
    ],
)
def test_a_pressure_changes_where_a_gauge_shows_it(before: float, after: float, shown: bool) -> None:
    wanted = [("pressure_pa", before * PSI_PA, after * PSI_PA)] * shown
    assert changed(end_at(before * PSI_PA), end_at(after * PSI_PA)) == wanted
    double = [replace(BARE, second=second(psi)) for psi in (before, after)]
    assert changed(*double) == [("second_pressure_pa", before * PSI_PA, after * PSI_PA)] * shown


def test_everything_that_changed_is_told_in_the_order_of_work() -> None:
    before = end_at(80 * PSI_PA, clicks(6), compression=clicks(3), second=second(120.0))
    other = {"travel_mm": 150.0, "volume_spacers": 1, "sag_target_mm": 33.0, "second": second(130.0)}
    after = end_at(90 * PSI_PA, clicks(5), compression=clicks(4), **other)
    assert changed(before, after) == [
        ("travel_mm", 140.0, 150.0),
        ("volume_spacers", 0.0, 1.0),
        ("pressure_pa", 80 * PSI_PA, 90 * PSI_PA),
        ("second_pressure_pa", 120 * PSI_PA, 130 * PSI_PA),
        ("sag_target_mm", 30.0, 33.0),
        ("rebound_out", 6, 5),
        ("compression_out", 3, 4),
    ]


def test_a_target_sag_changes_by_halves() -> None:
    assert changed(BARE, replace(BARE, sag_target_mm=30.2)) == []
    assert changed(BARE, replace(BARE, sag_target_mm=30.3)) == [("sag_target_mm", 30.0, 30.3)]


def test_adjusters_that_come_or_go_are_told_with_none() -> None:
    assert changed(BARE, end_at(80 * PSI_PA, clicks(5))) == [("rebound_out", None, 5)]
    assert changed(replace(BARE, compression=clicks(2)), BARE) == [("compression_out", 2, None)]
    assert changed(BARE, replace(BARE, second=second(100.0))) == [("second_pressure_pa", None, 100 * PSI_PA)]


def test_another_kind_of_spring_has_other_numbers() -> None:
    assert changed(BARE, coil_at(9_000.0)) == [
        ("volume_spacers", 0.0, None),
        ("pressure_pa", 80 * PSI_PA, None),
        ("spring_rate_n_per_m", None, 9_000.0),
        ("preload_mm", None, 0.0),
    ]


def test_rate_and_preload_change_in_tenths() -> None:
    one = coil_at(9_000.0)
    assert one.coil is not None
    assert changed(one, coil_at(9_040.0)) == []
    assert changed(one, coil_at(9_060.0)) == [("spring_rate_n_per_m", 9_000.0, 9_060.0)]
    assert changed(one, replace(one, coil=replace(one.coil, preload_mm=0.04))) == []
    assert changed(one, replace(one, coil=replace(one.coil, preload_mm=0.06))) == [("preload_mm", 0.0, 0.06)]
    short = replace(one, coil=replace(one.coil, stroke_needed_mm=141.0))
    assert changed(short, one) == [("spring_rate_n_per_m", None, 9_000.0), ("preload_mm", None, 0.0)]


def test_an_end_that_comes_has_all_its_numbers_and_one_that_goes_none() -> None:
    assert [what for what, before, _ in changed(None, BARE) if before is None] == [
        *("travel_mm", "volume_spacers", "pressure_pa", "sag_target_mm")
    ]
    assert changed(BARE, None) == []


def test_both_ends_pressures_come_before_any_clicks() -> None:
    def both(psi: float, out: int) -> Setup:
        front = end_at(psi * PSI_PA, clicks(out))
        return setup_with(front, replace(front, end="rear"))

    told = [(one.what, one.end) for one in numbers_changed(both(80.0, 6), both(90.0, 5))]
    assert told == [(what, end) for what in ("pressure_pa", "rebound_out") for end in ("front", "rear")]


# Words and numbers that sentences share


def test_pressures_rates_and_preloads_are_told_in_their_units() -> None:
    assert whole_psi(80 * PSI_PA) == 80
    assert rate_n_per_mm(78_807.0) == 78.8
    # 78 807 N/m are 450.0 lb/in: 1 lb/in is 175.1268 N/m.
    assert rate_values(78_807.0) == {"rate": 78.8, "pounds": 450}
    assert preload_values(1.26) == {"preload": 1.3}


@pytest.mark.parametrize(("preload", "over"), [(4.0, False), (4.02, False), (4.03, True)])
def test_a_ruler_leaves_a_fiftieth_of_a_millimetre_open(preload: float, over: bool) -> None:
    assert is_over_limit(preload, 4.0) is over


@pytest.mark.parametrize(("psi", "above"), [(300.0, False), (300.4, False), (300.6, True), (299.0, False)])
def test_a_pressure_is_above_another_where_a_gauge_shows_it(psi: float, above: bool) -> None:
    assert is_above(psi * PSI_PA, 300 * PSI_PA) is above


def test_a_sentence_is_the_forks_the_shocks_or_the_coils() -> None:
    assert variant_of(BARE) == "fork"
    assert variant_of(replace(BARE, end="rear")) == "shock"
    assert variant_of(coil_at(9_000.0)) == "coil"
    problem: Any = no_end("rear")
    assert (problem.field, problem.said.key) == ("end", "problem.no_shock")
