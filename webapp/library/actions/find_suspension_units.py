"""Looks into a shop's suspension unit library."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from setup_rules.types.request import EndName
from webapp.ground.action_errors import NotFoundError
from webapp.ground.database.engine import database
from webapp.ground.text.free_text import search_text
from webapp.ground.text.i18n import gettext as _
from webapp.library.queries import learning as learning_queries
from webapp.library.queries import units as library_queries
from webapp.library.saved_suspension_unit import (
    PAGE_SIZE,
    SavedSuspensionUnit,
    SuspensionUnitPage,
    saved_suspension_unit,
)
from webapp.library.suspension_unit import Kind, SuspensionUnit, name_key

#: Names offered beside the box of the setup form; a longer library is still found by typing the name.
MOST_NAMES: Final = 1_000
_ROWS_AT_ONCE: Final = 500
_KINDS: Final[tuple[Kind, ...]] = ("fork", "shock")


def list_suspension_units(
    shop_id: int, text: str = "", number: int = 1, *, retired: bool = False
) -> SuspensionUnitPage:
    """Return one page of the library by name, those whose name holds `text`; a page beyond the last is the last."""
    key = name_key(search_text(text))
    with database.read() as connection:
        total = library_queries.count_suspension_units(connection, shop_id, text_key=key, retired=retired)
        last = max(1, -(-total // PAGE_SIZE))
        shown = min(max(number, 1), last)
        rows = library_queries.suspension_units(
            connection, shop_id, text_key=key, retired=retired, start=(shown - 1) * PAGE_SIZE, limit=PAGE_SIZE
        )
    return SuspensionUnitPage(
        suspension_units=tuple(saved_suspension_unit(row) for row in rows), number=shown, total=total
    )


def find_suspension_unit(shop_id: int, suspension_unit_id: int) -> SavedSuspensionUnit:
    """Return a suspension unit of a shop, also a retired one.

    Raises
    ------
    NotFoundError
        When the shop has no such suspension unit, be it that there is none or that it is another shop's.
    """
    with database.read() as connection:
        # SQLite takes 64-bit numbers only; a longer one is just another suspension unit that does not exist.
        row = (
            library_queries.suspension_unit_by_id(connection, shop_id, suspension_unit_id)
            if suspension_unit_id < 2**31
            else None
        )
    if row is None:
        raise NotFoundError(_("This shop has no such fork or shock. Look for it in the list."))
    return saved_suspension_unit(row)


def find_suspension_unit_by_name(shop_id: int, kind: Kind, name: str) -> SuspensionUnit | None:
    """Return the one in use that has this name, case and spaces aside, or the only one whose name begins like that.

    None when there is none of that kind, or when several begin like that.
    """
    key = name_key(search_text(name))
    with database.read() as connection:
        row = library_queries.suspension_unit_by_name(connection, shop_id, key)
        if row is None and key:
            names = library_queries.suspension_unit_names(connection, shop_id, kind, MOST_NAMES)
            begun = [one for one in names if name_key(one).startswith(key)]
            row = library_queries.suspension_unit_by_name(connection, shop_id, name_key(begun[0])) if begun else None
            row = row if len(begun) == 1 else None
    if row is None or row.kind != kind or row.retired_at is not None:
        return None
    return saved_suspension_unit(row).suspension_unit


def list_suspension_unit_names(shop_id: int, kind: Kind) -> tuple[str, ...]:
    """Return the names of a shop's suspension units of one kind that are in use."""
    with database.read() as connection:
        return library_queries.suspension_unit_names(connection, shop_id, kind, MOST_NAMES)


def offered_suspension_units(shop_id: int) -> dict[Kind, tuple[str, ...]]:
    """Return the names of the suspension units in use by kind, for the boxes of a setup form."""
    return {kind: list_suspension_unit_names(shop_id, kind) for kind in _KINDS}


def unit_names_of_setup(shop_id: int, code: str) -> dict[EndName, str]:
    """Return the names of a shop's forks and shocks that a setup chose, by end."""
    with database.read() as connection:
        return learning_queries.unit_names(connection, shop_id, code)


def export_suspension_units(shop_id: int) -> Iterator[SuspensionUnit]:
    """Yield every suspension unit of a shop that is in use, by name."""
    with database.read() as connection:
        start = 0
        while rows := library_queries.suspension_units(connection, shop_id, start=start, limit=_ROWS_AT_ONCE):
            yield from (saved_suspension_unit(row).suspension_unit for row in rows)
            start += _ROWS_AT_ONCE
