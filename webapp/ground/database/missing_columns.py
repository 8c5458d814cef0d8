"""Which columns the code needs and the tables do not have, whatever version the database says that it is at."""

from __future__ import annotations

from sqlalchemy import Connection, inspect

from webapp.ground.database.tables import metadata


def missing_columns(connection: Connection) -> tuple[str, ...]:
    """Return the names, `table.column`, in order; none where the tables have all that is mapped."""
    found = inspect(connection).get_multi_columns(filter_names=list(metadata.tables))
    there = {(name, column["name"]) for (_schema, name), columns in found.items() for column in columns}
    wanted = ((table.name, column.name) for table in metadata.sorted_tables for column in table.columns)
    return tuple(f"{table}.{column}" for table, column in wanted if (table, column) not in there)
