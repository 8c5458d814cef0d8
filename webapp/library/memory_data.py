"""A memory of a spring as it is stored, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from setup_rules import SpringMemory


def read_memory(data: Mapping[str, Any]) -> SpringMemory:
    """Return a stored memory (raises `ValueError`, `KeyError` or `TypeError` where the data is none)."""
    return SpringMemory(
        riders=int(data["riders"]),
        shift=tuple(float(value) for value in data["shift"]),
        precision=tuple(float(value) for value in data["precision"]),
    )


def memory_data(memory: SpringMemory) -> dict[str, Any]:
    """Return a memory as it is stored."""
    data = asdict(memory)
    return {**data, "shift": list(memory.shift), "precision": list(memory.precision)}
