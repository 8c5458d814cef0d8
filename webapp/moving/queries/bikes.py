"""Statements that read and write a shop's bikes whole, as its file holds them; setups made on them go by their link."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any, Final

from sqlalchemy import Connection, insert, select

from webapp.ground.database.bike_rows import BikeLessonRow, BikeMemoryRow, BikeRow, BikeSetupRow
from webapp.ground.database.setup_rows import SetupRow
from webapp.library.suspension_unit import name_key

_COLUMNS: Final = ("number", "label", "tag", "document", "standing", "version")
_MOMENTS: Final = ("stands_since", "created_at", "changed_at", "retired_at")
#: Tags that one statement asks for: SQLite takes at most 32,766 values, older ones 999.
_AT_ONCE: Final = 500


def _text(moment: datetime | None) -> str | None:
    return None if moment is None else moment.astimezone(UTC).isoformat()


def _moment(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)


def bikes(connection: Connection, shop_id: int, own_setups: Sequence[int]) -> list[dict[str, Any]]:
    """Return a shop's bikes by number, with what they remember and the shop's own setups made on them."""
    statement = select(BikeRow).where(BikeRow.shop_id == shop_id).order_by(BikeRow.number_key)
    return [_bike(connection, row, set(own_setups)) for row in connection.execute(statement)]


def _bike(connection: Connection, row: Any, own_setups: set[int]) -> dict[str, Any]:
    kept = select(BikeMemoryRow).where(BikeMemoryRow.bike_id == row.id).order_by(BikeMemoryRow.spring_end)
    made = (
        select(BikeSetupRow.setup_id, BikeSetupRow.created_at, SetupRow.code)
        .join(SetupRow, SetupRow.id == BikeSetupRow.setup_id)
        .where(BikeSetupRow.bike_id == row.id)
        .order_by(BikeSetupRow.setup_id)
    )
    setups = [one for one in connection.execute(made) if one.setup_id in own_setups]
    codes = {one.setup_id: one.code for one in setups}
    taught = (
        select(BikeLessonRow)
        .join(BikeSetupRow, BikeSetupRow.setup_id == BikeLessonRow.setup_id)
        .where(BikeSetupRow.bike_id == row.id)
        .order_by(BikeLessonRow.setup_id, BikeLessonRow.spring_end)
    )
    return {
        **{name: getattr(row, name) for name in _COLUMNS},
        **{name: _text(getattr(row, name)) for name in _MOMENTS},
        "memories": [
            {"spring_end": one.spring_end, "memory": one.memory, "era": one.era, "kept": one.kept}
            for one in connection.execute(kept)
        ],
        "setups": [{"setup_code": one.code, "created_at": _text(one.created_at)} for one in setups],
        "lessons": [
            {
                "setup_code": codes[one.setup_id],
                "spring_end": one.spring_end,
                "lesson": one.lesson,
                "era": one.era,
                "kept": one.kept,
            }
            for one in connection.execute(taught)
            if one.setup_id in codes
        ],
    }


def taken_tags(connection: Connection, tags: Sequence[str]) -> set[str]:
    """Return which of these tags a bike here has."""
    found: set[str] = set()
    for start in range(0, len(tags), _AT_ONCE):
        part = tags[start : start + _AT_ONCE]
        found |= set(connection.execute(select(BikeRow.tag).where(BikeRow.tag.in_(part))).scalars())
    return found


def insert_bike(connection: Connection, shop_id: int, data: Mapping[str, Any], setup_ids: Mapping[str, int]) -> None:
    """Store a bike with its memories. Of a setup that was left out, or is tied, the lesson is in the memory alone."""
    values = {name: data[name] for name in _COLUMNS} | {name: _moment(data[name]) for name in _MOMENTS}
    number_key = name_key(data["number"])[:80]
    key = connection.execute(insert(BikeRow).values(shop_id=shop_id, number_key=number_key, **values))
    if key.inserted_primary_key is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new bike no number.")
    bike_id = int(key.inserted_primary_key[0])
    for one in data["memories"]:
        connection.execute(insert(BikeMemoryRow).values(bike_id=bike_id, **one))
    tied = set()
    for one in data["setups"]:
        setup_id = setup_ids.get(one["setup_code"])
        free = select(BikeSetupRow.setup_id).where(BikeSetupRow.setup_id == setup_id)
        if setup_id is not None and connection.execute(free).first() is None:
            made = {"setup_id": setup_id, "bike_id": bike_id, "created_at": _moment(one["created_at"])}
            connection.execute(insert(BikeSetupRow).values(**made))
            tied.add(one["setup_code"])
    for one in data["lessons"]:
        if one["setup_code"] in tied:
            told = {name: one[name] for name in ("spring_end", "lesson", "era", "kept")}
            connection.execute(insert(BikeLessonRow).values(setup_id=setup_ids[one["setup_code"]], **told))
