"""What a shop's own checks say of a class, as it is stored with a request: every value inside its bounds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from setup_rules.inference.calibration import FACTOR_RANGE
from setup_rules.inference.class_shift import SPRING_CLASSES
from setup_rules.messages.message import Message
from setup_rules.types.errors import Problem
from setup_rules.types.request import ShopChecks

#: Lowest and highest of each number: how many bikes, the factor on pressure, the spread of its logarithm.
_BOUNDS: Final = {"checks": (1, 1_000_000), "factor": FACTOR_RANGE, "factor_sigma": (0.001, 0.5)}


def read_shop_checks(raw: Any, path: str, problems: list[Problem]) -> ShopChecks | None:
    """Return what a shop's checks say, None after adding to `problems` that it is not as this tool stores it."""
    if isinstance(raw, Mapping) and set(raw) == {"spring_class", *_BOUNDS} and _is_right(raw):
        numbers = {name: float(raw[name]) for name in ("factor", "factor_sigma")}
        return ShopChecks(spring_class=raw["spring_class"], checks=int(raw["checks"]), **numbers)
    problems.append(Problem(path, Message.of("problem.shop_checks")))
    return None


def _is_right(raw: Mapping[str, Any]) -> bool:
    whole = isinstance(raw["checks"], int)
    named = isinstance(raw["spring_class"], str) and raw["spring_class"] in SPRING_CLASSES
    return whole and named and all(_is_inside(raw[name], *bounds) for name, bounds in _BOUNDS.items())


def _is_inside(value: Any, low: float, high: float) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high
