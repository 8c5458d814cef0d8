"""Decisions are pinned: every number that no source can give stands here once more, so that a change is meant.

The tables stand in `decided_constants`, `decided_limits` and `decided_thresholds`; `deciding` finds what has to be in
them, so that a new number without a place there fails as well.
"""

from __future__ import annotations

import dataclasses
import math
import types

import pytest

from setup_rules.parsing.request_parsing import read_number
from setup_rules.types.errors import Problem
from setup_rules.types.limits import BENCH_LIMITS, CORRECTION_LIMITS, LIMITS, limit_of
from setup_rules.types.request import Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import EndSetup
from tests.setup_rules.types import decided_constants, decided_limits, decided_thresholds, deciding

DECIDED = decided_constants.CONSTANTS | decided_limits.LIMITS | decided_thresholds.THRESHOLDS
FOUND = deciding.named_numbers()
BOUNDS = {
    name: bounds
    for table in ("types.limits.LIMITS", "types.limits.CORRECTION_LIMITS", "types.limits.BENCH_LIMITS")
    for name, bounds in decided_limits.LIMITS[table].items()
}
#: What stands for a number that nobody entered, by the class that holds it.
DEFAULTS = {
    Conditions: {"temperature_c": 20.0, "altitude_m": 0.0},
    SetupRequest: {"kit_mass_kg": 4.0, "bike_mass_kg": 14.0},
    FrontEnd: {
        "head_angle_deg": 66.0,
        "rebound_offset_clicks": 0,
        "compression_offset_clicks": 0,
        "volume_spacers": 0,
        "air_lubricant_cm3": 0.0,
    },
    RearEnd: {
        "rebound_offset_clicks": 0,
        "compression_offset_clicks": 0,
        "volume_spacers": 0,
        "air_lubricant_cm3": 0.0,
    },
}


@pytest.mark.parametrize("name", DECIDED)
def test_a_number_is_the_one_that_was_decided(name: str) -> None:
    assert FOUND[name] == DECIDED[name]


def test_no_number_stands_in_the_rules_without_standing_in_the_tables() -> None:
    assert not FOUND.keys() - DECIDED.keys(), "decide it twice: in the code and in a table of tests/setup_rules/types"


def test_no_number_inside_a_function_stands_there_unseen() -> None:
    assert deciding.inner_numbers() == decided_thresholds.INSIDE


@pytest.mark.parametrize("kind", DEFAULTS, ids=lambda kind: kind.__name__)
def test_a_default_is_the_one_that_was_decided(kind: type) -> None:
    numbers = {
        one.name: one.default
        for one in dataclasses.fields(kind)
        if isinstance(one.default, int | float) and not isinstance(one.default, bool)
    }
    assert numbers == DEFAULTS[kind]


@pytest.mark.parametrize("name", BOUNDS)
def test_a_limit_lets_in_what_was_decided_and_nothing_beyond(name: str) -> None:
    low, high, unit, whole = BOUNDS[name]
    limit = limit_of(name)
    step = 1 if whole else 1e-6
    assert (limit.unit, limit.whole) == (unit, whole)
    for value, taken in ((low, True), (high, True), (low - step, False), (high + step, False)):
        problems: list[Problem] = []
        assert (read_number(limit, value, name, problems) is not None) == taken
        assert bool(problems) != taken


def test_every_limit_has_its_bounds_in_the_table() -> None:
    assert BOUNDS.keys() == LIMITS.keys() | CORRECTION_LIMITS.keys() | BENCH_LIMITS.keys()
    assert all(math.isfinite(bound) for low, high, *_ in BOUNDS.values() for bound in (low, high))


@pytest.mark.parametrize(("travel", "tolerance"), [(40.0, 2.0), (100.0, 2.0), (160.0, 3.2), (200.0, 4.0)])
def test_the_tolerance_is_the_larger_of_two_millimetres_and_two_per_cent(travel: float, tolerance: float) -> None:
    end = types.SimpleNamespace(travel_mm=travel)
    assert EndSetup.tolerance_mm.fget(end) == pytest.approx(tolerance)  # type: ignore[attr-defined]


def test_a_number_that_is_new_at_the_top_of_a_module_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    import ast

    made_up = types.ModuleType("made_up")
    made_up.NEW_SHARE = 0.3  # type: ignore[attr-defined]
    tree = ast.parse("NEW_SHARE: Final = 0.3\ndef act(x):\n    return x > 0.77\n")
    monkeypatch.setattr(deciding, "modules", lambda: iter([("advice.made_up", made_up, tree)]))
    assert deciding.named_numbers() == {"advice.made_up.NEW_SHARE": 0.3}
    assert deciding.inner_numbers() == {"advice.made_up": [0.77]}
