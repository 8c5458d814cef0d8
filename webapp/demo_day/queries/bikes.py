"""Statements about a shop's bikes, their memories, and the setups made on them; each names the shop or the bike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, Row, Select, bindparam, delete, func, insert, or_, select, update

from setup_rules import SpringMemory
from setup_rules.types.request import EndName
from webapp.demo_day.bike import FREE, Bike, BikeTurn, EndStanding
from webapp.ground.database.bike_rows import BikeLessonRow, BikeMemoryRow, BikeRow, BikeSetupRow, BikeTurnRow
from webapp.ground.database.hold import hold
from webapp.ground.database.setup_rows import SetupRow
from webapp.ground.database.shop_rows import StaffRow
from webapp.ground.hashes import RepeatKey
from webapp.library.memory_data import memory_data, read_memory

_TURN: Final = (
    BikeTurnRow.state,
    BikeTurnRow.since,
    BikeTurnRow.staff_id,
    BikeTurnRow.reason,
    BikeTurnRow.rider_code,
    BikeTurnRow.has_card,
    StaffRow.login,
)
_BIKE: Final[Select[Any]] = (
    select(*BikeRow.__table__.columns, *_TURN)
    .outerjoin(BikeTurnRow, BikeTurnRow.bike_id == BikeRow.id)
    .outerjoin(StaffRow, StaffRow.id == BikeTurnRow.staff_id)
)
#: What every screen of the crew asks for, put together once: that takes longer than SQLite takes for the answer.
_ANY: Final = _BIKE.where(BikeRow.shop_id == bindparam("shop_id"), BikeRow.id == bindparam("bike_id"))
_BY_ID: Final = _ANY.where(BikeRow.retired_at.is_(None))
_MEMORIES: Final = select(BikeMemoryRow).where(BikeMemoryRow.bike_id == bindparam("bike_id"))
_MEMORY: Final = _MEMORIES.where(BikeMemoryRow.spring_end == bindparam("end"))
_RIDER: Final = select(BikeTurnRow.rider_code).where(BikeTurnRow.bike_id == bindparam("bike_id"))
_SETUP_ROW: Final = select(SetupRow.id).where(SetupRow.code == bindparam("code"))
_BIKE_OF_SETUP: Final = select(BikeSetupRow.bike_id).where(BikeSetupRow.setup_id == bindparam("setup_id"))


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
    row = connection.execute(_BY_ID, {"shop_id": shop_id, "bike_id": bike_id}).first()
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


def bike_of_rider(connection: Connection, shop_id: int, code: str) -> tuple[int, str] | None:
    """Return (row, number) of the bike of a shop that the rider with this setup is on, or None."""
    statement = select(BikeRow.id, BikeRow.number).join(BikeTurnRow, BikeTurnRow.bike_id == BikeRow.id)
    row = connection.execute(statement.where(BikeRow.shop_id == shop_id, BikeTurnRow.rider_code == code)).first()
    return None if row is None else (row.id, row.number)


def rider_of(connection: Connection, bike_id: int) -> str | None:
    """Return the link's code of the setup that a rider has on a bike, or None."""
    return connection.execute(_RIDER, {"bike_id": bike_id}).scalar()


def update_bike(connection: Connection, shop_id: int, bike_id: int, values: Mapping[str, Any]) -> None:
    """Change a bike of a shop and count the change."""
    changed = {**values, "version": BikeRow.version + 1}
    own = (BikeRow.shop_id == shop_id, BikeRow.id == bike_id)
    connection.execute(update(BikeRow).where(*own).values(**changed))


def any_bike(connection: Connection, shop_id: int, bike_id: int) -> Bike | None:
    """Return a bike of a shop, in use or archived, or None."""
    row = connection.execute(_ANY, {"shop_id": shop_id, "bike_id": bike_id}).first()
    return None if row is None else _bike(connection, row)


def bike_by_tag(connection: Connection, tag: str) -> Bike | None:
    """Return the bike in use that carries a tag, of whatever shop, or None."""
    row = connection.execute(_BIKE.where(BikeRow.tag == tag, BikeRow.retired_at.is_(None))).first()
    return None if row is None else _bike(connection, row)


def numbers_taken(connection: Connection, shop_id: int) -> dict[str, bool]:
    """Return the keys of all numbers of a shop, each with whether its bike is archived."""
    statement = select(BikeRow.number_key, BikeRow.retired_at).where(BikeRow.shop_id == shop_id)
    return {row.number_key: row.retired_at is not None for row in connection.execute(statement)}


def _wanted(shop_id: int, text: str, *, retired: bool, free: bool) -> list[ColumnElement[bool]]:
    wanted = [BikeRow.shop_id == shop_id, BikeRow.retired_at.is_not(None) if retired else BikeRow.retired_at.is_(None)]
    if text:
        holds = func.lower(BikeRow.label).contains(text, autoescape=True)
        wanted.append(or_(BikeRow.number_key.contains(text, autoescape=True), holds))
    if free:
        wanted.append(or_(BikeTurnRow.state.is_(None), BikeTurnRow.state.in_(FREE)))
    return wanted


def count_wanted(connection: Connection, shop_id: int, text: str = "", *, retired: bool = False) -> int:
    """Return how many bikes of a shop have `text` (folded to lower case) in number or label."""
    statement = select(func.count()).select_from(BikeRow).where(*_wanted(shop_id, text, retired=retired, free=False))
    return int(connection.execute(statement).scalar_one())


def bikes(
    connection: Connection,
    shop_id: int,
    text: str = "",
    *,
    retired: bool = False,
    free: bool = False,
    start: int = 0,
    limit: int,
) -> tuple[Bike, ...]:
    """Return bikes of a shop by number, 2 before 10; `free` those that a waiting rider can have."""
    order = (func.length(BikeRow.number_key), BikeRow.number_key)
    wanted = _wanted(shop_id, text, retired=retired, free=free)
    rows = connection.execute(_BIKE.where(*wanted).order_by(*order).offset(start).limit(limit)).all()
    kept: dict[int, dict[Any, SpringMemory]] = {}
    memories = select(BikeMemoryRow).where(BikeMemoryRow.bike_id.in_([row.id for row in rows]))
    for one in connection.execute(memories):
        kept.setdefault(one.bike_id, {})[one.spring_end] = read_memory(one.memory)
    return tuple(_bike_of(row, kept.get(row.id, {})) for row in rows)


def store_turn(connection: Connection, bike_id: int, turn: BikeTurn) -> None:
    """Replace a bike's turn."""
    values = {
        "state": turn.state,
        "since": turn.since,
        "staff_id": turn.staff_id,
        "reason": turn.reason,
        "rider_code": turn.rider_code,
        "has_card": turn.has_card,
    }
    if not connection.execute(update(BikeTurnRow).where(BikeTurnRow.bike_id == bike_id).values(**values)).rowcount:
        connection.execute(insert(BikeTurnRow).values(bike_id=bike_id, **values))


def _bike(connection: Connection, row: Row[Any]) -> Bike:
    kept = connection.execute(_MEMORIES, {"bike_id": row.id})
    return _bike_of(row, {one.spring_end: read_memory(one.memory) for one in kept})


def _turn(row: Row[Any]) -> BikeTurn:
    if row.state is None:
        return BikeTurn()
    return BikeTurn(
        state=row.state,
        since=row.since,
        by=row.login or "",
        staff_id=row.staff_id,
        reason=row.reason,
        rider_code=row.rider_code,
        has_card=row.has_card,
    )


def _bike_of(row: Row[Any], memories: Mapping[EndName, SpringMemory]) -> Bike:
    return Bike(
        bike_id=row.id,
        shop_id=row.shop_id,
        number=row.number,
        label=row.label,
        tag=row.tag,
        document=row.document,
        standing={end: EndStanding(**row.standing[end]) for end in row.standing},
        stands_since=row.stands_since,
        memories=memories,
        version=row.version,
        turn=_turn(row),
        retired_at=row.retired_at,
    )


def memory_of(connection: Connection, bike_id: int, end: EndName) -> HeldMemory:
    """Return what a bike remembers of one spring; nothing where no check was taken."""
    row = connection.execute(_MEMORY, {"bike_id": bike_id, "end": end}).first()
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
    setup_id = int(connection.execute(_SETUP_ROW, {"code": code}).scalar_one())
    if bike_of_setup(connection, setup_id) is not None:
        return None
    connection.execute(insert(BikeSetupRow).values(setup_id=setup_id, bike_id=bike_id, created_at=now))
    return setup_id


def bike_of_setup(connection: Connection, setup_id: int) -> int | None:
    """Return the row of the bike that a setup was made on, or None."""
    return connection.execute(_BIKE_OF_SETUP, {"setup_id": setup_id}).scalar()


def shop_and_version(connection: Connection, bike_id: int) -> tuple[int, int]:
    """Return (shop, version) of a bike that is there."""
    row = connection.execute(select(BikeRow.shop_id, BikeRow.version).where(BikeRow.id == bike_id)).one()
    return row.shop_id, row.version


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
