"""The buttons of the history: one restores an earlier revision, one strikes a sag check out."""

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


class StrikeForm(CorrectionForm):
    """One sag check of the setup, to be struck out or counted again."""

    check = HiddenField()
    struck = HiddenField()

    def read(self) -> tuple[int, bool] | None:
        """Return the place of the check from 0 and whether to strike it, or None after saying what is wrong."""
        valid = self.validate()
        number = read_whole_number(self.check.data)
        if number is None or self.struck.data not in ("0", "1"):
            self.refuse("", _("Choose a sag check. Press the button next to it."))
            return None
        return (number - 1, self.struck.data == "1") if valid else None


def revision_number(text: str | None) -> int | None:
    """Return the revision that a text names, spaces around it or not; None where it names none."""
    return read_whole_number((text or "").strip())
