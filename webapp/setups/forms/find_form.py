"""The box that takes a scanned or typed card link, or only its code."""

from __future__ import annotations

from typing import Any

from wtforms import Form

from webapp.ground.fields.text_and_choice import LineField
from webapp.ground.link_codes import TEXT_LIMIT
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l


class FindForm(Form):  # type: ignore[misc]
    """One line. It changes nothing, so that it needs no form token and works from a cold start."""

    code = LineField(
        TEXT_LIMIT,
        _l("Card link or code"),
        hint=_l(
            "Scan the QR code into this box, or type the 26 letters and digits. Capitals and spaces do not matter."
        ),
    )

    def read(self) -> str:
        """Return the text, or "" after putting what is wrong beside the box."""
        if self.validate() and not self.code.data:
            self.refuse(_("Card link or code: scan or type it."))
        return "" if self.code.errors else str(self.code.data)

    def refuse(self, message: str) -> None:
        """Put `message` beside the box."""
        self.code.errors = [message]

    def problems(self) -> list[tuple[str, Any]]:
        """Return (id of the field, sentence) for what is wrong."""
        return [(self.code.id, self.code.errors[0])] if self.code.errors else []
