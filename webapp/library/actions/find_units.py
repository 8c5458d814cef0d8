"""Looks into a shop's unit library."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from webapp.ground.action_errors import NotFoundError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.library import queries as unit_queries
from webapp.library.saved_unit import PAGE_SIZE, SavedUnit, UnitPage, saved_unit
from webapp.library.unit import Kind, Unit, name_key

#: Names offered beside the box of the setup form; a longer library is still found by typing the name.
MOST_NAMES: Final = 1_000
_ROWS_AT_ONCE: Final = 500
_KINDS: Final[tuple[Kind, ...]] = ("fork", "shock")


def list_units(shop_id: int, text: str = "", number: int = 1, *, retired: bool = False) -> UnitPage:
    """Return one page of a shop's units by name, those whose name holds `text`; a page beyond the last is the last."""
    key = name_key(text)
    with database.read() as connection:
        total = unit_queries.count_units(connection, shop_id, text_key=key, retired=retired)
        last = max(1, -(-total // PAGE_SIZE))
        shown = min(max(number, 1), last)
        rows = unit_queries.units(
            connection, shop_id, text_key=key, retired=retired, start=(shown - 1) * PAGE_SIZE, limit=PAGE_SIZE
        )
    return UnitPage(units=tuple(saved_unit(row) for row in rows), number=shown, total=total)


def find_unit(shop_id: int, unit_id: int) -> SavedUnit:
    """Return a unit of a shop, also a retired one.

    Raises
    ------
    NotFoundError
        When the shop has no such unit, be it that there is none or that it is another shop's.
    """
    with database.read() as connection:
        # SQLite takes 64-bit numbers only; a longer one is just another unit that does not exist.
        row = unit_queries.unit_by_id(connection, shop_id, unit_id) if unit_id < 2**31 else None
    if row is None:
        raise NotFoundError(_("This shop has no such unit. Look for it in the library."))
    return saved_unit(row)


def find_unit_by_name(shop_id: int, kind: Kind, name: str) -> Unit | None:
    """Return the unit in use that has this name, case and spaces aside; None when there is none of that kind."""
    with database.read() as connection:
        row = unit_queries.unit_by_name(connection, shop_id, name_key(name))
    if row is None or row.kind != kind or row.retired_at is not None:
        return None
    return saved_unit(row).unit


def list_unit_names(shop_id: int, kind: Kind) -> tuple[str, ...]:
    """Return the names of a shop's units of one kind that are in use."""
    with database.read() as connection:
        return unit_queries.unit_names(connection, shop_id, kind, MOST_NAMES)


def offered_units(shop_id: int) -> dict[Kind, tuple[str, ...]]:
    """Return the names of the units in use by kind, for the boxes of a setup form."""
    return {kind: list_unit_names(shop_id, kind) for kind in _KINDS}


def export_units(shop_id: int) -> Iterator[Unit]:
    """Yield every unit of a shop that is in use, by name."""
    with database.read() as connection:
        start = 0
        while rows := unit_queries.units(connection, shop_id, start=start, limit=_ROWS_AT_ONCE):
            yield from (saved_unit(row).unit for row in rows)
            start += _ROWS_AT_ONCE
