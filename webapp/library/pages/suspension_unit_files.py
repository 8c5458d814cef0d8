"""A shop's suspension units as the files that can be read back: CSV for table programs, TOML for people."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable
from typing import Any, Final

from webapp.ground.text.free_text import exact_number
from webapp.library.bench_test import test_cell
from webapp.library.parsing import KEYS, suspension_unit_data
from webapp.library.service_lines import join_lines
from webapp.library.suspension_unit import SERVICE_LISTS, SuspensionUnit

#: What table programs would take for the start of a formula.
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "'")
#: So that table programs know the encoding.
_MARK: Final = "\ufeff"


def suspension_units_as_csv(suspension_units: Iterable[SuspensionUnit]) -> str:
    """Return a CSV file with one row for each suspension unit, guarded against formulas."""
    out = io.StringIO(newline="")
    out.write(_MARK)
    writer = csv.writer(out)
    writer.writerow(KEYS)
    for suspension_unit in suspension_units:
        data = suspension_unit_data(suspension_unit)
        writer.writerow([guarded(_cell(key, data.get(key))) for key in KEYS])
    return out.getvalue()


def guarded(cell: str) -> str:
    """Return `cell` so that no table program runs it.

    Examples
    --------
    >>> guarded("=1+1"), guarded("Fork A, 34 mm")
    ("'=1+1", 'Fork A, 34 mm')
    """
    return f"'{cell}" if cell.startswith(_FORMULA) else cell


def _cell(key: str, value: Any) -> str:
    if value is None:
        return ""
    if key == "charts":
        return " | ".join(_chart_cell(chart) for chart in value)
    if key == "spring_test":
        return test_cell(value)
    if key == "rebound_points":
        return _pairs(value)
    if key in SERVICE_LISTS:
        return join_lines(value)
    if isinstance(value, list):
        return " ".join(exact_number(v) for v in value)
    return value if isinstance(value, str) else exact_number(value)


def _chart_cell(chart: dict[str, Any]) -> str:
    sag = f" {exact_number(chart['sag_percent'])}" if "sag_percent" in chart else ""
    return f"{exact_number(chart['travel_mm'])} {chart['weight']}{sag}: {_pairs(chart['rows'])}"


def _pairs(pairs: list[list[float]]) -> str:
    return " ".join(f"{exact_number(a)}={exact_number(b)}" for a, b in pairs)


def suspension_units_as_toml(suspension_units: Iterable[SuspensionUnit]) -> str:
    """Return a TOML file with one table for each suspension unit."""
    return "\n".join(_table(suspension_unit_data(suspension_unit)) for suspension_unit in suspension_units)


def _table(data: dict[str, Any]) -> str:
    charts = data.pop("charts", [])
    lines = ["[[unit]]", *(f"{key} = {_toml(value)}" for key, value in data.items())]
    for chart in charts:
        lines += ["", "[[unit.charts]]", *(f"{key} = {_toml(value)}" for key, value in chart.items())]
    return "\n".join(lines) + "\n"


def _toml(value: Any) -> str:
    if isinstance(value, str):
        # JSON's escapes are TOML's too, except that TOML has none for pairs of surrogates, so letters stay letters.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, dict):
        return f"{{{', '.join(f'{key} = {_toml(v)}' for key, v in value.items())}}}"
    if isinstance(value, list):
        return f"[{', '.join(_toml(v) for v in value)}]"
    return exact_number(value)
