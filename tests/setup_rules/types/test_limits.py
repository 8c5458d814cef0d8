"""The limits and constants themselves: sound ranges, reasons, sources."""

from __future__ import annotations

import dataclasses
import math

import pytest

from setup_rules.types import constants
from setup_rules.types.limits import CORRECTION_LIMITS, LIMITS, USUAL_SAG_PERCENT, limit_of
from setup_rules.types.request import BROUGHT_BY_BIKE, Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.units import UNITS


@pytest.mark.parametrize("name", [*LIMITS, *CORRECTION_LIMITS])
def test_a_limit_holds_its_ends_and_nothing_that_is_no_number(name: str) -> None:
    limit = limit_of(name)
    assert limit.low < limit.high
    assert limit.holds(limit.low)
    assert limit.holds(limit.high)
    assert not limit.holds(math.nan)
    assert not limit.holds(math.inf)
    assert limit.kind in UNITS
    assert str(limit.label)
    assert str(limit.reason).endswith(".")


def test_every_number_of_a_request_has_a_limit() -> None:
    not_numbers = {"riding_style", "stance", "bench", "ride", "front", "rear", "negative_spring"} | {
        "negative_size",
        "datum",
        "spring",
    }
    tables = {
        "leverage_table",
        "chart",
        "chart_weight",
        "rebound_points",
        "spring_test",
        "weighed_stance",
        "shop_checks",
    }
    names = {f.name for kind in (SetupRequest, Conditions, FrontEnd, RearEnd) for f in dataclasses.fields(kind)}
    assert names - not_numbers - tables - BROUGHT_BY_BIKE <= set(LIMITS)


def test_every_style_asks_for_a_usual_sag() -> None:
    low, high = USUAL_SAG_PERCENT
    for ends in constants.SAG_RANGE.values():
        for spread in ends.values():
            assert low < spread.low < spread.high < high


@pytest.mark.parametrize(
    "value",
    [v for v in vars(constants).values() if isinstance(v, constants.Constant | constants.Spread | constants.Normal)],
)
def test_every_constant_says_its_kind_and_source(value: constants.Constant) -> None:
    assert value.source
    assert value.kind in ("exact", "measured", "agreed practice", "our estimate")
