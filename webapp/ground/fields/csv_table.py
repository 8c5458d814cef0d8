"""A table in a CSV file: rows with the line that they begin at, known columns, and every problem by its line."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from webapp.ground.fields.csv_rows import CsvError, bare_cell, csv_rows
from webapp.ground.text.i18n import gettext as _


@dataclass(frozen=True, slots=True, order=True)
class LineProblem:
    """What is wrong at a line of the file (from 1)."""

    line: int
    message: str

    @property
    def sentence(self) -> str:
        """The line and what is wrong there."""
        return _("Line %(line)d: %(what)s", line=self.line, what=self.message)


class TableError(ValueError):
    """The file holds problems; nothing of it is used."""

    def __init__(self, problems: tuple[LineProblem, ...]) -> None:
        super().__init__(f"{len(problems)} problems")
        self.problems = tuple(sorted(problems))


def read_rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield (line that it begins at, cells) of each row, the headings first (raises `TableError`)."""
    try:
        yield from csv_rows(text)
    except CsvError as error:
        raise TableError((LineProblem(error.line, str(error)),)) from error


def read_columns(line: int, headings: Sequence[str], known: Collection[str], needed: Sequence[str]) -> list[str]:
    """Return the names of the columns (raises `TableError` for an unknown one, one named twice, or one missing)."""
    most = 4 * len(known)  # with room for a few that were misspelt or left empty
    if len(headings) > most:
        raise TableError((LineProblem(line, _("More than %(n)d columns.", n=most)),))
    names = [" ".join(heading.split()).strip("'").lower() for heading in headings]
    while names and not names[-1]:
        names.pop()
    problems = []
    for place, name in enumerate(names, 1):
        if name not in known:
            near = difflib.get_close_matches(name[:60], known, 1)
            hint = _(" Did you mean %(near)s?", near=near[0]) if near else ""
            message = _("Column %(n)d, “%(name)s”, is not a known field.", n=place, name=name[:40])
            problems.append(LineProblem(line, message + hint))
        elif name in names[: place - 1]:
            problems.append(LineProblem(line, _("The column %(name)s appears twice.", name=name)))
    missing = [name for name in needed if name not in names]
    problems += [LineProblem(line, _("The column %(name)s is missing.", name=name)) for name in missing]
    if problems:
        raise TableError(tuple(problems))
    return names


def read_cells(columns: Sequence[str], cells: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Yield (column, text) of the cells of a row that are filled."""
    for name, raw in zip(columns, cells, strict=False):
        if cell := bare_cell(raw):
            yield name, cell


def surplus_problem(line: int, columns: Sequence[str], cells: Sequence[str]) -> LineProblem | None:
    """Return what is wrong with a row of more cells than headings, None where there are no more."""
    if not any(cell.strip() for cell in cells[len(columns) :]):
        return None
    message = _("%(found)d cells, but %(n)d headings. Put a text that contains the separator in quotation marks.")
    return LineProblem(line, message % {"found": len(cells), "n": len(columns)})
