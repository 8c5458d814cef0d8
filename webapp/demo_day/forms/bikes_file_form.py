"""The upload of a list of bikes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from flask import request

from webapp.demo_day.bike_columns import COLUMNS, BikeRow
from webapp.demo_day.forms.bikes_csv import read_bikes_csv
from webapp.ground.fields.csv_table import LineProblem, TableError
from webapp.ground.fields.page_form import PageForm
from webapp.ground.fields.uploaded_text import FILE_LIMIT, FileTextError, file_text
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext

#: Problems that are shown: nobody would read more.
MOST_SHOWN: Final = 200


class BikesFileForm(PageForm):
    """A CSV file of bikes."""

    columns = tuple(COLUMNS)
    line_problems: tuple[LineProblem, ...] = ()

    def read_rows(self) -> list[BikeRow] | None:
        """Return the rows of the file, or None after saying why it cannot be read."""
        valid, upload = self.validate(), request.files.get("file")
        if upload is None or not upload.filename:
            self.form_errors.append(_("Choose a CSV file first."))
            return None
        try:
            rows = read_bikes_csv(file_text(upload.stream.read(FILE_LIMIT + 1)))
        except FileTextError as error:
            self.form_errors.append(str(error))
            return None
        except TableError as error:
            self.take(error.problems)
            return None
        return rows if valid else None

    def take(self, problems: Iterable[LineProblem]) -> None:
        """Show the problems of a file, each with its line."""
        found = tuple(sorted(problems))
        self.line_problems = found[:MOST_SHOWN]
        self.form_errors.append(
            ngettext(
                "%(num)d problem in the file. Nothing was saved. Fix it and try again.",
                "%(num)d problems in the file. Nothing was saved. Fix them and try again.",
                len(found),
            )
        )
