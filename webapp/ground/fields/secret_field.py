"""A password as an input: taken as typed, never sent back."""

from __future__ import annotations

from typing import Any

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
