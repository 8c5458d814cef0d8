"""What differs between two requests, as the changes that a what-if takes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def differing(saved: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    """Return the keys of `new` whose values differ from those of `saved`, None for what is no longer there."""
    changes: dict[str, Any] = {}
    for key in (*saved, *(key for key in new if key not in saved)):
        old, value = saved.get(key), new.get(key)
        if old == value:
            continue
        both = isinstance(old, Mapping) and isinstance(value, Mapping) and key != "spring_test"
        changes[key] = differing(old, value) if both else value  # type: ignore[arg-type]  # both are mappings
    return changes
