"""The button that restores an earlier revision, and the two boxes that choose what to compare."""

from __future__ import annotations

from wtforms import HiddenField

from webapp.checks.forms.correction_form import CorrectionForm
from webapp.ground.text.i18n import gettext as _
from webapp.ground.whole_numbers import read_whole_number


class RestoreForm(CorrectionForm):
    """One earlier revision, wanted back as a new one."""

    revision = HiddenField()

    def read(self) -> int | None:
        """Return the number of the revision, or None after saying what is wrong."""
        valid = self.validate()
        number = revision_number(self.revision.data)
        if number is None:
            self.refuse("", _("Choose a version to restore. Press the button next to that version."))
        return number if valid else None


def revision_number(text: str | None) -> int | None:
    """Return the revision that a text names, spaces around it or not; None where it names none."""
    return read_whole_number((text or "").strip())
