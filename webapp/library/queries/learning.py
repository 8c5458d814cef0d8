"""Statements about what bikes and setups taught of a library's forks and shocks; each names the shop or the unit."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final

from sqlalchemy import Connection, insert, select, update

from setup_rules import SpringMemory
from setup_rules.types.request import EndName
from webapp.ground.database.bike_rows import BikeMemoryRow, BikeRow
from webapp.ground.database.setup_rows import SetupRow
from webapp.ground.database.shop_rows import SuspensionUnitRow, UnitSetupRow
from webapp.library.memory_data import memory_data, read_memory
from webapp.library.suspension_unit import name_key

#: Of the setups that chose one fork or shock so many of the newest are asked; more add next to nothing.
MOST_LESSONS: Final = 500
_LONG_AGO: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Taught:
    """What one specimen taught, and since when it is known here; `fitted` are the values of a bike's spring end."""

    memory: SpringMemory
    since: datetime
    fitted: dict[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class LearningUnit:
    """A fork or shock with the moment from which on lessons count."""

    unit_id: int
    name_key: str
    document: dict[str, Any]
    counts_from: datetime
    forgotten_at: datetime | None


def learning_unit(
    connection: Connection, shop_id: int, *, unit_id: int | None = None, name: str = ""
) -> LearningUnit | None:
    """Return one of a shop's forks and shocks by number or by name, those out of use too."""
    which = SuspensionUnitRow.name_key == name_key(name) if unit_id is None else SuspensionUnitRow.id == unit_id
    row = connection.execute(select(SuspensionUnitRow).where(SuspensionUnitRow.shop_id == shop_id, which)).first()
    if row is None:
        return None
    counts_from = max(row.forgotten_at or _LONG_AGO, row.internals_at or _LONG_AGO)
    return LearningUnit(row.id, row.name_key, row.document, counts_from, row.forgotten_at)


def unit_names(connection: Connection, shop_id: int, code: str) -> dict[EndName, str]:
    """Return the names of a shop's forks and shocks that the setup with this code chose, by end."""
    statement = (
        select(UnitSetupRow.spring_end, SuspensionUnitRow.name)
        .join(SuspensionUnitRow, SuspensionUnitRow.id == UnitSetupRow.unit_id)
        .join(SetupRow, SetupRow.id == UnitSetupRow.setup_id)
        .where(SuspensionUnitRow.shop_id == shop_id, SetupRow.code == code)
    )
    return {row.spring_end: row.name for row in connection.execute(statement)}


def bikes_taught(
    connection: Connection, shop_id: int, unit: LearningUnit, end: EndName, but_bike: int | None
) -> list[Taught]:
    """Return what the shop's other bikes that name the unit remember of that end."""
    statement = (
        select(BikeRow.document, BikeRow.created_at, BikeMemoryRow.memory)
        .join(BikeMemoryRow, BikeMemoryRow.bike_id == BikeRow.id)
        .where(BikeRow.shop_id == shop_id, BikeMemoryRow.spring_end == end, BikeRow.created_at > unit.counts_from)
        .order_by(BikeRow.id)
    )
    if but_bike is not None:
        statement = statement.where(BikeRow.id != but_bike)
    return [
        Taught(read_memory(row.memory), row.created_at, row.document[end])
        for row in connection.execute(statement)
        if end in row.document and name_key(row.document.get("units", {}).get(end, "")) == unit.name_key
    ]


def setups_taught(connection: Connection, unit: LearningUnit, end: EndName) -> list[Taught]:
    """Return what setups that chose the unit taught of it, the newest first."""
    own = (UnitSetupRow.unit_id == unit.unit_id, UnitSetupRow.spring_end == end, UnitSetupRow.lesson.is_not(None))
    statement = (
        select(UnitSetupRow.created_at, UnitSetupRow.lesson)
        .where(*own, UnitSetupRow.created_at > unit.counts_from)
        .order_by(UnitSetupRow.created_at.desc())
    )
    rows = connection.execute(statement.limit(MOST_LESSONS))
    return [Taught(read_memory(row.lesson), row.created_at) for row in rows if row.lesson is not None]


def tie_setup(connection: Connection, code: str, end: EndName, unit_id: int, now: datetime) -> None:
    """Note which unit a setup chose; a setup that is tied stays as it is."""
    setup_id = connection.execute(select(SetupRow.id).where(SetupRow.code == code)).scalar_one()
    if end not in ends_tied(connection, setup_id):
        values = {"setup_id": setup_id, "spring_end": end, "unit_id": unit_id, "created_at": now}
        connection.execute(insert(UnitSetupRow).values(**values))


def ends_tied(connection: Connection, setup_id: int) -> frozenset[str]:
    """Return at which ends a setup chose a unit of the library."""
    statement = select(UnitSetupRow.spring_end).where(UnitSetupRow.setup_id == setup_id)
    return frozenset(connection.execute(statement).scalars())


def store_lesson(connection: Connection, setup_id: int, end: EndName, lesson: SpringMemory | None) -> None:
    """Replace what a setup's checks taught; None forgets it."""
    own = (UnitSetupRow.setup_id == setup_id, UnitSetupRow.spring_end == end)
    kept = None if lesson is None else memory_data(lesson)
    connection.execute(update(UnitSetupRow).where(*own).values(lesson=kept))


def set_forgotten(connection: Connection, shop_id: int, unit_id: int, moment: datetime | None) -> None:
    """Let go of what was taught before a moment, or let it count again (None)."""
    own = (SuspensionUnitRow.shop_id == shop_id, SuspensionUnitRow.id == unit_id)
    connection.execute(update(SuspensionUnitRow).where(*own).values(forgotten_at=moment))


def set_internals_changed(connection: Connection, shop_id: int, unit_id: int, moment: datetime) -> None:
    """Note when the unit's internals became others: what was taught before is of another spring."""
    own = (SuspensionUnitRow.shop_id == shop_id, SuspensionUnitRow.id == unit_id)
    connection.execute(update(SuspensionUnitRow).where(*own).values(internals_at=moment))
