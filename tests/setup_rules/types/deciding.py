"""Which numbers of the rules are decisions, and how they stand in a module: read for `test_decisions`."""

from __future__ import annotations

import ast
import importlib
import pkgutil
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from types import ModuleType
from typing import Any

import setup_rules
from setup_rules.types.constants import Constant, Normal, Spread
from setup_rules.types.limits import Limit

ROOMS = ("types", "physics", "inference", "advice", "workshop", "messages")
#: Numbers inside a function that are arithmetic rather than a decision: halves, squares, metres and millimetres.
ARITHMETIC = {0, 1, 2, 0.5, 4, 12, 100, 1000, 1e-6}
#: Follow from others, or are indices: named here so that nobody has to wonder.
DERIVED = {
    "types.units.PSI_PA",
    "types.units.LBF_PER_IN_N_PER_M",
    "advice.coil_setup._NO_AIR",
    "physics.air_spring.FORK",
    "inference.size_class.COLUMN",
    "inference.start_setting._SHARES",
}


def modules() -> Iterator[tuple[str, ModuleType, ast.Module]]:
    """Yield every module of the rules that can hold a decision: short name, itself, its tree."""
    for found in pkgutil.walk_packages(setup_rules.__path__, "setup_rules."):
        short = found.name.removeprefix("setup_rules.")
        if short.split(".")[0] in ROOMS and not found.ispkg and not short.startswith("messages.catalogue"):
            module = importlib.import_module(found.name)
            with open(str(module.__file__), encoding="utf-8") as file:
                yield short, module, ast.parse(file.read())


def plain(value: Any) -> Any:
    """Return a value without its prose: numbers, units and names only."""
    if isinstance(value, Constant):
        return value.value, value.unit
    if isinstance(value, Spread):
        return value.low, value.high, value.unit
    if isinstance(value, Normal):
        return value.mean, value.sigma, value.unit
    if isinstance(value, Limit):
        return value.low, value.high, value.unit, value.whole
    if is_dataclass(value):
        return tuple(plain(getattr(value, field.name)) for field in fields(value))
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    return tuple(plain(inner) for inner in value) if isinstance(value, tuple | list) else value


def has_number(value: Any) -> bool:
    """Return whether there is a number anywhere in a plain value."""
    if isinstance(value, dict):
        return any(has_number(inner) for inner in (*value, *value.values()))
    if isinstance(value, tuple):
        return any(has_number(inner) for inner in value)
    return isinstance(value, int | float) and not isinstance(value, bool)


def named_numbers() -> dict[str, Any]:
    """Return every number, or table with a number in it, that a module of the rules names at its top."""
    found = {}
    for short, module, tree in modules():
        for node in tree.body:
            targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
            names = [target.id for target in targets if isinstance(target, ast.Name)]
            found |= {f"{short}.{name}": plain(getattr(module, name)) for name in names}
    return {name: value for name, value in found.items() if has_number(value) and name not in DERIVED}


def inner_numbers() -> dict[str, list[float]]:
    """Return the numbers written inside functions and classes, of every module that has some beyond arithmetic."""
    found = {}
    for short, _, tree in modules():
        inside = [
            node for top in tree.body if isinstance(top, ast.FunctionDef | ast.ClassDef) for node in ast.walk(top)
        ]
        numbers = [
            node.value
            for node in inside
            if isinstance(node, ast.Constant) and isinstance(node.value, int | float) and node.value not in ARITHMETIC
        ]
        if numbers:
            found[short] = sorted(float(number) for number in numbers)
    return found
