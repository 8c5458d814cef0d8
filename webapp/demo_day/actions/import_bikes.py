"""Takes in a list of bikes: all of it, or nothing and every problem by its line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from setup_rules import RequestError
from webapp.accounts.queries import hold_shop
from webapp.demo_day.actions.confirm_standing import read_typed, standing_data
from webapp.demo_day.actions.create_bike import MOST_BIKES, new_values
from webapp.demo_day.bike import ENDS, Bike, NewBike
from webapp.demo_day.bike_columns import BikeRow, column_of
from webapp.demo_day.parsing import read_bike
from webapp.demo_day.queries import bikes as queries
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.fields.csv_table import LineProblem
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say
from webapp.library.actions.find_suspension_units import find_suspension_unit_by_name
from webapp.library.suspension_unit import Kind, SuspensionUnit, name_key


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """A row that can be stored: the columns of its bike."""

    line: int
    key: str
    number: str
    values: dict[str, Any]


def import_bikes(shop_id: int, rows: Sequence[BikeRow]) -> tuple[LineProblem, ...]:
    """Store the bikes of all rows and return nothing, or store nothing and return every problem."""
    known: dict[tuple[Kind, str], SuspensionUnit | None] = {}

    def find_unit(kind: Kind, name: str) -> SuspensionUnit | None:
        if (kind, name) not in known:
            known[kind, name] = find_suspension_unit_by_name(shop_id, kind, name)
        return known[kind, name]

    problems, read = list[LineProblem](), list[_Read]()
    for row in rows:
        wrong, one = _read_row(shop_id, row, find_unit)
        problems += wrong
        read += [] if one is None else [one]
    problems += _doubles(rows)
    with database.write() as connection:
        hold_shop(connection, shop_id)  # of two files with the same numbers, the second finds them there
        problems += _taken(connection, shop_id, rows)
        if not problems:
            for one in read:
                queries.insert_bike(connection, one.values, None)
    return tuple(problems)


def _read_row(shop_id: int, row: BikeRow, find_unit: Any) -> tuple[list[LineProblem], _Read | None]:
    """Return what is wrong with a row, and where nothing is, the bike to store."""
    problems = list(row.problems)
    try:
        new = read_bike(row.data, find_unit)
        values = new_values(shop_id, new)
        if row.standing:
            values |= _standing_values(values, new, row.standing)
    except RequestError as error:
        # An end whose only cell could not be read is not missing as well.
        told = [one for one in error.problems if not (row.problems and one.field in ENDS)]
        return problems + [LineProblem(row.line, f"{column_of(one.field)}: {say(one.said)}") for one in told], None
    key = values["number_key"]
    return problems, None if problems else _Read(line=row.line, key=key, number=new.number, values=values)


def _standing_values(values: dict[str, Any], new: NewBike, standing: Any) -> dict[str, Any]:
    """Return the columns for what is set on a new bike (raises `RequestError`, also above a maximum pressure)."""
    bike = Bike(
        bike_id=0,
        shop_id=values["shop_id"],
        number=new.number,
        label=new.label,
        tag=values["tag"],
        document=values["document"],
        standing={},
        stands_since=None,
        memories={},
        version=1,
    )
    try:
        read = read_typed(bike, standing)
    except RequestError as error:
        raise RequestError(tuple(_in_standing(one) for one in error.problems)) from error
    return {"standing": standing_data(read), "stands_since": datetime.now(UTC)}


def _in_standing(problem: Any) -> Any:
    return type(problem)(f"standing.{problem.field}", problem.said)


def _doubles(rows: Sequence[BikeRow]) -> Iterator[LineProblem]:
    """Yield every number that the file has twice, by both lines."""
    seen: dict[str, int] = {}
    for row in rows:
        number = str(row.data.get("number", ""))
        key = name_key(number)[:80]
        if key and key in seen:
            told = _("Number %(number)s is also in line %(first)d.", number=number, first=seen[key])
            yield LineProblem(row.line, told)
        seen.setdefault(key, row.line)


def _taken(connection: Connection, shop_id: int, rows: Sequence[BikeRow]) -> Iterator[LineProblem]:
    """Yield every number that the shop has already, and whether it would have too many."""
    taken = queries.numbers_taken(connection, shop_id)
    for row in rows:
        number = str(row.data.get("number", ""))
        if (archived := taken.get(name_key(number)[:80])) is not None and number:
            there = _("The shop has a bike with the number %(number)s already.", number=number)
            yield LineProblem(row.line, there + (" " + _("It is archived.") if archived else ""))
    if rows and len(taken) + len(rows) > MOST_BIKES:
        yield LineProblem(rows[0].line, _("A shop keeps at most %(n)d bikes.", n=MOST_BIKES))
