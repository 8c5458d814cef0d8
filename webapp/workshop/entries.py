"""What forms hand to the actions: a bike as received, and a fork or shock with its final settings."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from setup_rules.workshop.checklist import Step
from webapp.ground.hashes import hash_plain_data


def version_of(part: Any) -> str:
    """Return what a form of one part of a record hands back, so that a change by someone else is noticed."""
    return hash_plain_data(part)[:12]


def step_part(step: Step) -> dict[str, Any]:
    """Return of a step what people change, as one part with a version: its state, and what was entered."""
    return {"state": step.state, "values": step.values}


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """A bike as it comes in. `setup_code` is that of its saved setup, where it has one."""

    bike_label: str
    unit_label: str = ""
    customer_reference: str = ""
    spring_end: str = "front"
    setup_code: str | None = None
    unit: dict[str, Any] | None = None
    service_kind: str | None = None
    visit_code: str | None = None
    as_found: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Details:
    """Which bike and which fork or shock: what can be corrected later. `unit` is the library's entry of that name."""

    bike_label: str
    unit_label: str = ""
    customer_reference: str = ""
    spring_end: str = "front"
    unit: dict[str, Any] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A unit as it leaves: what was measured, and when it is due again."""

    values: dict[str, Any]
    next_due_on: date | None = None
    next_due_hours: int | None = None


@dataclass(frozen=True, slots=True)
class SheetEntry:
    """One part of the sheet to save: "found", "left" or a step's key; the version it was filled from; what to save.

    `content` is the values as found, a `Left`, or a step's state and values.
    """

    section: str
    seen: str
    content: Any
