"""What actions hand out of a unit library: saved units and pages of them, immutable and without rows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from webapp.library.parsing import read_unit, unit_data
from webapp.library.queries import NewUnit, UnitRecord
from webapp.library.unit import Unit, name_key

PAGE_SIZE: Final = 25


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedUnit:
    """A unit of the library. `version` is what an editor has to hand back."""

    unit_id: int
    version: int
    unit: Unit
    created_at: datetime
    changed_at: datetime
    retired: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitPage:
    """One page of the list: its units, its number from 1, and how many there are in all."""

    units: tuple[SavedUnit, ...]
    number: int
    total: int

    @property
    def pages(self) -> int:
        """How many pages there are, 1 for an empty list."""
        return max(1, math.ceil(self.total / PAGE_SIZE))


def saved_unit(row: UnitRecord) -> SavedUnit:
    """Return the view of a stored unit."""
    return SavedUnit(
        unit_id=row.unit_id,
        version=row.version,
        unit=read_unit(row.document),
        created_at=row.created_at,
        changed_at=row.changed_at,
        retired=row.retired_at is not None,
    )


def new_unit(unit: Unit) -> NewUnit:
    """Return a unit as it is stored."""
    return NewUnit(kind=unit.kind, name=unit.name, name_key=name_key(unit.name), document=unit_data(unit))
