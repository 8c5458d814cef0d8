"""Pushes on a fork or shock of the library, measured here: read, judged by the rules, and as a cell of a table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from datetime import UTC, date, datetime
from typing import Any, Final

from setup_rules import Problem
from setup_rules.types.request import SpringTest
from webapp.ground.fields.plain_number import plain_number
from webapp.ground.text.free_text import exact_number, text_problem
from webapp.ground.text.i18n import gettext as _
from webapp.library.suspension_unit import SuspensionUnit

#: Who measured is named in so many characters.
TESTED_BY_LONGEST: Final = 60
#: What a cell holds before the colon, in this order.
_HEAD: Final = ("pressure_psi", "tested_travel_mm", "tested_spacers", "temperature_c", "altitude_m")

Problems = list[Problem]
#: Reads a spring end as the rules do: keys of the end, travel [mm], problems to add to, names of their fields.
ReadEnd = Callable[[dict[str, Any], float, Problems, Callable[[str], str]], Any]


def test_data(test: SpringTest) -> dict[str, Any]:
    """Return a test as plain data: known values only, lists for rows."""
    given = {key: value for key, value in asdict(test).items() if value is not None and key != "at"}
    return {key: list(value) if isinstance(value, tuple) else value for key, value in given.items()}


def read_bench_test(
    given: Mapping[str, Any], end: dict[str, Any], travel_mm: float, read_end: ReadEnd, problems: Problems
) -> dict[str, Any]:
    """Return the fields of a test, with the day and who measured, after noting what is wrong with them.

    `end` are the entry's other values, `travel_mm` the travel or stroke that a test without its own is for.
    """
    raw = given.get("spring_test")
    day, by = given.get("tested_on", ""), given.get("tested_by", "")
    if not _is_day(day):
        problems.append(Problem("tested_on", _("Enter the day as year-month-day, such as 2026-05-31.")))
    if not isinstance(by, str) or text_problem(by, TESTED_BY_LONGEST):
        wrong = text_problem(by, TESTED_BY_LONGEST) if isinstance(by, str) else None
        problems.append(Problem("tested_by", wrong or _("Enter a text.")))
    if raw is None:
        return {}
    if not isinstance(raw, Mapping) or raw.get("at", "spring") != "spring":
        problems.append(Problem("spring_test", _("Enter pushes on the fork or shock itself, not at the wheel.")))
        return {}
    fitted = raw.get("tested_travel_mm")
    if isinstance(fitted, int | float) and not isinstance(fitted, bool):
        travel_mm = float(fitted)
    asked = read_end({**end, "spring_test": raw}, travel_mm, problems, str)
    if asked is None:
        return {}
    return {"spring_test": asked.spring_test, "tested_on": day, "tested_by": " ".join(str(by).split())}


def _is_day(raw: Any) -> bool:
    if raw == "":
        return True
    try:
        return isinstance(raw, str) and len(raw) == 10 and bool(date.fromisoformat(raw))
    except ValueError:
        return False


def test_cell(test: Mapping[str, Any]) -> str:
    """Return a test as a cell: psi, travel, spacers, °C, m, then a colon and compression=down/up a push [mm, N].

    Examples
    --------
    >>> test_cell({"pressure_psi": 80, "tested_travel_mm": 140, "tested_spacers": 0, "temperature_c": 20,
    ...            "altitude_m": 0, "compression_mm": [20], "force_down_n": [195], "force_up_n": [150.5]})
    '80 140 0 20 0: 20=195/150.5'
    """
    head = " ".join(exact_number(test[key]) for key in _HEAD)
    rows = zip(test["compression_mm"], test["force_down_n"], test["force_up_n"], strict=True)
    return f"{head}: {' '.join('{}={}/{}'.format(*map(exact_number, row)) for row in rows)}"


def read_test_cell(cell: str) -> dict[str, Any]:
    """Return the test in a cell as `test_cell` writes it (raises `ValueError` with a sentence).

    Examples
    --------
    >>> read_test_cell("80 140 0 20 0: 20=195/150.5")["force_up_n"]
    [150.5]
    """
    head, colon, rows = cell.partition(":")
    words = head.split()
    if not colon or len(words) != len(_HEAD):
        raise ValueError(_("“%(text)s” is not a test such as 80 140 0 20 0: 20=195/150.", text=cell.strip()[:30]))
    test: dict[str, Any] = {key: plain_number(word) for key, word in zip(_HEAD, words, strict=True)}
    pushes = [_read_push(part) for part in rows.split()]
    for place, key in enumerate(("compression_mm", "force_down_n", "force_up_n")):
        test[key] = [push[place] for push in pushes]
    return test


def _read_push(part: str) -> tuple[float, float, float]:
    x, sign, forces = part.partition("=")
    down, slash, up = forces.partition("/")
    if not sign or not slash:
        raise ValueError(_("“%(part)s” is not a push such as 20=195/150.", part=part[:30]))
    return plain_number(x), plain_number(down), plain_number(up)


def with_day_and_name(suspension_unit: SuspensionUnit, login: str) -> SuspensionUnit:
    """Return an entry whose pushes say the day and who measured: today and `login` where nobody entered them."""
    if suspension_unit.spring_test is None:
        return suspension_unit
    day = suspension_unit.tested_on or datetime.now(UTC).date().isoformat()
    return replace(suspension_unit, tested_on=day, tested_by=suspension_unit.tested_by or login)
