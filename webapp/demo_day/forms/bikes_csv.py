"""Bikes in a CSV file: one row each, under the columns of `bike_columns`."""

from __future__ import annotations

from typing import Any, Final

from webapp.demo_day.bike_columns import COLUMNS, TEXTS, BikeRow, place_value
from webapp.ground.fields.csv_table import (
    LineProblem,
    TableError,
    read_cells,
    read_columns,
    read_rows,
    surplus_problem,
)
from webapp.ground.fields.plain_number import plain_number
from webapp.ground.text.i18n import gettext as _

#: Bikes that one file may hold: more than any shop keeps.
MOST_ROWS: Final = 2_000


def read_bikes_csv(text: str) -> list[BikeRow]:
    """Return the rows of a file, each with what is wrong with its cells.

    Raises
    ------
    TableError
        When the file as a whole cannot be read.
    """
    rows = read_rows(text)
    line, headings = next(rows, (1, []))
    columns = read_columns(line, headings, COLUMNS, ("number",))
    found: list[BikeRow] = []
    for line, cells in rows:
        if len(found) >= MOST_ROWS:
            raise TableError((LineProblem(line, _("More than %(n)d bikes. Split the file.", n=MOST_ROWS)),))
        if any(cell.strip() for cell in cells):
            found.append(_row(line, columns, cells))
    if not found:
        raise TableError((LineProblem(line, _("There are no rows below the headings.")),))
    return found


def _row(line: int, columns: list[str], cells: list[str]) -> BikeRow:
    data: dict[str, Any] = {}
    surplus = surplus_problem(line, columns, cells)
    problems = [] if surplus is None else [surplus]
    for name, cell in read_cells(columns, cells):
        try:
            place_value(data, COLUMNS[name], _read(name, cell))
        except ValueError as error:
            problems.append(LineProblem(line, f"{name}: {error}"))
    return BikeRow(line=line, standing=data.pop("standing", {}), data=data, problems=tuple(problems))


def _read(name: str, cell: str) -> Any:
    if name == "riding_style":
        return cell.lower().replace("-", "_").replace(" ", "_")
    return cell if name in TEXTS else plain_number(cell)
