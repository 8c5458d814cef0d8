"""A list of rows as a file, piece by piece: CSV for table programs, guarded against formulas, or JSON."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final

from webapp.library.pages.suspension_unit_files import guarded

#: So that table programs know the encoding.
_MARK: Final = "\ufeff"


def write_csv(columns: Sequence[str], rows: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield a CSV file line by line: the headings, then a row for each; an empty cell is a value that is not known."""
    yield _MARK + _line(columns)
    for row in rows:
        yield _line([_cell(row[name]) for name in columns])


def write_json(columns: Sequence[str], rows: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield a JSON file: one list of objects, one a line, each with every column."""
    yield "["
    for number, row in enumerate(rows):
        yield (",\n" if number else "\n") + json.dumps({name: row[name] for name in columns}, ensure_ascii=False)
    yield "\n]\n"


def _cell(value: Any) -> str:
    """Return one cell. A number is written plainly; it may begin with a minus, which runs nothing."""
    if value is None:
        return ""
    return guarded(value) if isinstance(value, str) else f"{value:.10g}"


def _line(cells: Sequence[str]) -> str:
    out = io.StringIO(newline="")
    csv.writer(out).writerow(cells)
    return out.getvalue()
