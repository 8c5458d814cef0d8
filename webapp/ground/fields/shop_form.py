"""What the account forms share: a CSRF token, errors beside their fields, passwords never sent back."""

from __future__ import annotations

from typing import Any

from flask_wtf import FlaskForm
from wtforms import Field
from wtforms.validators import ValidationError

from webapp.ground.text.i18n import gettext as _

#: Longer than any password that is accepted; what is longer is cut before anything looks at it.
_SECRET_CUT = 1_000


class SecretField(Field):  # type: ignore[misc]
    """A password. It is never written back into a page. `autocomplete` tells a password keeper which one is meant."""

    def __init__(self, label: Any, *, autocomplete: str, hint: Any = "", **kwargs: Any) -> None:
        super().__init__(label, default="", **kwargs)
        self.autocomplete = autocomplete
        self.hint = hint

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Take what was typed, spaces and all."""
        self.data = str(valuelist[0])[:_SECRET_CUT] if valuelist else ""

    def pre_validate(self, form: Any) -> None:  # noqa: ARG002 WTForms hands it in
        """Check that something was typed.

        Raises
        ------
        ValidationError
            When the field is empty.
        """
        if not self.data:
            raise ValidationError(_("%(label)s is required.", label=self.label.text))


class ShopForm(FlaskForm):  # type: ignore[misc]
    """A form that loses nothing: its view checks no token, the form does, and is shown again when it is stale."""

    def refuse(self, name: str, message: str) -> None:
        """Put `message` beside the field `name`, or above the form when there is no such field."""
        if name in self._fields:
            self[name].errors = [message]
        else:
            self.form_errors.append(message)

    def problems(self) -> list[tuple[str, str]]:
        """Return (id of the field or "", sentence) for everything that is wrong, in the order of the page."""
        found = [("", str(message)) for message in self.form_errors]
        for field in self:
            if field.errors and field.name == "csrf_token":
                message = _("This page was open for too long. Your entries are kept. Press the button again.")
                found.append(("", message))
            elif field.errors:
                found.append((field.id, str(field.errors[0])))
        return found
