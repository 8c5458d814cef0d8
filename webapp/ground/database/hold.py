"""Holds a row that is read in order to be changed, where a database has more than one writer at a time."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, select, text


def hold(connection: Connection, column: Any, value: Any) -> None:
    """Keep other writers off the rows where `column` is `value` until this transaction ends.

    A statement of its own, so that the next one sees what the writer before left. SQLite's one writer holds all.
    """
    if connection.dialect.name != "sqlite":
        connection.execute(select(column).where(column == value).with_for_update())


def hold_new_shops(connection: Connection) -> None:
    """Keep other writers off all rows of shops until this transaction ends: for a shop that must not be there yet.

    Who reads goes on reading. SQLite's one writer holds all.
    """
    if connection.dialect.name != "sqlite":
        connection.execute(text("LOCK TABLE shop IN SHARE ROW EXCLUSIVE MODE"))
