"""The upload of a file of entries: the bytes, what they are, and whether known suspension units are replaced."""

from __future__ import annotations

from typing import Any

from flask import request

from webapp.ground.fields.page_form import PageForm
from webapp.ground.fields.text_and_choice import ChoiceField
from webapp.ground.fields.uploaded_text import FILE_LIMIT, FileTextError, file_text
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.i18n import ngettext
from webapp.library.forms.suspension_unit_csv import read_csv
from webapp.library.forms.suspension_unit_file import SuspensionUnitFile, SuspensionUnitFileError
from webapp.library.forms.suspension_unit_toml import looks_like_toml, read_toml


class SuspensionUnitsFileForm(PageForm):
    """A CSV or TOML file of suspension units."""

    known = ChoiceField(
        (
            ("refuse", _l("Refuse the file"), _l("Nothing is stored; each is named with its line.")),
            ("replace", _l("Replace them"), _l("What the file says of them holds from then on.")),
        ),
        _l("Forks and shocks that are already in the library"),
        default="refuse",
    )

    def read_suspension_units(self) -> SuspensionUnitFile | None:
        """Return every suspension unit of the file, or None with `line_problems` or a refusal of the whole file."""
        self.line_problems: tuple[Any, ...] = ()
        valid = self.validate()
        upload = request.files.get("file")
        if upload is None or not upload.filename:
            self.form_errors.append(_("Choose a file first: CSV or TOML."))
            return None
        try:
            text = file_text(upload.stream.read(FILE_LIMIT + 1))
            found = read_toml(text) if looks_like_toml(upload.filename, text) else read_csv(text)
        except FileTextError as error:
            self.form_errors.append(str(error))
            return None
        except SuspensionUnitFileError as error:
            self.take(error)
            return None
        return found if valid else None

    def take(self, error: SuspensionUnitFileError) -> None:
        """Show the problems of a file, each with its line."""
        self.line_problems = error.problems
        self.form_errors.append(
            ngettext(
                "%(num)d line of the file is wrong. Nothing was saved. Fix it and try again.",
                "%(num)d lines of the file are wrong. Nothing was saved. Fix them and try again.",
                len(error.problems),
            )
        )
