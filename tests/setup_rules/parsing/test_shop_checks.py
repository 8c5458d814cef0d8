"""What a shop's own checks say, as it is stored: every number at its bounds."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules.inference.class_shift import SPRING_CLASSES
from setup_rules.messages.message import Message
from setup_rules.parsing.shop_checks import read_shop_checks
from setup_rules.types.errors import Problem
from setup_rules.types.request import ShopChecks

RIGHT: dict[str, Any] = {"spring_class": min(SPRING_CLASSES), "checks": 12, "factor": 1.05, "factor_sigma": 0.05}


def taken(raw: Any) -> ShopChecks | None:
    """Return what is read; where that is nothing, it was refused with its place."""
    problems: list[Problem] = []
    read = read_shop_checks(raw, "front.shop_checks", problems)
    expected = [] if read else [Problem("front.shop_checks", Message.of("problem.shop_checks"))]
    assert problems == expected
    return read


def test_what_is_right_is_read() -> None:
    assert taken(RIGHT) == ShopChecks(**RIGHT)


@pytest.mark.parametrize(
    "change",
    [
        {"checks": 1},
        {"checks": 1_000_000},
        {"factor_sigma": 0.001},
        {"factor_sigma": 0.5},
        {"factor": 1},
    ],
)
def test_the_last_value_inside_is_taken(change: dict[str, Any]) -> None:
    assert taken({**RIGHT, **change}) == ShopChecks(**{**RIGHT, **change})


@pytest.mark.parametrize(
    "change",
    [
        {"checks": 0},
        {"checks": 1_000_001},
        {"checks": 12.0},
        {"checks": True},
        {"factor": 0.0},
        {"factor": 99.0},
        {"factor": "1"},
        {"factor": True},
        {"factor_sigma": 0.0009},
        {"factor_sigma": 0.51},
        {"factor_sigma": 1.2},
        {"spring_class": "sofa"},
        {"spring_class": 7},
        {"spring_class": ["fork"]},
        {"more": 1},
    ],
)
def test_what_this_tool_never_stores_is_refused(change: dict[str, Any]) -> None:
    assert taken({**RIGHT, **change}) is None


@pytest.mark.parametrize("raw", [None, 7, [], {}, {"spring_class": "sofa"}])
def test_what_is_no_such_object_is_refused(raw: Any) -> None:
    assert taken(raw) is None
