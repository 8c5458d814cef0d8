"""The rows of a table as text: from a CSV file or pasted from a table program, the headings telling the separator."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from typing import Final

from webapp.ground.text.i18n import gettext as _

_SEPARATORS: Final = ",;\t"
_GUARDED: Final = re.compile(r"'(?=[=+\-@\t\r])")


class CsvError(ValueError):
    """The text is no table from `line` on (from 1); the message says what is wrong."""

    def __init__(self, line: int, message: str) -> None:
        super().__init__(message)
        self.line = line


def csv_rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield (line that it begins at, cells) of each row, the headings first.

    Raises
    ------
    CsvError
        Where a quotation mark is opened and not closed.
    """
    heading = text.lstrip("\r\n").split("\n", 1)[0]
    separator = max(_SEPARATORS, key=heading.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    begin = 1
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            message = _("A quotation mark is missing here or below (%(why)s).", why=str(error)[:80])
            raise CsvError(begin, message) from error
        if cells:
            yield begin, cells
        begin = reader.line_num + 1


def bare_cell(cell: str) -> str:
    """Return a cell's text without the apostrophe that keeps table programs from taking it for a formula.

    Examples
    --------
    >>> bare_cell(" '-5 "), bare_cell("rider's")
    ('-5', "rider's")
    """
    text = cell.strip()
    return _GUARDED.sub("", text, count=1) if text.startswith("'") else text
