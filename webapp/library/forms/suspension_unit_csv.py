"""Suspension units in a CSV file: one row each, columns named like the fields, lists apart by spaces in their cell.

A cell that table programs would take for a formula is written with an apostrophe before it, which is dropped
here again. Charts stand in one cell: `travel weight sag: mass=psi mass=psi …`, several apart by `|`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from webapp.ground.fields.csv_table import (
    LineProblem,
    TableError,
    read_cells,
    read_columns,
    read_rows,
    surplus_problem,
)
from webapp.ground.fields.plain_number import plain_number, plain_numbers
from webapp.ground.text.i18n import gettext as _
from webapp.library.bench_test import read_test_cell
from webapp.library.forms.suspension_unit_file import (
    MOST_SUSPENSION_UNITS,
    Entry,
    SuspensionUnitFile,
    SuspensionUnitFileError,
    read_suspension_units,
    too_many,
)
from webapp.library.parsing import KEYS
from webapp.library.service_lines import split_lines
from webapp.library.suspension_unit import SERVICE_LISTS

_TEXTS: Final = frozenset({"kind", "name", "note", "negative_spring", "negative_size", "tested_on", "tested_by"})
_LISTS: Final = frozenset({"travels_mm", "travel_spacers_mm"})


def read_csv(text: str) -> SuspensionUnitFile:
    """Return the entries of a CSV file (raises `SuspensionUnitFileError`); the headings tell the separator."""
    try:
        entries = _entries(text)
    except TableError as error:
        raise SuspensionUnitFileError(error.problems) from error
    return read_suspension_units(entries)


def _entries(text: str) -> list[Entry]:
    rows = read_rows(text)
    line, headings = next(rows, (1, []))
    columns = read_columns(line, headings, KEYS, ("kind", "name"))
    entries: list[Entry] = []
    for line, cells in rows:
        if len(entries) >= MOST_SUSPENSION_UNITS:
            raise too_many(line)
        if any(cell.strip() for cell in cells):
            entries.append(_entry(line, columns, cells))
    if not entries:
        raise TableError((LineProblem(line, _("There are no rows below the headings.")),))
    return entries


def _entry(line: int, columns: list[str], cells: list[str]) -> Entry:
    data: dict[str, Any] = {}
    surplus = surplus_problem(line, columns, cells)
    problems = [] if surplus is None else [surplus]
    for name, cell in read_cells(columns, cells):
        try:
            data[name] = _reader(name)(cell)
        except ValueError as error:
            problems.append(LineProblem(line, f"{name}: {error}"))
    return Entry(line, data, {}, tuple(problems))


def _reader(name: str) -> Callable[[str], Any]:
    if name in _TEXTS:
        return str if name in ("name", "note", "tested_by") else str.lower
    special: dict[str, Callable[[str], Any]] = {
        "charts": read_charts_cell,
        "rebound_points": read_points_cell,
        "spring_test": read_test_cell,
        **dict.fromkeys(SERVICE_LISTS, split_lines),
    }
    return special.get(name, plain_numbers if name in _LISTS else plain_number)


def read_points_cell(cell: str) -> list[list[float | int]]:
    """Return the pairs in a cell such as `3=900 13=200` (raises `ValueError` with a sentence)."""
    pairs = []
    for part in cell.replace(";", " ").split():
        first, sign, second = part.partition("=")
        if not sign:
            raise ValueError(_("“%(part)s” is not a pair such as 60=55.", part=part[:30]))
        pairs.append([plain_number(first), plain_number(second)])
    return pairs


def read_charts_cell(cell: str) -> list[dict[str, Any]]:
    """Return the charts in a cell such as `120 rider 20: 60=50 80=66 | 140: 60=47 80=62` (raises `ValueError`)."""
    charts = []
    for text in cell.split("|"):
        head, colon, rows = text.partition(":")
        words = head.split()
        if not colon or not words:
            raise ValueError(_("“%(text)s” is not a chart such as 120: 60=50 80=66.", text=text.strip()[:30]))
        chart: dict[str, Any] = {"travel_mm": plain_number(words[0]), "rows": read_points_cell(rows)}
        for word in words[1:]:
            if word in ("rider", "rider_and_kit"):
                chart["weight"] = word
            else:
                chart["sag_percent"] = plain_number(word)
        charts.append(chart)
    return charts
