"""The sag check at its bounds, by the functions that judge it: no spring is solved here."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice.sag_check import _likely_slip, check_problems, middle_reading_mm, with_check
from setup_rules.messages.message import Message
from setup_rules.types.request import FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import SagCheck, TakenCheck
from setup_rules.types.units import PSI_PA

REQUEST = SetupRequest(
    rider_mass_kg=78.0,
    riding_style="trail",
    front=FrontEnd(travel_mm=140.0, stanchion_mm=34),
    rear=RearEnd(stroke_mm=60.0, leverage_start=2.9, leverage_end=2.4),
)
CHECK = SagCheck(end="front", pressure_pa=80 * PSI_PA, readings_mm=(31.0,))
#: A fork that may need 60 to 90 psi.
NEEDED = (60 * PSI_PA, 90 * PSI_PA)


def problems(needed: tuple[float, float] | None = None, **given: Any) -> list[tuple[str, Message]]:
    """Return (field, message) of what is wrong with a check changed so."""
    found = check_problems(REQUEST, replace(CHECK, **given), needed)
    return [(one.field, one.said) for one in found if isinstance(one.said, Message)]


def keys(needed: tuple[float, float] | None = None, **given: Any) -> list[tuple[str, str]]:
    """Return (field, key) of what is wrong with a check changed so."""
    return [(field, said.key) for field, said in problems(needed, **given)]


@pytest.mark.parametrize(
    ("pascals", "taken"), [(-1.0, False), (0.0, False), (0.5, True), (3_999_999.0, True), (4e6, False)]
)
def test_a_pressure_lies_above_0_and_below_40_bar(pascals: float, taken: bool) -> None:
    assert keys(pressure_pa=pascals) == ([] if taken else [("pressure_psi", "sag_check.no_pressure")])


@pytest.mark.parametrize(
    ("psi", "key"),
    [
        (20.0, None),  # a third of 60 psi
        (270.0, None),  # three times 90 psi
        (19.9, "sag_check.pressure_unlikely.fork"),
        (271.0, "sag_check.pressure_other_unit.fork"),  # 271 kPa are 39 psi
        (5.0, "sag_check.pressure_other_unit.fork"),
        (4000.0, "sag_check.pressure_unlikely.fork"),  # in kPa 580 psi
    ],
)
def test_a_pressure_is_questioned_beyond_a_third_and_three_times_of_what_is_needed(psi: float, key: str | None) -> None:
    found = keys(NEEDED, pressure_pa=psi * PSI_PA)
    assert found == ([] if key is None else [("pressure_psi", key)])


@pytest.mark.parametrize(("psi", "unit"), [(5.0, "bar"), (500.0, "kPa")])
def test_what_was_meant_is_told_in_psi(psi: float, unit: str) -> None:
    # 5 bar = 500 kPa = 500,000 / 6894.757 psi = 72.52 psi.
    ((_, said),) = problems(NEEDED, pressure_pa=psi * PSI_PA)
    assert said.values == {"typed": psi, "low": 60, "high": 90, "least": 20, "most": 270, "unit": unit, "psi": 73}


@pytest.mark.parametrize("needed", [(300 * PSI_PA, 350 * PSI_PA), (2 * PSI_PA, 4 * PSI_PA)])
def test_30_psi_are_never_questioned(needed: tuple[float, float]) -> None:
    assert keys(needed, pressure_pa=30 * PSI_PA) == []


def test_a_coils_figures_on_air_are_refused_where_they_stand() -> None:
    assert keys(spring_rate_n_per_mm=8.0) == [("spring_rate_n_per_mm", "sag_check.rate_on_air")]
    assert keys(preload_mm=2.0) == [("preload_mm", "sag_check.rate_on_air")]
    assert keys(preload_mm=2.0, spring_rate_n_per_mm=8.0) == [("spring_rate_n_per_mm", "sag_check.rate_on_air")]


@pytest.mark.parametrize(
    ("field", "reading", "key"),
    [
        ("readings_mm", 0.0, "sag_check.zero"),
        ("readings_mm", -1.0, "sag_check.zero"),
        ("readings_mm", 0.5, None),
        ("readings_mm", 139.9, None),
        ("readings_mm", 140.0, "sag_check.beyond_travel"),
        ("readings_from_above_mm", 0.0, None),  # eased on, it did not move: friction
        ("readings_from_above_mm", -1.0, "sag_check.zero"),
        ("readings_from_below_mm", 0.0, "sag_check.zero"),
    ],
)
def test_a_reading_lies_inside_the_travel(field: str, reading: float, key: str | None) -> None:
    readings: dict[str, Any] = {"readings_mm": (), field: (reading,)}
    found = keys(**readings)
    assert found == ([] if key is None else [(field, key)])


def test_one_to_six_readings_of_all_kinds_together() -> None:
    assert keys(readings_mm=()) == [("readings_mm", "sag_check.no_reading")]
    three: dict[str, Any] = {"readings_from_above_mm": (30.0,) * 2, "readings_from_below_mm": (32.0,)}
    assert keys(readings_mm=(31.0,) * 3, **three) == []
    ((field, said),) = problems(readings_mm=(31.0,) * 4, **three)
    assert (field, said.key, said.values) == ("readings_mm", "sag_check.too_many", {"count": 7, "most": 6})


@pytest.mark.parametrize("field", ["readings_mm", "readings_from_above_mm", "readings_from_below_mm"])
def test_readings_of_one_kind_lie_within_a_quarter_of_the_travel(field: str) -> None:
    # A quarter of 140 mm is 35 mm.
    none: dict[str, Any] = {"readings_mm": ()}
    assert keys(**(none | {field: (10.0, 45.0)})) == []
    ((found, said),) = problems(**(none | {field: (10.0, 45.25)}))
    assert (found, said.values) == (field, {"low": 10, "high": 45.25, "apart": 35.25, "allowed": 35})


@pytest.mark.parametrize(
    ("end", "above", "below", "found"),
    [
        # Three standard deviations of a difference: 3 · √2 · 1.0 = 4.24 mm on a fork, 3 · √2 · 0.6 = 2.55 on a shock.
        ("front", (34.2,), (30.0,), []),
        ("front", (34.3,), (30.0,), [("readings_from_above_mm", "sag_check.swapped")]),
        ("rear", (15.5,), (13.0,), []),
        ("rear", (15.6,), (13.0,), [("readings_from_above_mm", "sag_check.swapped")]),
        ("front", (10.0,), (45.0,), []),
        ("front", (10.0,), (45.2,), [("readings_from_below_mm", "sag_check.friction")]),
        ("front", (10.0, 20.0), (45.0, 55.0), []),  # it is the means that count: 15 and 50 mm
        ("front", (10.0, 20.0), (45.0, 55.5), [("readings_from_below_mm", "sag_check.friction")]),
    ],
)
def test_both_sides_lie_as_friction_can_put_them(
    end: Any, above: tuple[float, ...], below: tuple[float, ...], found: list[tuple[str, str]]
) -> None:
    both: dict[str, Any] = {"readings_from_above_mm": above, "readings_from_below_mm": below}
    assert keys(end=end, readings_mm=(), **both) == found


@pytest.mark.parametrize(
    ("read", "expected", "sigma", "slip"),
    [
        (3.2, 32.0, 1.0, ("centimetres", 32.0)),
        (1.25, 32.0, 1.0, ("inches", 32.0)),  # 31.75 mm, to the millimetre
        (13.0, 31.0, 1.0, ("swapped", 31.0)),
        (3.0, 33.0, 2.0, ("centimetres", 30.0)),  # 3 mm off are one and a half times 2 mm
        (3.0, 33.0, 1.9, None),
        (13.5, 31.0, 1.0, None),
        (113.0, 311.0, 1.0, None),
        (60.0, 31.0, 1.0, None),
    ],
)
def test_a_slip_of_the_pen_is_told_by_what_was_likely_meant(
    read: float, expected: float, sigma: float, slip: tuple[str, float] | None
) -> None:
    assert _likely_slip(read, expected, sigma) == slip


def test_the_middle_of_a_check_lies_between_its_sides_or_is_the_median_of_all() -> None:
    both = replace(CHECK, readings_from_above_mm=(28.0, 29.0, 60.0), readings_from_below_mm=(33.0,))
    assert middle_reading_mm(both) == 31.0
    assert middle_reading_mm(replace(CHECK, readings_mm=(30.0, 31.0, 50.0))) == 31.0
    assert middle_reading_mm(replace(CHECK, readings_mm=(30.0,), readings_from_above_mm=(32.0, 33.0))) == 32.0


def taken(number: int, *, end: Any = "front", struck: bool = False) -> TakenCheck:
    """Return a check that can be told by its temperature."""
    check = replace(CHECK, end=end, temperature_c=float(number))
    return TakenCheck(check=check, request=REQUEST, struck=struck)


def kept(checks: tuple[TakenCheck, ...]) -> list[float | None]:
    """Return which checks are left after one more of the fork."""
    return [one.check.temperature_c for one in with_check(REQUEST, checks, replace(CHECK, confirm=True))[:-1]]


def test_beyond_30_checks_of_an_end_its_oldest_goes_a_struck_one_first() -> None:
    rear = taken(-1, end="rear")
    assert kept((rear, *(taken(n) for n in range(29)))) == [-1, *range(29)]
    assert kept((rear, *(taken(n) for n in range(30)))) == [-1, *range(1, 30)]
    struck = tuple(taken(n, struck=n == 7) for n in range(30))
    assert kept((rear, *struck)) == [-1, *(n for n in range(30) if n != 7)]
