"""One part of a service record as a form that knows from what it was filled, alone or on the sheet of the whole."""

from __future__ import annotations

from typing import Any, Final

from wtforms import HiddenField

from webapp.ground.fields.page_form import PageForm
from webapp.workshop.entries import version_of

_OWN: Final = ("seen", "shown", "csrf_token")


class SectionForm(PageForm):
    """`seen` is the version of the part that filled it, `shown` what stood in its fields: was anything typed?"""

    seen = HiddenField()
    shown = HiddenField()

    def fill_from(self, part: Any) -> None:
        """Note from what the fields were filled, once they are."""
        self.seen.data, self.shown.data = version_of(part), self.fingerprint()

    def fingerprint(self, *ticks: bool) -> str:
        """Return what stands in the fields now, as one short text; ticks stand at its end, to be read back."""
        texts = [[field.name, _text_of(field)] for field in self.inputs() if field.short_name not in _OWN]
        return version_of(texts) + "".join("+" if tick else "-" for tick in ticks)

    def is_empty(self) -> bool:
        """Return whether nothing was typed."""
        return not any(_text_of(field) for field in self.inputs() if field.short_name not in _OWN)

    @property
    def seen_version(self) -> str:
        """The version that the form was filled from, "" for one that says none."""
        return str(self.seen.data or "")

    def show_conflict(self, message: str, version: str) -> None:
        """Say that someone else changed the part; what was typed stays, and saves when it is sent again."""
        self.form_errors.append(message)
        self.seen.data = version


def _text_of(field: Any) -> str:
    return str(field.text if hasattr(field, "text") else field.data or "")
