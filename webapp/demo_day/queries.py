"""Statements about a shop's bikes, their memories, and the setups made on them; each names the shop or the bike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Connection, Row, delete, func, insert, select, update

from setup_rules import SpringMemory
from setup_rules.types.request import EndName
from webapp.demo_day.bike import Bike, EndStanding
from webapp.ground.database.bike_rows import BikeLessonRow, BikeMemoryRow, BikeRow, BikeSetupRow
from webapp.ground.database.hold import hold
from webapp.ground.database.setup_rows import SetupRow
from webapp.ground.hashes import RepeatKey
from webapp.library.memory_data import memory_data, read_memory

_BIKE: Final = select(BikeRow)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldMemory:
    """A memory or a lesson with the era and the share that it stands at."""

    memory: SpringMemory
    era: int = 1
    kept: float = 1.0


def insert_bike(connection: Connection, values: Mapping[str, Any], key: RepeatKey | None) -> int:
    """Store a new bike and return its number of row; a number that is taken breaks the table's constraint."""
    repeat = {"creation_key": key and key.key_hash, "creation_fingerprint": key and key.fingerprint}
    found = connection.execute(insert(BikeRow).values(**values, **repeat)).inserted_primary_key
    if found is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new bike no number.")
    return int(found[0])


def bike_by_id(connection: Connection, shop_id: int, bike_id: int) -> Bike | None:
    """Return a bike of a shop that is in use, or None."""
    own = (BikeRow.shop_id == shop_id, BikeRow.id == bike_id, BikeRow.retired_at.is_(None))
    row = connection.execute(_BIKE.where(*own)).first()
    return None if row is None else _bike(connection, row)


def bike_by_number(connection: Connection, shop_id: int, number_key: str) -> Bike | None:
    """Return the bike of a shop that has this number and is in use, or None."""
    own = (BikeRow.shop_id == shop_id, BikeRow.number_key == number_key, BikeRow.retired_at.is_(None))
    row = connection.execute(_BIKE.where(*own)).first()
    return None if row is None else _bike(connection, row)


def bike_by_shops_tag(connection: Connection, shop_id: int, tag: str) -> Bike | None:
    """Return the bike of a shop that has this tag and is in use, or None."""
    own = (BikeRow.tag == tag, BikeRow.shop_id == shop_id, BikeRow.retired_at.is_(None))
    row = connection.execute(_BIKE.where(*own)).first()
    return None if row is None else _bike(connection, row)


def bikes_after(connection: Connection, shop_id: int, after: int, limit: int) -> tuple[Bike, ...]:
    """Return a shop's bikes in use whose row comes after `after`, in the order of their rows."""
    own = (BikeRow.shop_id == shop_id, BikeRow.id > after, BikeRow.retired_at.is_(None))
    rows = connection.execute(_BIKE.where(*own).order_by(BikeRow.id).limit(limit)).all()
    return tuple(_bike(connection, row) for row in rows)


def created_under(connection: Connection, key_hash: str) -> tuple[int, str | None] | None:
    """Return (row, fingerprint) of the bike that was made under a key, or None."""
    statement = select(BikeRow.id, BikeRow.creation_fingerprint).where(BikeRow.creation_key == key_hash)
    row = connection.execute(statement).first()
    return None if row is None else (row.id, row.creation_fingerprint)


def number_taken(connection: Connection, shop_id: int, number_key: str) -> bool:
    """Return whether a shop has a bike with this number already, in use or not."""
    statement = select(BikeRow.id).where(BikeRow.shop_id == shop_id, BikeRow.number_key == number_key)
    return connection.execute(statement).first() is not None


def count_bikes(connection: Connection, shop_id: int) -> int:
    """Return how many bikes a shop has, in use or not."""
    statement = select(func.count()).select_from(BikeRow).where(BikeRow.shop_id == shop_id)
    return int(connection.execute(statement).scalar_one())


def hold_bike(connection: Connection, bike_id: int) -> None:
    """Keep other writers off a bike until the transaction ends."""
    hold(connection, BikeRow.id, bike_id)


def update_bike(connection: Connection, shop_id: int, bike_id: int, values: Mapping[str, Any]) -> None:
    """Change a bike of a shop and count the change."""
    changed = {**values, "version": BikeRow.version + 1}
    own = (BikeRow.shop_id == shop_id, BikeRow.id == bike_id)
    connection.execute(update(BikeRow).where(*own).values(**changed))


def _bike(connection: Connection, row: Row[Any]) -> Bike:
    kept = select(BikeMemoryRow).where(BikeMemoryRow.bike_id == row.id)
    return Bike(
        bike_id=row.id,
        shop_id=row.shop_id,
        number=row.number,
        label=row.label,
        tag=row.tag,
        document=row.document,
        standing={end: EndStanding(**row.standing[end]) for end in row.standing},
        stands_since=row.stands_since,
        memories={one.spring_end: read_memory(one.memory) for one in connection.execute(kept)},
        version=row.version,
    )


def memory_of(connection: Connection, bike_id: int, end: EndName) -> HeldMemory:
    """Return what a bike remembers of one spring; nothing where no check was taken."""
    own = (BikeMemoryRow.bike_id == bike_id, BikeMemoryRow.spring_end == end)
    row = connection.execute(select(BikeMemoryRow).where(*own)).first()
    if row is None:
        return HeldMemory(memory=SpringMemory.nothing())
    return HeldMemory(memory=read_memory(row.memory), era=row.era, kept=row.kept)


def store_memory(connection: Connection, bike_id: int, end: EndName, held: HeldMemory) -> None:
    """Replace what a bike remembers of one spring."""
    own = (BikeMemoryRow.bike_id == bike_id, BikeMemoryRow.spring_end == end)
    values = {"memory": memory_data(held.memory), "era": held.era, "kept": held.kept}
    if not connection.execute(update(BikeMemoryRow).where(*own).values(**values)).rowcount:
        connection.execute(insert(BikeMemoryRow).values(bike_id=bike_id, spring_end=end, **values))


def tie_setup(connection: Connection, bike_id: int, code: str, now: datetime) -> int | None:
    """Note on which bike a setup was made and return the setup's row; one that is tied stays as it is: None."""
    setup_id = int(connection.execute(select(SetupRow.id).where(SetupRow.code == code)).scalar_one())
    if bike_of_setup(connection, setup_id) is not None:
        return None
    connection.execute(insert(BikeSetupRow).values(setup_id=setup_id, bike_id=bike_id, created_at=now))
    return setup_id


def bike_of_setup(connection: Connection, setup_id: int) -> int | None:
    """Return the row of the bike that a setup was made on, or None."""
    return connection.execute(select(BikeSetupRow.bike_id).where(BikeSetupRow.setup_id == setup_id)).scalar()


def bike_of_code(connection: Connection, code: str) -> int | None:
    """Return the row of the bike that the setup with this code was made on, or None."""
    statement = select(BikeSetupRow.bike_id).join(SetupRow, SetupRow.id == BikeSetupRow.setup_id)
    return connection.execute(statement.where(SetupRow.code == code)).scalar()


def lesson_held(connection: Connection, setup_id: int, end: EndName) -> HeldMemory | None:
    """Return what a setup's checks have taught so far, or None."""
    own = (BikeLessonRow.setup_id == setup_id, BikeLessonRow.spring_end == end)
    row = connection.execute(select(BikeLessonRow).where(*own)).first()
    return None if row is None else HeldMemory(memory=read_memory(row.lesson), era=row.era, kept=row.kept)


def store_lesson(connection: Connection, setup_id: int, end: EndName, held: HeldMemory | None) -> None:
    """Replace what a setup's checks have taught; None forgets it."""
    own = (BikeLessonRow.setup_id == setup_id, BikeLessonRow.spring_end == end)
    connection.execute(delete(BikeLessonRow).where(*own))
    if held is not None:
        values = {"lesson": memory_data(held.memory), "era": held.era, "kept": held.kept}
        connection.execute(insert(BikeLessonRow).values(setup_id=setup_id, spring_end=end, **values))
