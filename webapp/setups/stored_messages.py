"""The values of a message as plain data and back: numbers and texts as they are, a message within it as a mapping."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from setup_rules.messages.message import Message, Value


def values_data(values: Mapping[str, Value]) -> dict[str, Any]:
    """Return a message's values as plain data that `values_from_data` takes back unchanged.

    Examples
    --------
    >>> values_data({"number": 2, "label": Message.of("label.sag_mm")})
    {'number': 2, 'label': {'key': 'label.sag_mm', 'values': {}}}
    """
    return {name: _plain(value) for name, value in values.items()}


def values_from_data(data: Mapping[str, Any]) -> dict[str, Value]:
    """Return the values that `values_data` was given.

    Raises
    ------
    KeyError, TypeError
        When the data is no such values.
    """
    return {name: _read(value) for name, value in data.items()}


def _plain(value: Value) -> Any:
    return {"key": value.key, "values": values_data(value.values)} if isinstance(value, Message) else value


def _read(value: Any) -> Value:
    return Message(value["key"], values_from_data(value["values"])) if isinstance(value, Mapping) else value
