"""A table of riders and bikes, one card a row: every row is read as the setup's form reads it, or no card is made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from werkzeug.datastructures import MultiDict

from setup_rules import request_data
from webapp.ground.fields.csv_rows import CsvError, bare_cell, csv_rows
from webapp.ground.text.i18n import gettext as _
from webapp.setups.forms.setup_form import FindSuspensionUnit, SetupForm
from webapp.stacks.forms.columns import Column, Known, known_columns
from webapp.stacks.stack import MOST_CARDS, NewCard

#: Problems that are shown; so many mean that something about the table as a whole is wrong.
MOST_PROBLEMS: Final = 200
_ENDS: Final = ("front", "rear")


@dataclass(frozen=True, slots=True)
class RowProblem:
    """What is wrong in a row: its line in the table (from 1), the column and the cell where it is about one."""

    line: int
    column: str
    cell: str
    message: str

    @property
    def sentence(self) -> str:
        """Where it is and what is wrong there."""
        if not self.column:
            return _("Line %(line)d: %(what)s", line=self.line, what=self.message)
        return _(
            "Line %(line)d, %(column)s “%(cell)s”: %(what)s",
            line=self.line,
            column=self.column,
            cell=self.cell[:40],
            what=self.message,
        )


class TableError(ValueError):
    """The table holds problems; nothing of it is used."""

    def __init__(self, problems: list[RowProblem]) -> None:
        super().__init__(f"{len(problems)} problems")
        self.problems = tuple(problems)


def read_table(text: str, find_unit: FindSuspensionUnit) -> list[NewCard]:
    """Return a card for each row of a table; `find_unit` finds a fork or shock of the shop's library.

    Raises
    ------
    TableError
        With every problem of every row, up to `MOST_PROBLEMS`.
    """
    try:
        rows = [(line, cells) for line, cells in csv_rows(text) if any(cell.strip() for cell in cells)]
    except CsvError as error:
        raise TableError([RowProblem(error.line, "", "", str(error))]) from error
    if len(rows) < 2:
        message = _(
            "There are no rows below the headings. The first line names the columns, each further line is a card."
        )
        raise TableError([RowProblem(rows[0][0] if rows else 1, "", "", message)])
    if len(rows) - 1 > MOST_CARDS:
        message = _("%(found)d cards. A stack holds 1 to %(most)d. Split the table.")
        values = {"found": len(rows) - 1, "most": MOST_CARDS}
        raise TableError([RowProblem(rows[MOST_CARDS + 1][0], "", "", message % values)])
    known = known_columns(SetupForm(formdata=None, meta={"csrf": False}))
    columns = _columns(*rows[0], known)
    return _read_rows(rows[1:], columns, known, find_unit)


def _columns(line: int, headings: list[str], known: Known) -> list[Column]:
    while headings and not headings[-1].strip():
        headings = headings[:-1]
    columns: list[Column] = []
    problems: list[RowProblem] = []
    for heading in headings[: 4 * len(known.labels)]:
        found = known.column(bare_cell(heading))
        if isinstance(found, str):
            problems.append(RowProblem(line, "", "", found))
        elif found.field in {column.field for column in columns}:
            problems.append(RowProblem(line, "", "", _("The column %(name)s appears twice.", name=found.heading)))
        else:
            columns.append(found)
    for needed in ("rider_mass_kg", "riding_style"):
        if not problems and needed not in {column.field for column in columns}:
            message = _("The column “%(name)s” is missing.", name=known.labels[needed])
            problems.append(RowProblem(line, "", "", message))
    if problems:
        raise TableError(problems)
    return columns


def _read_rows(
    rows: list[tuple[int, list[str]]], columns: list[Column], known: Known, find_unit: FindSuspensionUnit
) -> list[NewCard]:
    cards: list[NewCard] = []
    problems: list[RowProblem] = []
    for line, cells in rows:
        if len(problems) >= MOST_PROBLEMS:
            break
        if any(cell.strip() for cell in cells[len(columns) :]):
            message = _(
                "%(found)d cells, but %(n)d headings. Put a text that contains the separator in quotation marks."
            )
            problems.append(RowProblem(line, "", "", message % {"found": len(cells), "n": len(columns)}))
            continue
        typed = {c.field: c.typed(bare_cell(cell), known.choices) for c, cell in zip(columns, cells, strict=False)}
        found = _read_row(line, {name: cell for name, cell in typed.items() if cell}, columns, find_unit)
        if isinstance(found, NewCard):
            cards.append(found)
        else:
            problems += found
    if problems:
        raise TableError(problems[:MOST_PROBLEMS])
    return cards


def _read_row(
    line: int, typed: dict[str, str], columns: list[Column], find_unit: FindSuspensionUnit
) -> NewCard | list[RowProblem]:
    wanted = [end for end in _ENDS if any(name.startswith((f"{end}.", f"{end}_unit")) for name in typed)]
    form = SetupForm(formdata=MultiDict({**typed, **{f"{end}.wanted": "y" for end in wanted}}), meta={"csrf": False})
    if "front" not in wanted:
        form.front.form.wanted.data = False
    request = form.read(find_unit)
    if request is None:
        headings = {column.field: column.heading for column in columns}
        labels = {field.name: str(field.label.text) for field in form.inputs()}
        return [
            RowProblem(
                line, headings.get(name, ""), typed.get(name, ""), message.removeprefix(f"{labels.get(name, '')}: ")
            )
            for name, message in _problems(form)
        ]
    texts = form.read_texts()
    document = {"request": request_data(request), "units": dict(form.chosen_suspension_units)}
    if texts.service_note:
        document["service_note"] = texts.service_note
    return NewCard(label=texts.bike_label, document=document)


def _problems(form: SetupForm) -> list[tuple[str, str]]:
    """Return (field, sentence) of every problem of a row; the list's links are the fields' own numbers there."""
    names = {field.id: field.name for field in form.inputs()}
    return [(names.get(place, ""), sentence) for place, sentence in form.problems()]
