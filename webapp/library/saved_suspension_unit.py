"""What services hand out of a suspension unit library: saved entries and pages of them, immutable and without rows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from webapp.library.parsing import read_suspension_unit, suspension_unit_data
from webapp.library.queries.units import NewSuspensionUnit, SuspensionUnitRecord
from webapp.library.suspension_unit import SuspensionUnit, name_key

PAGE_SIZE: Final = 25


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedSuspensionUnit:
    """A suspension unit of the library. `version` is what an editor has to hand back."""

    suspension_unit_id: int
    version: int
    suspension_unit: SuspensionUnit
    created_at: datetime
    changed_at: datetime
    retired: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SuspensionUnitPage:
    """One page of the list: its suspension units, its number from 1, and how many there are in all."""

    suspension_units: tuple[SavedSuspensionUnit, ...]
    number: int
    total: int

    @property
    def pages(self) -> int:
        """How many pages there are, 1 for an empty list."""
        return max(1, math.ceil(self.total / PAGE_SIZE))


def saved_suspension_unit(row: SuspensionUnitRecord) -> SavedSuspensionUnit:
    """Return the view of a stored suspension unit."""
    return SavedSuspensionUnit(
        suspension_unit_id=row.suspension_unit_id,
        version=row.version,
        suspension_unit=read_suspension_unit(row.document),
        created_at=row.created_at,
        changed_at=row.changed_at,
        retired=row.retired_at is not None,
    )


def new_suspension_unit(suspension_unit: SuspensionUnit) -> NewSuspensionUnit:
    """Return a suspension unit as it is stored."""
    return NewSuspensionUnit(
        kind=suspension_unit.kind,
        name=suspension_unit.name,
        name_key=name_key(suspension_unit.name),
        document=suspension_unit_data(suspension_unit),
    )
