"""Suspension units in a TOML file: one `[[unit]]` table each, its keys the fields of a suspension unit."""

from __future__ import annotations

import re
import tomllib
from typing import Any, Final

from webapp.ground.fields.csv_table import LineProblem
from webapp.ground.text.i18n import gettext as _
from webapp.library.forms.suspension_unit_file import (
    MOST_SUSPENSION_UNITS,
    Entry,
    SuspensionUnitFile,
    SuspensionUnitFileError,
    read_suspension_units,
    too_many,
)
from webapp.library.forms.toml_depth import is_too_deep, is_too_much

_HEAD: Final = re.compile(r"\s*\[\[\s*unit\s*\]\]\s*(#.*)?")
_KEY: Final = re.compile(r"\s*([A-Za-z0-9_-]+)\s*=")
_CHARTS: Final = re.compile(r"\s*\[\[\s*unit\s*\.\s*charts\s*\]\]")
_AT: Final = re.compile(r"\(at line (\d+), column \d+\)")


def read_toml(text: str) -> SuspensionUnitFile:
    """Return the suspension units of a TOML file (raises `SuspensionUnitFileError`)."""
    if is_too_much(text):
        raise SuspensionUnitFileError((LineProblem(1, _("The file holds too much at once. Split it.")),))
    if is_too_deep(text):
        raise SuspensionUnitFileError((LineProblem(1, _("The file is nested deeper than a fork or shock needs.")),))
    heads = [number for number, line in enumerate(text.splitlines(), 1) if _HEAD.fullmatch(line)]
    if len(heads) > MOST_SUSPENSION_UNITS:  # the parser would take a second for each half megabyte
        raise too_many(heads[MOST_SUSPENSION_UNITS])
    try:
        whole = tomllib.loads(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as error:
        raise SuspensionUnitFileError((_syntax(text, str(error)),)) from error
    except (RecursionError, ValueError) as error:  # nested or long beyond what a suspension unit could need
        raise SuspensionUnitFileError((LineProblem(1, _("The file cannot be read as TOML.")),)) from error
    suspension_units = whole.pop("unit", None)
    if whole:
        names = ", ".join(sorted(whole))[:80]
        raise SuspensionUnitFileError((LineProblem(1, _("%(names)s is outside a [[unit]] table.", names=names)),))
    if (
        not isinstance(suspension_units, list)
        or not suspension_units
        or not all(isinstance(suspension_unit, dict) for suspension_unit in suspension_units)
    ):
        raise SuspensionUnitFileError((LineProblem(1, _("There is no [[unit]] table in the file.")),))
    places = _places(text, len(suspension_units))
    if len(suspension_units) > MOST_SUSPENSION_UNITS:
        raise too_many(places[MOST_SUSPENSION_UNITS][0])
    return read_suspension_units(
        [Entry(line, data, lines) for (line, lines), data in zip(places, suspension_units, strict=True)]
    )


def _syntax(text: str, why: str) -> LineProblem:
    at = _AT.search(why)
    line = int(at[1]) if at else text.count("\n") + 1
    return LineProblem(line, _("not TOML: %(why)s.", why=_AT.sub("", why).strip()[:100]))


def _places(text: str, count: int) -> list[tuple[int, dict[str, int]]]:
    """Return for each entry (line of its head, line of each of its keys); all at line 1 where that is not certain."""
    found: list[tuple[int, dict[str, int]]] = []
    in_charts = False
    for number, line in enumerate(text.splitlines(), 1):
        if _HEAD.fullmatch(line):
            found.append((number, {}))
            in_charts = False
        elif found and _CHARTS.match(line):
            found[-1][1].setdefault("charts", number)
            in_charts = True
        elif found and not in_charts and (key := _KEY.match(line)):
            found[-1][1].setdefault(key[1], number)
    nowhere: dict[str, int] = {}
    return found if len(found) == count else [(1, nowhere)] * count


def looks_like_toml(name: str, text: str) -> bool:
    """Return whether a file is TOML rather than CSV, by its name or else by its first line."""
    lower: Any = name.lower()
    if lower.endswith((".toml", ".csv", ".tsv")):
        return bool(lower.endswith(".toml"))
    return any(_HEAD.fullmatch(line) for line in text.splitlines()[:200])
