"""A file of the library, CSV or TOML, read whole: every problem with its line, or all entries and no problem."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from setup_rules import Problem, RequestError
from webapp.ground.fields.csv_table import LineProblem, TableError
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say
from webapp.library.parsing import read_suspension_unit
from webapp.library.suspension_unit import SuspensionUnit, name_key

MOST_SUSPENSION_UNITS: Final = 10_000
#: After so many problems the rest of a file is not looked at: nobody would read them.
MOST_PROBLEMS: Final = 1_000


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a file as plain data, with the line that it begins at and those of its fields where known."""

    line: int
    data: Mapping[str, Any]
    lines: Mapping[str, int]
    problems: tuple[LineProblem, ...] = ()


class SuspensionUnitFileError(TableError):
    """The file holds problems; nothing of it is used."""


@dataclass(frozen=True, slots=True)
class SuspensionUnitFile:
    """Every suspension unit of a file, with the line that each begins at."""

    suspension_units: tuple[SuspensionUnit, ...]
    lines: tuple[int, ...]

    def taken(self, places: tuple[int, ...]) -> SuspensionUnitFileError:
        """Return the refusal of the suspension units at these places, which are in the library already."""
        message = _("“%(name)s” is already in the library.")
        return SuspensionUnitFileError(
            tuple(
                LineProblem(self.lines[place], message % {"name": self.suspension_units[place].name})
                for place in places
            )
        )


def read_suspension_units(entries: list[Entry]) -> SuspensionUnitFile:
    """Return the suspension units of all entries.

    Raises
    ------
    SuspensionUnitFileError
        With every problem of every entry up to `MOST_PROBLEMS`, duplicates named by both lines.
    """
    problems: list[LineProblem] = []
    suspension_units: list[SuspensionUnit] = []
    lines: list[int] = []
    seen: dict[str, int] = {}
    for entry in entries:
        key = name_key(str(entry.data.get("name", "")))
        if key and key in seen:
            message = _("“%(name)s” is in this file twice, first at line %(first)d.")
            shown = {"name": str(entry.data["name"])[:60], "first": seen[key]}
            problems.append(LineProblem(entry.lines.get("name", entry.line), message % shown))
        seen.setdefault(key, entry.line)
        try:
            if entry.problems:
                raise RequestError(())
            suspension_units.append(read_suspension_unit(entry.data))
            lines.append(entry.line)
        except RequestError as error:
            problems += entry.problems
            problems += [_at(entry, p) for p in error.problems]
        if len(problems) >= MOST_PROBLEMS:
            message = _("There are %(n)d problems up to here. The rest was not read.", n=len(problems))
            problems = [*problems[:MOST_PROBLEMS], LineProblem(entry.line, message)]
            break
    if problems:
        raise SuspensionUnitFileError(tuple(problems))
    return SuspensionUnitFile(tuple(suspension_units), tuple(lines))


def _at(entry: Entry, problem: Problem) -> LineProblem:
    field = problem.field.partition(".")[0]
    return LineProblem(entry.lines.get(field, entry.line), f"{field}: {say(problem.said)}")


def too_many(line: int) -> SuspensionUnitFileError:
    """Return the refusal of a file with more suspension units than are read at once."""
    return SuspensionUnitFileError(
        (LineProblem(line, _("More than %(n)d forks and shocks. Split the file.", n=MOST_SUSPENSION_UNITS)),)
    )
