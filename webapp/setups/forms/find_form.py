"""The box that takes a scanned or typed card link, or only its code."""

from __future__ import annotations

from webapp.ground.fields.page_form import TokenlessForm
from webapp.ground.fields.text_and_choice import TextField
from webapp.ground.link_codes import TEXT_LIMIT
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l


class FindForm(TokenlessForm):
    """One line."""

    code = TextField(
        TEXT_LIMIT,
        _l("Card link or code"),
        hint=_l(
            "Scan the QR code into this box, or type the 26 letters and digits. Capitals and spaces do not matter."
        ),
    )

    def read(self) -> str:
        """Return the text, or "" after putting what is wrong beside the box."""
        if self.validate() and not self.code.data:
            self.refuse("code", _("Card link or code: scan or type it."))
        return "" if self.code.errors else str(self.code.data)
