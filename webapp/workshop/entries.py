"""What forms hand to the actions: a bike as received, and a fork or shock with its final settings."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """A bike as it comes in. `setup_code` is that of its saved setup, where it has one."""

    bike_label: str
    unit_label: str = ""
    customer_reference: str = ""
    spring_end: str = "front"
    setup_code: str | None = None
    as_found: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A unit as it leaves: what was measured, and when it is due again."""

    values: dict[str, Any]
    next_due_on: date | None = None
    next_due_hours: int | None = None
