"""What is asked, learned and answered is fixed once made: nothing changes it on the way, or adds a field to it."""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil

import pytest

import setup_rules

MODULES = [importlib.import_module(one.name) for one in pkgutil.walk_packages(setup_rules.__path__, "setup_rules.")]
CLASSES = [
    one for module in MODULES for one in vars(module).values() if getattr(one, "__module__", "") == module.__name__
]
VALUES = sorted({one for one in CLASSES if isinstance(one, type) and dataclasses.is_dataclass(one)}, key=repr)


def test_there_are_values_in_every_room_that_works_anything_out() -> None:
    rooms = {value.__module__.split(".")[1] for value in VALUES}
    assert {"advice", "inference", "messages", "physics", "types", "workshop"} <= rooms


@pytest.mark.parametrize("value", VALUES, ids=lambda value: f"{value.__module__}.{value.__name__}")
def test_a_value_is_fixed_and_has_only_its_own_fields(value: type) -> None:
    made = object.__new__(value)
    with pytest.raises(dataclasses.FrozenInstanceError):
        setattr(made, dataclasses.fields(value)[0].name, 1)
    assert not hasattr(made, "__dict__")


@pytest.mark.parametrize("value", VALUES, ids=lambda value: f"{value.__module__}.{value.__name__}")
def test_values_are_compared_by_what_they_hold(value: type) -> None:
    assert "__eq__" in vars(value)


@pytest.mark.parametrize(
    "value",
    [one for one in VALUES if one.__module__ in ("setup_rules.types.request", "setup_rules.types.result")],
    ids=lambda value: value.__name__,
)
def test_what_is_asked_and_answered_is_named_and_never_counted_off(value: type) -> None:
    named = [field.kw_only for field in dataclasses.fields(value)]
    assert all(named) == (value.__name__ != "Note")
